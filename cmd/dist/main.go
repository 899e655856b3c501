// Dist packs what make dist built: an archive for each system, with the program, the README and
// DEVELOPERS as pages, the manual page, completions for shells, the templates and all licences,
// and SHA256SUMS beside them. The same sources give the same bytes: nothing in an archive tells
// when, where or by whom it was made.
package main

import (
	"bytes"
	"debug/buildinfo"
	"debug/macho"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

func main() {
	built := flag.String("built", "", "`folder` with a folder for each system, os-arch, and a folder common for all")
	packages := flag.String("packages", "", "`file` with a line for Go and for each package that is linked: its module, the version, the module's folder and the package's")
	out := flag.String("o", "dist", "`folder` for the archives")
	flag.Parse()
	if err := run(*built, *packages, *out); err != nil {
		fmt.Fprintln(os.Stderr, "dist:", err)
		os.Exit(1)
	}
}

// run packs the systems that were built and writes their archives to out.
func run(built, packages, out string) error {
	shared, err := documents(".")
	if err != nil {
		return err
	}
	licences, err := licencesOf(packages)
	if err != nil {
		return err
	}
	shared["LICENSES.txt"] = licences
	if err := addTree(shared, filepath.Join(built, "common"), ""); err != nil {
		return err
	}
	programs, err := filepath.Glob(filepath.Join(built, "*-*", "trenchcut*"))
	if err != nil || len(programs) == 0 {
		return fmt.Errorf("no program in the folders of %s: %v", built, err)
	}
	archives := map[string][]byte{}
	for _, program := range programs {
		name, data, err := archiveOf(program, shared)
		if err != nil {
			return err
		}
		archives[name] = data
	}
	archives["SHA256SUMS"] = sums(archives)
	if err := os.MkdirAll(out, 0o777); err != nil {
		return err
	}
	for name, data := range archives {
		if err := os.WriteFile(filepath.Join(out, name), data, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// archiveOf is the archive of one built program, with what all systems share.
func archiveOf(program string, shared map[string][]byte) (name string, data []byte, err error) {
	version, made, err := stamp(program)
	if err != nil {
		return "", nil, err
	}
	system := strings.Replace(filepath.Base(filepath.Dir(program)), "darwin", "macos", 1)
	executable, err := os.ReadFile(program)
	if err != nil {
		return "", nil, err
	}
	if system == "macos-arm64" && !signed(executable) {
		return "", nil, fmt.Errorf("%s has no signature, without which macOS ends it: build it with Go's own linker", program)
	}
	folder := "trenchcut-" + version
	entries := []entry{{path.Join(folder, filepath.Base(program)), 0o755, executable}}
	for file, content := range shared {
		entries = append(entries, entry{path.Join(folder, file), 0o644, content})
	}
	name = folder + "-" + system
	if strings.HasPrefix(system, "windows") {
		data, err = packZip(entries, made)
		return name + ".zip", data, err
	}
	data, err = packTar(entries, made)
	return name + ".tar.gz", data, err
}

// signed reports whether a program for macOS carries a signature, be it one that names nobody.
func signed(program []byte) bool {
	const codeSignature = 0x1d // LC_CODE_SIGNATURE
	f, err := macho.NewFile(bytes.NewReader(program))
	return err == nil && slices.ContainsFunc(f.Loads, func(l macho.Load) bool { return f.ByteOrder.Uint32(l.Raw()) == codeSignature })
}

// stamp is the version that Go stamped a program with, and the time of its commit.
func stamp(program string) (version string, made time.Time, err error) {
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return "", time.Time{}, err
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.time" {
			made, err = time.Parse(time.RFC3339, s.Value)
		}
	}
	if made.IsZero() || err != nil {
		return "", time.Time{}, fmt.Errorf("%s does not say of which commit it is (%v): build it in a git checkout with -buildvcs=true", program, err)
	}
	return info.Main.Version, made.UTC(), nil
}

// addTree adds the files in a folder, under a name of their own.
func addTree(to map[string][]byte, dir, under string) error {
	return filepath.WalkDir(dir, func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, file)
		if err != nil {
			return err
		}
		data, err := os.ReadFile(file)
		to[path.Join(under, filepath.ToSlash(name))] = data
		return err
	})
}
