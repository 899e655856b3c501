package exchange

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Folder is what another staff hands over: film, tag files, play sheets and words. It is taken
// in whole, as a new folder among our games, where its people and games have ids of their own.
type Folder struct {
	From  string          // their folder
	Into  string          // the folder to make
	Team  string          // whose it is, for tag files that do not say; may be empty
	Link  bool            // film is linked to (by hard link) where that can be done, not copied
	Ours  []*tags.Game    // what it must keep apart from
	Staff tags.StaffFiles // our words
}

// Taking is what taking a folder in does.
type Taking struct {
	Lines  []string    // what was understood, and what is left out and why
	Faults tags.Faults // why nothing can be taken in
	Games  int
	Films  int
	Bytes  int64 // of film

	folder Folder
	files  []files.File // by their places below Into
	films  []string     // likewise
}

// The bounds of a folder. More is no season of a staff.
const (
	mostFiles = 20_000
	mostWords = 4 << 20 // bytes of a vocabulary
)

// Among says which games f comes among: those at paths, or where there are none below the current
// folder, if any. words is the staff's own vocabulary files; nil is those found. Faults are those
// of our files.
func (f *Folder) Among(paths, words []string) (tags.Faults, error) {
	var err error
	if f.Staff, err = tags.FindStaffFiles(paths); err != nil {
		return nil, err
	}
	if words != nil {
		f.Staff.Vocabulary = words
	}
	vocabulary, faults, err := tags.LoadVocabulary(f.Staff)
	if err != nil || faults.Err() != nil {
		return faults, err
	}
	names, err := tags.FindGames(paths)
	if err != nil { // none yet
		return nil, nil
	}
	season, faults, err := tags.Cache{}.Load(names, vocabulary)
	if err != nil {
		return nil, err
	}
	f.Ours = append(season.Games, season.Second...)
	return faults, nil
}

// Check refuses places that cannot be right, before anything is read.
func (f Folder) Check() error {
	if _, err := os.Lstat(f.Into); err == nil {
		return fmt.Errorf("%s is there already: name another folder with --into", f.Into)
	}
	from, err := filepath.Abs(f.From)
	if err != nil {
		return err
	}
	into, err := filepath.Abs(f.Into)
	if err != nil {
		return err
	}
	if below(from, into) {
		return fmt.Errorf("%s lies in %s itself: name a folder of yours with --into", f.Into, f.From)
	}
	for _, g := range f.Ours {
		if file, err := filepath.Abs(g.Pos.File); err == nil && below(from, file) {
			return fmt.Errorf("%s holds %s, which is one of your games: run this where your season is, with their folder outside it", f.From, g.Pos.File)
		}
	}
	return nil
}

// below reports whether name lies in folder or is it; both are absolute.
func below(folder, name string) bool {
	rel, err := filepath.Rel(folder, name)
	return err == nil && filepath.IsLocal(rel)
}

// Read finds what taking f in does; nothing is written. What is wrong with the folder is the
// Taking's Faults.
func (f Folder) Read(ctx context.Context) (*Taking, error) {
	if err := f.Check(); err != nil {
		return nil, tags.WrongRequest(err)
	}
	root, err := os.OpenRoot(f.From)
	if err != nil {
		return nil, tags.WrongRequest(err)
	}
	defer root.Close()
	t := &Taking{folder: f}
	names, err := t.list(ctx, root)
	if err != nil {
		return nil, err
	}
	if t.Faults.Err() != nil {
		return t, nil
	}
	words, err := t.words(root, names)
	if err != nil {
		return nil, err
	}
	if err := t.games(ctx, root, names, words); err != nil {
		return nil, err
	}
	if t.Games == 0 && t.Faults.Err() == nil {
		t.Faults.Add(tags.Pos{File: f.From}, "it holds no tag file (*%s) and no play sheet: film alone is for outline", tags.Suffix)
	}
	t.Faults.Sort()
	return t, nil
}

// list is the plain files of the folder, by their places in it. What is hidden is passed over.
// Whatever else a folder may hold is a fault: a link may lead anywhere, and a pipe keeps who
// reads it waiting.
func (t *Taking) list(ctx context.Context, root *os.Root) ([]string, error) {
	var names []string
	alike := map[string]string{}
	seen := 0
	err := fs.WalkDir(root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		pos := tags.Pos{File: filepath.Join(t.folder.From, name)}
		seen++
		switch {
		case ctx.Err() != nil:
			return context.Cause(ctx)
		case err != nil:
			t.Faults.Add(pos, "it cannot be read: %v", err)
			return nil
		case seen > mostFiles:
			return tags.WrongRequest(fmt.Errorf("%s holds more than %d files: hand over one season's", t.folder.From, mostFiles))
		case name != "." && strings.HasPrefix(entry.Name(), "."):
			if entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		case entry.Type()&fs.ModeSymlink != 0:
			t.Faults.Add(pos, "it is a link: put the file itself in its place")
			return nil
		case !entry.IsDir() && !entry.Type().IsRegular():
			t.Faults.Add(pos, "it is no plain file: take it out of the folder")
			return nil
		}
		if other, twice := alike[strings.ToLower(name)]; twice {
			t.Faults.Add(pos, "its name is that of %s but for capitals: rename one", other)
		}
		alike[strings.ToLower(name)] = name
		if !entry.IsDir() {
			names = append(names, name)
		}
		return nil
	})
	return names, err
}

// sheetName reports whether a file is a play sheet by its name. The record of what sheets said,
// which import keeps, is none.
func sheetName(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".csv", ".tsv", ".xlsx":
		return !strings.HasSuffix(name, ledgerSuffix)
	}
	return false
}

// games takes in the tag files and the play sheets among names.
func (t *Taking) games(ctx context.Context, root *os.Root, names []string, v *tags.Vocabulary) error {
	data := map[string][]byte{} // of each tag file
	film := map[string]bool{}
	for _, name := range names {
		film[name] = true
		if !strings.HasSuffix(name, tags.Suffix) {
			continue
		}
		text, err := readIn(root, name, mostTags)
		if err != nil {
			t.Faults.Add(tags.Pos{File: filepath.Join(t.folder.From, name)}, "%v", err)
			continue
		}
		data[name] = text
	}
	for _, name := range names {
		if sheetName(name) {
			if err := t.sheet(ctx, name, data, v); err != nil {
				return err
			}
		}
	}
	var theirs []*theirGame
	for _, name := range names {
		if text, ok := data[name]; ok {
			theirs = append(theirs, t.read(name, text, v))
			delete(data, name)
		}
	}
	for name, text := range data { // made of a sheet
		theirs = append(theirs, t.read(name, text, v))
	}
	slices.SortFunc(theirs, func(a, b *theirGame) int { return strings.Compare(a.name, b.name) })
	if t.Faults.Err() != nil {
		return nil
	}
	renamed := t.rename(theirs)
	for _, g := range theirs {
		t.take(root, g, renamed, film, v)
	}
	if t.Faults.Err() != nil {
		return nil
	}
	for _, name := range names {
		switch {
		case strings.HasSuffix(name, tags.Suffix), strings.HasSuffix(name, tags.VocabularySuffix), sheetName(name), slices.Contains(t.films, name), strings.HasSuffix(name, tags.ReadsSuffix):
		default:
			t.say("left: %s, which no tag file names", name)
		}
	}
	return nil
}

// sheet brings a play sheet into the tag file of its name, or makes that.
func (t *Taking) sheet(ctx context.Context, name string, data map[string][]byte, v *tags.Vocabulary) error {
	stem := strings.TrimSuffix(name, path.Ext(name))
	game := stem + tags.Suffix
	if _, ok := data[game]; !ok {
		for other := range data {
			if path.Dir(other) == path.Dir(name) {
				t.say("left: %s, because no tag file has its name: import it into the one it is of", name)
				return nil
			}
		}
		game = path.Join(path.Dir(stem), idOf(path.Base(stem))+tags.Suffix)
	}
	where := filepath.Join(t.folder.From, name)
	// Nothing keeps a record of what a sheet in their folder said before.
	change, err := Import{Sheet: where, Into: filepath.Join(t.folder.Into, filepath.FromSlash(game))}.Merge(ctx, data[game], v)
	var faults tags.Faults
	switch {
	case errors.As(err, &faults):
		t.Faults = append(t.Faults, faults...)
		return nil
	case err != nil:
		t.Faults.Add(tags.Pos{File: where}, "%v", err)
		return nil
	}
	t.Faults = append(t.Faults, change.Faults...)
	t.say("%s: %s added to %s, %s filled, %s kept where the sheet differs", name, tags.Count(change.Added, "play"), game, tags.Count(change.Filled, "value"), tags.Count(change.Differs, "value"))
	data[game] = change.Data
	return nil
}

func (t *Taking) say(format string, args ...any) {
	t.Lines = append(t.Lines, fmt.Sprintf(format, args...))
}

// readIn reads a plain file of a folder, of at most so many bytes.
func readIn(root *os.Root, name string, most int64) ([]byte, error) {
	info, err := root.Lstat(name)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, errors.New("it is no plain file")
	case info.Size() > most:
		return nil, fmt.Errorf("it is larger than %d MB", most>>20)
	}
	return root.ReadFile(name)
}
