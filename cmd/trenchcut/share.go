package main

import (
	"cmp"
	"context"
	"fmt"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/tags"
)

// leak is what a folder to be handed out tells of somebody else.
type leak struct {
	file string
	what string
}

// checkShare reads what is to be handed out, a folder of players' folders or one player's, and
// says what of it tells of another player: his name, what was noted to him or graded, which
// film it is from. A file is its folder's player's; where no player has that name, nobody's.
func checkShare(ctx context.Context, season *tags.Season, tool ffmpeg.Tool, folder string) (leaks []leak, looked int, err error) {
	whole, err := filepath.Abs(folder) // its name, where it is named as "."
	if err != nil {
		return nil, 0, err
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, 0, usageError{err: err}
	}
	known, owners := secretsOf(season), ownersOf(season)
	for _, e := range entries {
		whose := owners[filepath.Base(whole)]
		if e.IsDir() {
			whose = owners[e.Name()]
		}
		err := filepath.WalkDir(filepath.Join(folder, e.Name()), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := textOf(ctx, tool, path)
			if err != nil {
				return err
			}
			looked++
			if text == "" {
				leaks = append(leaks, leak{path, "packed text, which cannot be looked through"})
				return nil
			}
			for _, s := range known {
				if !s.of(whose) && s.in(text) {
					leaks = append(leaks, leak{path, s.what})
				}
			}
			return nil
		})
		if err != nil {
			return nil, looked, err
		}
	}
	if looked == 0 {
		return nil, 0, usageError{err: fmt.Errorf("%s holds no file: nothing was looked through", folder)}
	}
	return leaks, looked, ctx.Err()
}

// secret is a text that only its owner, by id, may have.
type secret struct {
	owner string // empty is nobody who is given a folder
	text  string // in plain words
	what  string
	who   bool // it is who he is, which a folder by number does not tell either
}

// owner is whose folder it is, and whether its name says so.
type owner struct {
	id    string
	named bool
}

// ownersOf is whose folder is of which name, however players are named.
func ownersOf(season *tags.Season) map[string]owner {
	owners := map[string]owner{}
	for _, names := range []plan.Names{plan.NoNames, plan.ByNumber, plan.FullNames} {
		for _, g := range season.Games {
			for id, p := range g.People {
				if g.Ours(p) {
					owners[reel.FolderOf(season, id, names)] = owner{id, names == plan.FullNames}
				}
			}
		}
	}
	return owners
}

// of reports whether the secret is the owner's, and may be in his folder.
func (s secret) of(o owner) bool { return s.owner != "" && s.owner == o.id && (o.named || !s.who) }

// in reports whether the secret stands in a text in plain words.
func (s secret) in(text string) bool { return strings.Contains(" "+text+" ", " "+s.text+" ") }

// secretsOf is what the games know of our players that is theirs alone, and of film that is
// the coordinator's.
func secretsOf(season *tags.Season) []secret {
	var list []secret
	who := false
	add := func(owner, text, what string) {
		if text = plainWords(text); len([]rune(text)) >= 3 {
			list = append(list, secret{owner, text, what, who})
		}
	}
	for _, g := range season.Games {
		for id, p := range g.People {
			if !g.Ours(p) {
				continue
			}
			who = true
			add(id, p.Name, "the name of "+p.Shown())
			add(id, id, "the id of "+p.Shown())
			who = false
		}
		for _, f := range g.Files() {
			add("", filepath.Base(f.File), "the name of the film "+filepath.Base(f.File))
		}
		for _, play := range g.Plays {
			for _, r := range play.Reps {
				add(r.Rusher.ID, r.Note, "the note of "+r.Name())
				add(r.Rusher.ID, r.Point, "the point of "+r.Name())
				for key, grade := range map[string]string{"assignment": r.Assignment, "technique": r.Technique, "effort": r.Effort} {
					if grade != "" {
						add(r.Rusher.ID, r.Name()+" "+key+" "+grade, "a grade of "+r.Name())
					}
				}
			}
		}
	}
	slices.SortFunc(list, func(a, b secret) int {
		return cmp.Or(cmp.Compare(a.what, b.what), cmp.Compare(a.text, b.text), cmp.Compare(a.owner, b.owner))
	})
	return slices.CompactFunc(list, func(a, b secret) bool { return a == b })
}

// plainWords is text as it is compared: case, spacing and punctuation do not tell it apart.
func plainWords(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}), " ")
}

// packed is how files begin whose text cannot be read as it stands: PDF, and ZIP, which
// spreadsheets are.
var packed = []string{"%PDF-", "PK\x03\x04", "\x1f\x8b"}

// textOf is what can be read in a file: the tables of film, and the whole of any other
// kind; nothing of what is packed. What is burned into a picture cannot.
func textOf(ctx context.Context, tool ffmpeg.Tool, path string) (string, error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".mp4", ".mov", ".mkv":
		text, err := tool.Metadata(ctx, path)
		return plainWords(filepath.Base(path) + " " + text), err
	default:
		data, err := os.ReadFile(path)
		if err != nil {
			return "", fmt.Errorf("look through what is shared: %w", err)
		}
		if slices.ContainsFunc(packed, func(head string) bool { return strings.HasPrefix(string(data), head) }) {
			return "", nil
		}
		return plainWords(filepath.Base(path) + " " + html.UnescapeString(string(data))), nil
	}
}
