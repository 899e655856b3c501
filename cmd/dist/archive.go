package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"time"
)

// entry is a file in an archive.
type entry struct {
	name string // with slashes
	mode fs.FileMode
	data []byte
}

// packTar packs entries as tar.gz: in order of name, without an owner, all with the time made.
func packTar(entries []entry, made time.Time) ([]byte, error) {
	var b bytes.Buffer
	packed, err := gzip.NewWriterLevel(&b, gzip.BestCompression) // its header tells no time
	if err != nil {
		return nil, err
	}
	w := tar.NewWriter(packed)
	for _, e := range inOrder(entries) {
		head := &tar.Header{Typeflag: tar.TypeReg, Name: e.name, Mode: int64(e.mode), Size: int64(len(e.data)), ModTime: made, Format: tar.FormatPAX}
		if err := w.WriteHeader(head); err != nil {
			return nil, err
		}
		if _, err := w.Write(e.data); err != nil {
			return nil, err
		}
	}
	err = errors.Join(w.Close(), packed.Close())
	return b.Bytes(), err
}

// packZip packs entries as zip: in order of name, all with the time made.
func packZip(entries []entry, made time.Time) ([]byte, error) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	w.RegisterCompressor(zip.Deflate, func(out io.Writer) (io.WriteCloser, error) {
		return flate.NewWriter(out, flate.BestCompression)
	})
	for _, e := range inOrder(entries) {
		head := &zip.FileHeader{Name: e.name, Method: zip.Deflate, Modified: made}
		head.SetMode(e.mode)
		file, err := w.CreateHeader(head)
		if err != nil {
			return nil, err
		}
		if _, err := file.Write(e.data); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return b.Bytes(), err
}

func inOrder(entries []entry) []entry {
	return slices.SortedFunc(slices.Values(entries), func(a, b entry) int { return strings.Compare(a.name, b.name) })
}

// sums is the SHA-256 of files as sha256sum -c reads it.
func sums(files map[string][]byte) []byte {
	var b bytes.Buffer
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(files[name]), name)
	}
	return b.Bytes()
}
