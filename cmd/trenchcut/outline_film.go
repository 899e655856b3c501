package main

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
)

// reelFilm is film that was taken in one go: files of one camera, or of several by turns,
// or clips of one play each.
type reelFilm struct {
	angles []string // by turns; of clips one for each file
	files  []string
	clips  bool
	plays  []int // of clips: the number each file's name gives; nil where not all do
}

func (r *reelFilm) number(file int) int {
	if r.plays == nil {
		return 0
	}
	return r.plays[file]
}

// angle is the angle of a file; empty where angles come by turns.
func (r *reelFilm) angle(file int) string {
	switch {
	case len(r.angles) == 1:
		return r.angles[0]
	case r.clips:
		return r.angles[file]
	default:
		return ""
	}
}

// turns is how many angles come by turns.
func (r *reelFilm) turns() int {
	if r.clips {
		return 1
	}
	return len(r.angles)
}

var (
	angleForm = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)
	numeral   = regexp.MustCompile(`[0-9]+`)
)

// filmSuffixes is what names of film files end in.
var filmSuffixes = strings.Fields(".mp4 .m4v .mov .mkv .webm .mts .m2ts .ts .mpg .mpeg .mxf .avi .3gp")

// angleWords is what cameras' angles are called in names of files (common practice).
var angleWords = map[string]string{
	"endzone": "endzone", "ez": "endzone", "end": "endzone", "tight": "endzone",
	"sideline": "sideline", "sl": "sideline", "side": "sideline", "wide": "sideline",
}

// filmArguments reads [ANGLE[,ANGLE…]=]FILM arguments; all that is wrong with them at once.
func filmArguments(args []string) (reels []*reelFilm, errs []error) {
	for _, arg := range args {
		r, err := filmArgument(arg)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		// More files of the same camera are the same film, going on.
		i := slices.IndexFunc(reels, func(other *reelFilm) bool {
			return !r.clips && !other.clips && slices.Equal(r.angles, other.angles)
		})
		if i >= 0 {
			reels[i].files = append(reels[i].files, r.files...)
		} else {
			reels = append(reels, r)
		}
	}
	seen := map[string]bool{}
	for _, r := range reels {
		for _, f := range r.files {
			if seen[f] {
				errs = append(errs, fmt.Errorf("%s is named twice; angles by turns are sideline,endzone=FILM", f))
			}
			seen[f] = true
		}
	}
	return reels, errs
}

func filmArgument(arg string) (*reelFilm, error) {
	r := &reelFilm{}
	path := arg
	if names, rest, ok := strings.Cut(arg, "="); ok {
		angles := strings.Split(names, ",")
		if bad := slices.IndexFunc(angles, func(a string) bool { return !angleForm.MatchString(a) }); bad < 0 {
			r.angles, path = angles, rest
		} else if _, err := os.Stat(arg); err != nil {
			return nil, fmt.Errorf("%s: %q is no name for an angle: want small letters, digits and hyphens, such as endzone", arg, angles[bad])
		}
	}
	if path == "" {
		return nil, fmt.Errorf("%s names no film", arg)
	}
	sorted := slices.Sorted(slices.Values(r.angles))
	if len(slices.Compact(sorted)) < len(r.angles) {
		return nil, fmt.Errorf("%s names an angle twice", arg)
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return r, r.folder(path)
	case err == nil && !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is neither a file nor a folder", path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	r.files = []string{path}
	if r.angles == nil {
		angle := angleIn(filepath.Base(path))
		if angle == "" {
			return nil, fmt.Errorf("%s: its name does not tell the angle: write endzone=%s", arg, arg)
		}
		r.angles = []string{angle}
	}
	return r, nil
}

// folder finds the clips in a folder and in those within it.
func (r *reelFilm) folder(dir string) error {
	turns := r.angles
	r.clips, r.angles = true, nil
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		hidden := strings.HasPrefix(entry.Name(), ".") && path != dir
		switch {
		case entry.IsDir() && hidden:
			return filepath.SkipDir
		case !entry.IsDir() && !hidden && slices.Contains(filmSuffixes, strings.ToLower(filepath.Ext(path))):
			r.files = append(r.files, path)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if len(r.files) == 0 {
		return fmt.Errorf("%s: no film in it", dir)
	}
	slices.SortFunc(r.files, func(a, b string) int { return strings.Compare(inOrder(a), inOrder(b)) })
	var silent []string
	for i, file := range r.files {
		angle := ""
		if len(turns) > 0 {
			angle = turns[i%len(turns)]
		} else if angle = angleIn(filepath.Base(file)); angle == "" {
			angle = angleIn(filepath.Base(filepath.Dir(file)))
		}
		if angle == "" {
			silent = append(silent, filepath.Base(file))
		}
		r.angles = append(r.angles, angle)
	}
	if n := len(silent); n > 0 {
		return fmt.Errorf("%s: the names of %s do not tell the angle (%s…): write endzone=%s", dir, plural(n, "clip"), silent[0], dir)
	}
	r.plays = numbersIn(r.files, r.angles)
	if r.plays == nil && len(turns) > 1 && len(r.files)%len(turns) != 0 {
		return fmt.Errorf("%s: %s do not make plays of %s: number them, or put each angle in a folder of its own",
			dir, plural(len(r.files), "clip"), plural(len(turns), "angle"))
	}
	return nil
}

// inOrder is a name that sorts as people count: clip 9 before clip 10.
func inOrder(name string) string {
	return numeral.ReplaceAllStringFunc(strings.ToLower(name), func(digits string) string {
		return fmt.Sprintf("%12s", strings.TrimLeft(digits, "0"))
	})
}

// angleIn is the angle that a name tells, empty for none.
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

// numbersIn is the number of the play in each name: the first of the numbers in it that
// tells all clips of an angle apart; nil where there is none.
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
