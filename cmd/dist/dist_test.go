package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"debug/macho"
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

var made = time.Date(2026, 11, 30, 9, 0, 2, 0, time.UTC)

// What is packed is there, in any order the same bytes, and names nobody.
func TestPack(t *testing.T) {
	entries := []entry{
		{"a/trenchcut", 0o755, []byte("program")},
		{"a/README.html", 0o644, bytes.Repeat([]byte("page "), 1000)},
		{"a/templates/ʻokina.yaml", 0o644, nil},
	}
	backwards := slices.Clone(entries)
	slices.Reverse(backwards)
	for name, pack := range map[string]func([]entry, time.Time) ([]byte, error){"tar": packTar, "zip": packZip} {
		t.Run(name, func(t *testing.T) {
			data, err := pack(entries, made)
			if err != nil {
				t.Fatal(err)
			}
			if again, err := pack(backwards, made); err != nil || !bytes.Equal(again, data) {
				t.Errorf("another order gives other bytes (%v)", err)
			}
			unpacked := map[string]func([]byte) ([]entry, error){"tar": unpackTar, "zip": unpackZip}[name]
			got, err := unpacked(data)
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range entries {
				i := slices.IndexFunc(got, func(e entry) bool { return e.name == want.name })
				if i < 0 || got[i].mode != want.mode || !bytes.Equal(got[i].data, want.data) {
					t.Errorf("%s is not as it was packed: %+v", want.name, got)
				}
			}
		})
	}
}

func unpackTar(data []byte) (list []entry, err error) {
	plain, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	for r := tar.NewReader(plain); ; {
		head, err := r.Next()
		if errors.Is(err, io.EOF) {
			return list, nil
		}
		if err != nil {
			return nil, err
		}
		if head.Uid != 0 || head.Gid != 0 || head.Uname != "" || head.Gname != "" || !head.ModTime.Equal(made) {
			return nil, &fs.PathError{Op: "owner or time", Path: head.Name, Err: fs.ErrInvalid}
		}
		content, err := io.ReadAll(r)
		if err != nil {
			return nil, err
		}
		list = append(list, entry{head.Name, fs.FileMode(head.Mode), content})
	}
}

func unpackZip(data []byte) (list []entry, err error) {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	for _, f := range r.File {
		if !f.Modified.Equal(made) {
			return nil, &fs.PathError{Op: "time", Path: f.Name, Err: fs.ErrInvalid}
		}
		content, err := fs.ReadFile(r, f.Name)
		if err != nil {
			return nil, err
		}
		list = append(list, entry{f.Name, f.Mode(), content})
	}
	return list, nil
}

// A program for macOS on arm64 must carry a signature.
func TestSigned(t *testing.T) {
	programWith := func(command uint32) []byte {
		var b []byte
		for _, word := range []uint32{
			macho.Magic64, uint32(macho.CpuArm64), 0, uint32(macho.TypeExec), 1, 16, 0, 0, // its head, of one command
			command, 16, 48, 0, // which names no bytes behind it
		} {
			b = binary.LittleEndian.AppendUint32(b, word)
		}
		return b
	}
	if !signed(programWith(0x1d)) {
		t.Error("a signature is not found")
	}
	if signed(programWith(0x2a)) || signed([]byte("#!/bin/sh")) { // 0x2a tells of the sources
		t.Error("what is not signed is taken for signed")
	}
}

var reference = regexp.MustCompile(`(?:src|href)="([^"]+)"`)

// Every link of the pages leads to something in the archive, or to a place on a page, or out.
func TestPagesLeadSomewhere(t *testing.T) {
	files, err := documents("../..")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for name, content := range files {
		if filepath.Ext(name) != ".html" {
			continue
		}
		for _, m := range reference.FindAllStringSubmatch(string(content), -1) {
			to, place, _ := strings.Cut(m[1], "#")
			seen++
			switch {
			case strings.HasPrefix(to, "https://"):
			case to == "" && !bytes.Contains(content, []byte(`id="`+place+`"`)):
				t.Errorf("%s: nothing is at #%s", name, place)
			case strings.HasSuffix(to, "/"):
				if !slices.ContainsFunc(slices.Collect(maps.Keys(files)), func(f string) bool { return strings.HasPrefix(f, to) }) {
					t.Errorf("%s: there is no folder %s", name, to)
				}
			case to != "" && files[to] == nil:
				t.Errorf("%s: there is no %s", name, to)
			}
		}
	}
	if seen < 12 {
		t.Errorf("only %d links were looked at", seen)
	}
	if readme := files["README.html"]; !bytes.Contains(readme, []byte("<table>")) || !bytes.Contains(readme, []byte("<title>trenchcut</title>")) {
		t.Error("the README is not the page it should be")
	}
}

// A module without a licence is not handed on, and a package of one is with its own, told once.
func TestLicences(t *testing.T) {
	with, without := t.TempDir(), t.TempDir()
	inside := filepath.Join(with, "words", "list")
	if err := os.MkdirAll(inside, 0o777); err != nil {
		t.Fatal(err)
	}
	for path, text := range map[string]string{
		filepath.Join(with, "LICENSE-APACHE"):   "Freely.\r\n",
		filepath.Join(with, "words", "COPYING"): "The words, with this line.\n",
		filepath.Join(inside, "LICENSE"):        "Freely.\n",
	} {
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	list := filepath.Join(t.TempDir(), "packages")
	write := func(text string) {
		if err := os.WriteFile(list, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	module := "example.com/b\tv1.2.0\t" + with + "\t"
	write(module + with + "\n" + module + inside + "\n")
	text, err := licencesOf(list)
	if err != nil || !bytes.HasSuffix(text, []byte("example.com/b v1.2.0\n\nFreely.\n\nThe words, with this line.\n")) {
		t.Errorf("error %v, licences:\n%s", err, text)
	}
	write(module + with + "\n")
	if text, err := licencesOf(list); err != nil || bytes.Contains(text, []byte("The words")) {
		t.Errorf("error %v, licences of what is not linked:\n%s", err, text)
	}
	write("example.com/a\tv1.0.0\t" + without + "\t" + without + "\n")
	if _, err := licencesOf(list); err == nil || !strings.Contains(err.Error(), "example.com/a") {
		t.Errorf("error %v, want one that names the module without a licence", err)
	}
}
