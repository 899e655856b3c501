package files

import (
	"os"
	"path/filepath"

	"golang.org/x/text/unicode/norm"
)

// AsOnDisk is path as the disk spells it. Systems write letters with marks in two ways, as one
// letter or as a letter and its mark (Unicode NFC and NFD), and names that look the same differ:
// where nothing is at path, what is there under the other spelling is meant. Where there is
// neither, it is path.
func AsOnDisk(path string) string {
	parts := Parts(path)
	for i, part := range parts {
		parts[i] = spelled(part)
	}
	return Whole(parts)
}

func spelled(path string) string {
	if plainLetters(path) {
		return path
	}
	if _, err := os.Lstat(path); err == nil {
		return path
	}
	dir, name := filepath.Split(path)
	dir = filepath.Clean(dir)
	if dir == path || name == "" {
		return path
	}
	dir = spelled(dir)
	list, _ := os.ReadDir(dir) // what cannot be read has no other spelling to offer
	want := norm.NFC.String(name)
	for _, e := range list {
		if norm.NFC.String(e.Name()) == want {
			return filepath.Join(dir, e.Name())
		}
	}
	return path
}

// plainLetters reports whether text has one spelling alone.
func plainLetters(text string) bool {
	for i := range len(text) {
		if text[i] >= 0x80 {
			return false
		}
	}
	return true
}
