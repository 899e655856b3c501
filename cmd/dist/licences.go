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

// licencesOf returns the text of the licences of all packages that the file packages lists, module
// by module. It fails where a module has none.
func licencesOf(packages string) ([]byte, error) {
	list, err := os.ReadFile(packages)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(strings.TrimSpace(string(list)), "\n")
	slices.Sort(lines)
	b := bytes.NewBufferString("Trenchcut is under the licence in LICENSE.txt. It contains these, under theirs.\n")
	module, told := "", [][]byte(nil)
	for _, line := range slices.Compact(lines) {
		fields := strings.Split(line, "\t")
		if len(fields) != 4 {
			return nil, fmt.Errorf("%s: want module, version, its folder and the package's, got %q", packages, line)
		}
		root, folder := fields[2], fields[3]
		if name := fields[0] + " " + fields[1]; name != module {
			module, told = name, nil
			fmt.Fprintf(b, "\n%s\n%s\n", strings.Repeat("=", 72), module)
			if found, err := licencesIn(root); err != nil {
				return nil, err
			} else if len(found) == 0 {
				return nil, fmt.Errorf("%s has no licence in %s", fields[0], root)
			}
		}
		// A package may have one of its own besides that of its module.
		found, err := licencesAbove(root, folder)
		if err != nil {
			return nil, err
		}
		for _, text := range found {
			if !slices.ContainsFunc(told, func(t []byte) bool { return bytes.Equal(t, text) }) {
				told = append(told, text)
				fmt.Fprintf(b, "\n%s\n", text)
			}
		}
	}
	return b.Bytes(), nil
}

func licencesAbove(root, folder string) ([][]byte, error) {
	below, err := filepath.Rel(root, folder)
	if err != nil || !filepath.IsLocal(below) {
		return nil, fmt.Errorf("%s is not in its module's folder, %s", folder, root)
	}
	all, err := licencesIn(root)
	for part := range strings.SplitSeq(below, string(filepath.Separator)) {
		if err != nil {
			return nil, err
		}
		if part == "." {
			break
		}
		root = filepath.Join(root, part)
		var found [][]byte
		found, err = licencesIn(root)
		all = append(all, found...)
	}
	return all, err
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
		found = append(found, bytes.TrimSpace(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))))
	}
	return found, nil
}
