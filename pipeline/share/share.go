// Package share looks through what is about to be handed out and says what of it tells of
// somebody else.
//
// The rule is short. A film or a picture is taken for what it is only where this program
// made it for this very folder, byte for byte, which the manifest beside the reel says. All
// else is read through, as text, or is named as not looked through. What is found is who
// another player is, what was noted to him or graded, and the film that it is from.
package share

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Leak is something in a file that tells of somebody else.
type Leak struct {
	File string
	What string // "the name of #55 Ike Okafor"
}

// Unread is a file that was not looked through, or not all of it.
type Unread struct {
	File string
	Why  string
}

// Report is what was found in a folder, in order of the files.
type Report struct {
	Folder string
	Files  int // that were looked at
	Leaks  []Leak
	Unread []Unread
}

// LeaksError says that what is to be handed out tells of somebody else.
type LeaksError struct {
	Folder string
	Leaks  int
	Unread int // files that were not looked through, or not all of them
}

func (e *LeaksError) Error() string {
	said := fmt.Sprintf("%s tells of others in %s: do not hand it out", e.Folder, tags.Count(e.Leaks, "place"))
	if e.Unread > 0 {
		said += fmt.Sprintf("; %s could not be looked through besides", tags.Count(e.Unread, "file"))
	}
	return said
}

// Lines is what was found, a line each.
func (r Report) Lines() []string {
	var lines []string
	for _, l := range r.Leaks {
		lines = append(lines, fmt.Sprintf("%s: holds %s", l.File, l.What))
	}
	for _, u := range r.Unread {
		lines = append(lines, fmt.Sprintf("not looked through: %s: %s", u.File, u.Why))
	}
	return lines
}

// Err is a [LeaksError] where something tells of somebody else, another error where not all
// could be looked through, and nil where nothing tells.
func (r Report) Err() error {
	files := map[string]bool{}
	for _, u := range r.Unread {
		files[u.File] = true
	}
	switch {
	case len(r.Leaks) > 0:
		return &LeaksError{r.Folder, len(r.Leaks), len(files)}
	case len(files) > 0:
		return fmt.Errorf("%s: nothing tells of another player in what was read, but %s could not be looked through: look at what is named before it is handed out",
			r.Folder, tags.Count(len(files), "file"))
	default:
		return nil
	}
}

// Check looks through a folder of players' folders, or one player's own. A file is its
// folder's player's; where no player has a folder of that name, nobody's. It fails where ctx
// ends, and with a [tags.RequestError] where the folder cannot be listed or holds nothing; a file
// that cannot be read is in the report.
func Check(ctx context.Context, season *tags.Season, tool ffmpeg.Tool, folder string) (Report, error) {
	whole, err := filepath.Abs(folder) // its name, where it is named as "."
	if err != nil {
		return Report{}, tags.WrongRequest(err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return Report{}, tags.WrongRequest(err)
	}
	c := &check{ctx: ctx, tool: tool, book: secretsOf(season), owners: ownersOf(season), secrets: map[string][]secret{}}
	top := filepath.Base(whole)
	for _, e := range entries {
		path := filepath.Join(folder, e.Name())
		if !e.IsDir() {
			c.file(path, e.Name(), top, e)
			continue
		}
		whose := top
		if _, his := c.owners[top]; !his {
			whose = e.Name()
		}
		c.folder(path, whose, folder)
	}
	slices.SortFunc(c.report.Leaks, func(a, b Leak) int { return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.What, b.What)) })
	c.report.Leaks = slices.Compact(c.report.Leaks)
	slices.SortFunc(c.report.Unread, func(a, b Unread) int { return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Why, b.Why)) })
	c.report.Unread = slices.Compact(c.report.Unread)
	c.report.Folder = folder
	if c.report.Files+len(c.report.Leaks)+len(c.report.Unread) == 0 && ctx.Err() == nil {
		return c.report, tags.WrongRequest(fmt.Errorf("%s holds no file: nothing was looked through", folder))
	}
	return c.report, ctx.Err()
}

// owner is whose folder it is, and whether its name says so.
type owner struct {
	id    string
	name  string
	named bool
}

// ownersOf is whose folder is of which name, however players are named.
func ownersOf(season *tags.Season) map[string]owner {
	owners := map[string]owner{}
	for _, names := range []plan.Names{plan.NoNames, plan.ByNumber, plan.FullNames} {
		for _, g := range season.Games {
			for id, p := range g.People {
				if g.Ours(p) {
					owners[names.Folder(season, id)] = owner{id, p.Name, names == plan.FullNames}
				}
			}
		}
	}
	return owners
}

// check is one run through a folder.
type check struct {
	ctx     context.Context
	tool    ffmpeg.Tool
	book    *book
	owners  map[string]owner
	secrets map[string][]secret // by the name of the folder
	report  Report
}

// of is the secrets that a folder of that name may not tell.
func (c *check) of(folder string) []secret {
	list, ok := c.secrets[folder]
	if !ok {
		list = c.book.of(c.owners[folder])
		c.secrets[folder] = list
	}
	return list
}

func (c *check) leak(file, what string) { c.report.Leaks = append(c.report.Leaks, Leak{file, what}) }

func (c *check) unread(file, why string) {
	c.report.Unread = append(c.report.Unread, Unread{file, why})
}

// folder goes through a folder of whose, below the folder that is handed out. The names of
// folders below his own are read as well.
func (c *check) folder(path, whose, below string) {
	err := filepath.WalkDir(path, func(at string, d fs.DirEntry, err error) error {
		if c.ctx.Err() != nil {
			return c.ctx.Err()
		}
		name, _ := filepath.Rel(below, at)
		if err != nil {
			c.unread(at, plainError(err))
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if filepath.Base(at) == whose && at == path {
			name = ""
		} else {
			name = strings.TrimPrefix(filepath.ToSlash(name), whose+"/")
		}
		c.file(at, name, whose, d)
		return nil
	})
	if err != nil && c.ctx.Err() == nil {
		c.unread(path, plainError(err))
	}
}

// file looks at one file or folder. Name is the part of its path that is read as text.
func (c *check) file(path, name, whose string, d fs.DirEntry) {
	secrets := c.of(whose)
	found := func(in string) func(text string, binary bool) {
		return func(text string, binary bool) { c.search(secrets, in, text, binary) }
	}
	found(path)(name, false)
	c.searchName(secrets, path, name)
	attributes, err := attributesOf(path)
	if err != nil {
		c.unread(path, "its attributes: "+plainError(err))
	}
	r := &reader{ctx: c.ctx, tool: c.tool, found: found, unread: c.unread, left: mostUnpacked}
	for _, a := range attributes {
		r.bytes(path, a, 1)
	}
	if d.IsDir() {
		return
	}
	c.report.Files++
	switch mode := d.Type(); {
	case mode&fs.ModeSymlink != 0:
		if to, err := os.Readlink(path); err == nil {
			found(path)(to, false)
		}
		c.unread(path, "it is a link to something else")
	case !mode.IsRegular():
		c.unread(path, "it is no plain file")
	default:
		r.ours = c.ours(path, whose)
		r.file(path)
	}
}

// search looks for secrets in a text, in each way that it may be written.
func (c *check) search(secrets []secret, path, text string, binary bool) {
	if strings.TrimSpace(text) == "" {
		return
	}
	ways := []string{text}
	if !binary {
		ways = readings(text)
	}
	for _, way := range ways {
		f := fold(way)
		rest := c.book.untold(f)
		for _, s := range secrets {
			in := rest
			if s.who {
				in = f
			}
			if s.in(way, in, binary) {
				c.leak(path, s.what)
			}
		}
	}
}

// searchName looks for ids among the names in a path.
func (c *check) searchName(secrets []secret, path, name string) {
	for part := range strings.SplitSeq(filepath.ToSlash(name), "/") {
		stem := fold(strings.TrimSuffix(part, filepath.Ext(part))).words
		for _, s := range secrets {
			if stem != " " && slices.Contains(s.folders, stem) {
				c.leak(path, s.what)
			}
		}
	}
}

// plainError is an error without the path, which is told already.
func plainError(err error) string {
	var inPath *fs.PathError
	if errors.As(err, &inPath) {
		err = inPath.Err
	}
	return err.Error()
}
