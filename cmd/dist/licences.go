package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|ofl)([.-].*)?$`)

// licencesOf is the licences of every module that a file lists, as they ask to be handed on. It
// fails where a module has none.
func licencesOf(modules string) ([]byte, error) {
	list, err := os.ReadFile(modules)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(strings.TrimSpace(string(list)), "\n")
	slices.Sort(lines)
	b := bytes.NewBufferString("Trenchcut is under the licence in LICENSE.txt. It contains these, under theirs.\n")
	for _, line := range slices.Compact(lines) {
		fields := strings.Split(line, "\t")
		if len(fields) != 3 {
			return nil, fmt.Errorf("%s: want path, version and folder, got %q", modules, line)
		}
		found, err := licencesIn(fields[2])
		if err != nil {
			return nil, err
		}
		if len(found) == 0 {
			return nil, fmt.Errorf("%s has no licence in %s", fields[0], fields[2])
		}
		fmt.Fprintf(b, "\n%s\n%s %s\n", strings.Repeat("=", 72), fields[0], fields[1])
		for _, text := range found {
			fmt.Fprintf(b, "\n%s\n", bytes.TrimSpace(text))
		}
	}
	return b.Bytes(), nil
}

// licencesIn is what stands in the files of a folder that are named as licences are.
func licencesIn(dir string) ([][]byte, error) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var found [][]byte
	for _, f := range list {
		if !f.Type().IsRegular() || !licenceName.MatchString(f.Name()) {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			return nil, err
		}
		found = append(found, bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
	}
	return found, nil
}
