package session

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Folder is what lies in a folder and in those directly in it.
type Folder struct {
	Games []string // tag files
	Films []string // files that are film by their names, but for reels: those have a manifest beside
}

// LookInto lists a folder. What cannot be read of it is left out: it says what there is to work
// with, and no more.
func LookInto(dir string) (Folder, error) {
	var f Folder
	entries, err := os.ReadDir(dir)
	if err != nil {
		return f, fmt.Errorf("look into the folder: %w", err)
	}
	f.add(dir, entries)
	for _, e := range entries {
		if within := filepath.Join(dir, e.Name()); e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			inner, _ := os.ReadDir(within)
			f.add(within, inner)
		}
	}
	return f, nil
}

func (f *Folder) add(dir string, entries []os.DirEntry) {
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		switch {
		case e.IsDir() || strings.HasPrefix(e.Name(), "."):
		case strings.HasSuffix(path, tags.Suffix):
			f.Games = append(f.Games, path)
		case files.IsFilm(path):
			if _, err := os.Stat(strings.TrimSuffix(path, filepath.Ext(path)) + render.ManifestSuffix); err != nil {
				f.Films = append(f.Films, path)
			}
		}
	}
}
