package exchange

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Form is a form in which plays or reps are written for other programs.
type Form struct {
	Name   string
	Ext    string // of its files, with the dot
	OfReps bool   // it tells reps; else plays
	OnFilm bool   // it is of one angle, whose film must be known
	Binary bool
}

// The forms there are.
var (
	CSV       = Form{Name: "csv", Ext: ".csv"}
	XLSX      = Form{Name: "xlsx", Ext: ".xlsx", Binary: true}
	JSONLines = Form{Name: "jsonl", Ext: ".jsonl", OfReps: true}
	Chapters  = Form{Name: "webvtt", Ext: ".vtt", OnFilm: true}
	Timeline  = Form{Name: "otio", Ext: ".otio", OnFilm: true}

	forms = []Form{CSV, XLSX, JSONLines, Chapters, Timeline}
)

// FormNames is the names of all forms.
func FormNames() []string {
	names := make([]string, len(forms))
	for i, f := range forms {
		names[i] = f.Name
	}
	return names
}

// FormOf is the form called name; where that is empty, the one that the file to write is
// named for. An empty file is the standard output.
func FormOf(name, file string) (Form, error) {
	ext := strings.ToLower(filepath.Ext(file))
	i := slices.IndexFunc(forms, func(f Form) bool { return f.Name == name || name == "" && f.Ext == ext })
	if i < 0 {
		err := fmt.Errorf("unknown form %q: want one of %s", name, strings.Join(FormNames(), ", "))
		if name == "" {
			err = fmt.Errorf("name the form, one of %s", strings.Join(FormNames(), ", "))
		} else if hint := tags.DidYouMean(name, FormNames()); hint != "" {
			err = fmt.Errorf("unknown form %q; %s", name, hint)
		}
		return Form{}, err
	}
	form := forms[i]
	switch {
	case file == "" && form.Binary:
		return form, fmt.Errorf("%s is not text: name a file to write", form.Name)
	case file != "" && ext != form.Ext:
		return form, fmt.Errorf("output %s: the name of a %s file ends in %s", file, form.Name, form.Ext)
	}
	return form, nil
}

// PlayExport is plays to be written in a form that tells plays.
type PlayExport struct {
	Plays   []*tags.Play           // at least one
	Title   string                 // of a timeline
	Angle   string                 // of a form on film; empty is the first angle that a play is on
	Extents map[string]tags.Extent // of a form on film: what is known of each file
	Folder  string                 // where a timeline will lie; empty where that is not known
}

// ErrNotOneFilm says that chapters were asked for of plays on several films.
var ErrNotOneFilm = errors.New("chapters are of one film")

// Write writes the plays in a form. It returns the angle of a form on film and how many plays
// are not on it and were left out. It fails with [ErrNoShot] where none is on the angle.
func (e PlayExport) Write(w io.Writer, form Form) (angle string, left int, err error) {
	switch form {
	case CSV:
		return "", 0, playSheet(e.Plays).WriteCSV(w)
	case XLSX:
		return "", 0, playSheet(e.Plays).WriteXLSX(w)
	}
	var angles []string
	for _, p := range e.Plays {
		for _, name := range p.Angles() {
			if !slices.Contains(angles, name) {
				angles = append(angles, name)
			}
		}
	}
	angle = e.Angle
	if angle == "" && len(angles) > 0 {
		angle = angles[0]
	}
	shots, err := Shots(e.Plays, angle, e.Extents)
	if errors.Is(err, ErrNoShot) {
		return angle, 0, fmt.Errorf("%w; the plays chosen are on %s", err, strings.Join(angles, ", "))
	}
	if err != nil {
		return angle, 0, err
	}
	left = len(e.Plays) - len(shots)
	if form == Chapters {
		return angle, left, writeChapters(w, shots)
	}
	return angle, left, writeTimeline(w, e.Title, shots, e.Folder)
}
