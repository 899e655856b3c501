package tags

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"trenchcut/tags/files"
)

// windowsDrive begins a name on a drive of Windows.
var windowsDrive = regexp.MustCompile(`^[A-Za-z]:/`)

// filmPath is name as written in the tag file at file: relative names start there. A backslash
// parts folders as a slash does, on every system, so that a tag file of Windows is read
// elsewhere, unless a file lies here whose name has the backslash in it. A name on a drive of
// Windows is itself, also where there are no drives.
func filmPath(file, name string) (string, error) {
	if strings.Contains(name, `\`) && filepath.Separator == '/' {
		if path, err := from(file, name); err == nil {
			if _, err := os.Stat(path); err == nil {
				return path, nil
			}
		}
	}
	name = strings.ReplaceAll(name, `\`, "/")
	if name == "" || windowsDrive.MatchString(name) {
		return filepath.FromSlash(name), nil
	}
	return from(file, name)
}

// from is the path of a name with slashes that starts at the folder of a tag file, or at the root.
func from(file, name string) (string, error) {
	folder := filepath.Dir(file)
	if strings.HasPrefix(name, "/") {
		folder = ""
	}
	path, err := filepath.Abs(filepath.Join(folder, name))
	if err != nil {
		return "", fmt.Errorf("find film %q: %w", name, err)
	}
	return path, nil
}

// OnOtherDrive reports whether path is on a drive of Windows, and this is another system.
func OnOtherDrive(path string) bool {
	return filepath.Separator == '/' && windowsDrive.MatchString(path)
}

// spellFilms names the films of g as the disk spells them. It is done whenever g is read: a
// file may be spelled otherwise the next time.
func (g *Game) spellFilms() {
	known := map[string]string{}
	spell := func(path *string) {
		if *path == "" {
			return
		}
		there, ok := known[*path]
		if !ok {
			there = files.AsOnDisk(*path)
			known[*path] = there
		}
		*path = there
	}
	for i := range g.Films {
		spell(&g.Films[i].File)
	}
	for _, p := range g.Plays {
		for i := range p.angles {
			spell(&p.angles[i].File)
		}
	}
}
