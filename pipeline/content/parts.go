package content

import (
	"fmt"
	"io"
	"os"

	"trenchcut/tags/files"
)

// stored is the parts that a path is of, opened, as if they were one file.
type stored struct {
	parts []*os.File
	sizes []int64
	at    int64 // where Read goes on
}

// open opens all parts of path for reading, and returns their size in all.
func open(path string) (s *stored, size int64, err error) {
	s = &stored{}
	defer func() {
		if err != nil {
			s.close()
		}
	}()
	parts := files.Parts(path)
	for _, part := range parts {
		// Looked at before it is opened: a pipe would keep us waiting for whoever writes it.
		info, err := os.Stat(part)
		if err != nil {
			return s, 0, err
		}
		if !info.Mode().IsRegular() {
			return s, 0, fmt.Errorf("%s: not a plain file", part)
		}
		if len(parts) > 1 && info.Size() == 0 {
			return s, 0, fmt.Errorf("%s: a part with nothing in it", part)
		}
		f, err := os.Open(part)
		if err != nil {
			return s, 0, err
		}
		s.parts, s.sizes = append(s.parts, f), append(s.sizes, info.Size())
		size += info.Size()
	}
	return s, size, nil
}

// close closes all parts, which were only read.
func (s *stored) close() {
	for _, f := range s.parts {
		f.Close()
	}
}

// Read implements io.Reader.
func (s *stored) Read(p []byte) (int, error) {
	n, err := s.ReadAt(p, s.at)
	s.at += int64(n)
	if n > 0 {
		err = nil
	}
	return n, err
}

// ReadAt implements io.ReaderAt.
func (s *stored) ReadAt(p []byte, at int64) (n int, err error) {
	for i, f := range s.parts {
		if at >= s.sizes[i] && i < len(s.parts)-1 {
			at -= s.sizes[i]
			continue
		}
		rest := p[n:]
		if i < len(s.parts)-1 {
			rest = rest[:min(int64(len(rest)), s.sizes[i]-at)]
		}
		more, err := f.ReadAt(rest, at)
		n += more
		if err != nil || n == len(p) {
			return n, err
		}
		at = 0
	}
	return n, io.EOF
}
