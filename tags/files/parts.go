package files

import (
	"path/filepath"
	"strings"
)

// Film that a camera or a disc stores as several files, cut from one stream by size, is one
// film. Wherever a path of film is meant, such film has one path too: its parts in order. A
// path of one file is that file's own.
const between = "\x00" // in no file's name

// Whole is the path of what is stored as parts, in order.
func Whole(parts []string) string { return strings.Join(parts, between) }

// Parts is the files that path is of, in order: for most paths the one file.
func Parts(path string) []string { return strings.Split(path, between) }

// Named is path as it is told to people.
func Named(path string) string { return strings.Join(Parts(path), " + ") }

// Base is [filepath.Base] of each part of path, as it is told to people.
func Base(path string) string {
	parts := Parts(path)
	for i := range parts {
		parts[i] = filepath.Base(parts[i])
	}
	return Named(Whole(parts))
}
