package outline

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Footage is film that was taken in one go: files of one camera, files of several cameras
// by turns, or clips of one play each.
type Footage struct {
	Angles []string // by turns; of clips one for each file
	Files  []string // absolute paths, each of all its parts (files.Parts)
	Clips  bool
	Plays  []int // of clips: the play's number in each file's name; nil where not all have one
}

// play is the number of the play in a file's name, 0 for none.
func (f *Footage) play(file int) int {
	if f.Plays == nil {
		return 0
	}
	return f.Plays[file]
}

// angle is the angle of a file; empty where angles come by turns.
func (f *Footage) angle(file int) string {
	switch {
	case len(f.Angles) == 1:
		return f.Angles[0]
	case f.Clips:
		return f.Angles[file]
	default:
		return ""
	}
}

// turns is how many angles come by turns.
func (f *Footage) turns() int {
	if f.Clips {
		return 1
	}
	return len(f.Angles)
}

var numeral = regexp.MustCompile(`[0-9]+`)

// angleWords is the angle that a word in a file's name means (common practice).
var angleWords = map[string]string{
	"endzone": "endzone", "ez": "endzone", "end": "endzone", "tight": "endzone",
	"sideline": "sideline", "sl": "sideline", "side": "sideline", "wide": "sideline",
}

// FindFootage reads [ANGLE[,ANGLE…]=]PATH for each of names, where PATH is a film file, the
// files of a folder that a camera cut one film into as ONE+NEXT, or a folder of clips. Without
// an angle, the name of the file or folder must tell it. Several files of one angle are one
// Footage. The error is everything that is wrong, joined.
func FindFootage(names []string) ([]*Footage, error) {
	var all []*Footage
	var errs []error
	for _, name := range names {
		f, err := findFootage(name)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		// Another file of the same camera is more of the same film.
		i := slices.IndexFunc(all, func(other *Footage) bool {
			return !f.Clips && !other.Clips && slices.Equal(f.Angles, other.Angles)
		})
		if i >= 0 {
			all[i].Files = append(all[i].Files, f.Files...)
		} else {
			all = append(all, f)
		}
	}
	seen := map[string]bool{}
	for _, f := range all {
		for _, whole := range f.Files {
			parts := files.Parts(whole)
			for _, file := range parts {
				if seen[file] {
					errs = append(errs, fmt.Errorf("%s is named twice; name film with angles by turns as sideline,endzone=FILM", file))
				}
				seen[file] = true
			}
			if len(parts) > 1 && !onlyFilm(whole, f.Angles, all) {
				errs = append(errs, fmt.Errorf("%s: film of several parts must be all the film of its angle", files.Base(whole)))
			}
		}
	}
	return all, errors.Join(errs...)
}

// onlyFilm reports whether no other file in all is of any of the angles.
func onlyFilm(file string, angles []string, all []*Footage) bool {
	for _, f := range all {
		if slices.ContainsFunc(f.Angles, func(a string) bool { return slices.Contains(angles, a) }) && !slices.Equal(f.Files, []string{file}) {
			return false
		}
	}
	return true
}

func findFootage(arg string) (*Footage, error) {
	f := &Footage{}
	path := arg
	if names, rest, ok := strings.Cut(arg, "="); ok {
		angles := strings.Split(names, ",")
		if bad := slices.IndexFunc(angles, func(a string) bool { return !tags.ID.MatchString(a) }); bad < 0 {
			f.Angles, path = angles, rest
		} else if _, err := os.Stat(arg); err != nil {
			return nil, fmt.Errorf("%s: %q is not a name for an angle: want small letters, digits and hyphens, such as endzone", arg, angles[bad])
		}
	}
	if path == "" {
		return nil, fmt.Errorf("%s names no film", arg)
	}
	sorted := slices.Sorted(slices.Values(f.Angles))
	if len(slices.Compact(sorted)) < len(f.Angles) {
		return nil, fmt.Errorf("%s names an angle twice", arg)
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if parts := partsIn(path); parts != nil {
		if len(f.Angles) == 0 {
			return nil, fmt.Errorf("%s: write which angle these parts are of, as endzone=%s", arg, arg)
		}
		f.Files = []string{files.Whole(parts)}
		return f, nil
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return f, f.folder(path)
	case err == nil && !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is neither a file nor a folder", path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	f.Files = []string{path}
	if f.Angles == nil {
		angle := angleIn(filepath.Base(path))
		if angle == "" {
			return nil, fmt.Errorf("%s: its name does not tell the angle: write endzone=%s", arg, arg)
		}
		f.Angles = []string{angle}
	}
	return f, nil
}

// partsIn returns the files that path names as one+next+…, all in one folder; nil where path is a
// file itself, or some part is none.
func partsIn(path string) []string {
	dir, names := filepath.Split(path)
	if _, err := os.Stat(path); err == nil || !strings.Contains(names, "+") {
		return nil
	}
	parts := strings.Split(names, "+")
	for i, name := range parts {
		parts[i] = filepath.Join(dir, name)
		if info, err := os.Stat(parts[i]); err != nil || !info.Mode().IsRegular() {
			return nil
		}
	}
	return parts
}

// folder finds the clips in a folder and in the folders within it.
func (f *Footage) folder(dir string) error {
	turns := f.Angles
	f.Clips, f.Angles = true, nil
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		hidden := strings.HasPrefix(entry.Name(), ".") && path != dir
		switch {
		case entry.IsDir() && hidden:
			return filepath.SkipDir
		case !entry.IsDir() && !hidden && files.IsFilm(path):
			f.Files = append(f.Files, path)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if len(f.Files) == 0 {
		return fmt.Errorf("%s: no film in it", dir)
	}
	slices.SortFunc(f.Files, func(a, b string) int { return strings.Compare(inOrder(a), inOrder(b)) })
	var silent []string
	for i, file := range f.Files {
		angle := ""
		if len(turns) > 0 {
			angle = turns[i%len(turns)]
		} else if angle = angleIn(filepath.Base(file)); angle == "" {
			angle = angleIn(filepath.Base(filepath.Dir(file)))
		}
		if angle == "" {
			silent = append(silent, filepath.Base(file))
		}
		f.Angles = append(f.Angles, angle)
	}
	if n := len(silent); n > 0 {
		return fmt.Errorf("%s: the names of %s do not tell the angle (%s…): write endzone=%s", dir, tags.Count(n, "clip"), silent[0], dir)
	}
	f.Plays = numbersIn(f.Files, f.Angles)
	if f.Plays == nil && len(turns) > 1 && len(f.Files)%len(turns) != 0 {
		return fmt.Errorf("%s: %s do not make plays of %s: number them, or put each angle in a folder of its own",
			dir, tags.Count(len(f.Files), "clip"), tags.Count(len(turns), "angle"))
	}
	return nil
}

// inOrder changes a name so that names sort by their numbers: clip 9 before clip 10.
func inOrder(name string) string {
	return numeral.ReplaceAllStringFunc(strings.ToLower(name), func(digits string) string {
		return fmt.Sprintf("%12s", strings.TrimLeft(digits, "0"))
	})
}

// angleIn is the angle that a file's name tells, empty for none.
func angleIn(name string) string {
	name = strings.TrimSuffix(name, filepath.Ext(name))
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r < 'a' || r > 'z' })
	for _, w := range words {
		if angle, ok := angleWords[w]; ok {
			return angle
		}
	}
	return ""
}

// numbersIn is the number of the play in each file's name: the first number in it that
// differs between all clips of an angle. It is nil where no number does.
func numbersIn(files, angles []string) []int {
	for place := range 4 {
		plays := make([]int, len(files))
		seen := map[string]bool{}
		ok := true
		for i, file := range files {
			name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
			all := numeral.FindAllString(name, -1)
			if place >= len(all) || len(all[place]) > 4 {
				ok = false
				break
			}
			plays[i], _ = strconv.Atoi(all[place])
			key := fmt.Sprint(angles[i], " ", plays[i])
			if seen[key] || plays[i] == 0 {
				ok = false
				break
			}
			seen[key] = true
		}
		if ok {
			return plays
		}
	}
	return nil
}
