package tags

import (
	"fmt"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"gopkg.in/yaml.v3"

	"trenchcut/tags/files"
)

// ParseGame reads one tag file. The game holds whatever could be read, and the faults
// say what could not: one bad rep never hides another.
func ParseGame(file string, data []byte, v *Vocabulary) (*Game, Faults) {
	g, _, faults := ParseGameTree(file, data, v)
	return g, faults
}

// ParseGameTree is ParseGame, with the tree that the game was read from: its plays and reps
// stand in it in the order of the game's. It is nil where the file holds no tree.
func ParseGameTree(file string, data []byte, v *Vocabulary) (*Game, *yaml.Node, Faults) {
	r := newGameReader(file, v)
	r.elsewhere = r.rightPlace
	var top *yaml.Node
	r.top = func(n *yaml.Node) { top = n }
	r.parse(data)
	r.Faults.Sort()
	return r.game, top, r.Faults
}

// ReadGame is ParseGame of a file that was parsed already, without fault.
func ReadGame(file string, t Tree, v *Vocabulary) (*Game, Faults) {
	r := newGameReader(file, v)
	r.elsewhere = r.rightPlace
	r.data = t.Data
	r.read(func(what string, keys Keys) bool { return r.topLevel(t.Top, what, keys) })
	r.game.spellFilms()
	r.Faults.Sort()
	return r.game, r.Faults
}

func newGameReader(file string, v *Vocabulary) *gameReader {
	return &gameReader{
		Decoder: Decoder{File: file},
		v:       v,
		game:    &Game{Pos: Pos{File: file}, People: map[string]*Person{}, vocabulary: v},
	}
}

func (r *gameReader) parse(data []byte) {
	r.read(func(what string, keys Keys) bool { return r.Document(data, what, keys) })
}

func (r *gameReader) read(document func(what string, keys Keys) bool) {
	var plays []func()
	identified := false
	if document("the tag file", Keys{
		"game":   func(n *yaml.Node) { identified = r.readGame(n) },
		"film":   r.readFilms,
		"people": r.readPeople,
		"assume": r.readAssume,
		// Plays need the films, the people and the assume, which may stand below them.
		"plays": func(n *yaml.Node) { plays = append(plays, func() { r.readPlays(n) }) },
	}) && !identified {
		r.Faults.Add(Pos{r.File, 1, 1}, "the game has no id: want game: {id: wk1-harbor, …}")
	}
	for _, p := range r.game.People {
		if p.Team == Them {
			p.Team = r.game.TheirTeam()
		}
	}
	for _, read := range plays {
		read()
	}
	r.Faults = append(r.Faults, r.game.check()...)
}

type gameReader struct {
	Decoder
	v    *Vocabulary
	game *Game

	// A season has a hundred thousand reps, so the readers of the keys are made once, and
	// read into play and rep.
	play     longPlay
	playKeys Keys
	rep      longRep
	repKeys  Keys

	meant map[meaning]*Person // who was found by other than his id
}

// The methods below make the readers of keys that hold one word of the vocabulary, free
// text, an instant, or yes or no.

func (r *gameReader) word(key string, into *string) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.Word(n, r.v, key) }
}

func (r *gameReader) text(key string, into *string) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.Text(n, key) }
}

func (r *gameReader) instant(key string, into **Instant) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.Instant(n, key) }
}

func (r *gameReader) flag(key string, into *bool) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.YesNo(n, key) }
}

// onFilm is instant for a time that cannot count from the snap.
func (r *gameReader) onFilm(key string, into **Instant) func(*yaml.Node) {
	return func(n *yaml.Node) {
		at := r.Instant(n, key)
		if at != nil && at.From == FromSnap {
			r.Faults.Add(at.Pos, "%s counts from the snap: want a time on the film, with no + or -", key)
			return
		}
		*into = at
	}
}

// ID is the form of a name that may stand in file names and chapter titles.
var ID = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)

// readGame reports whether the game gives itself an id.
func (r *gameReader) readGame(n *yaml.Node) (identified bool) {
	g := r.game
	r.Mapping(n, "game", Keys{
		"id": func(n *yaml.Node) {
			identified = true
			g.ID, g.Pos = r.Text(n, "id"), r.Pos(n)
			if !ID.MatchString(g.ID) {
				r.Faults.Add(r.Pos(n), "id %q: want small letters, digits and hyphens, at most 40, such as wk1-harbor", g.ID)
			}
		},
		"by":   func(n *yaml.Node) { g.By = strings.TrimSpace(r.Text(n, "by")) },
		"kind": r.word("kind", &g.Kind),
		"date": func(n *yaml.Node) {
			g.Date = r.Text(n, "date")
			if _, err := time.Parse(time.DateOnly, g.Date); err != nil {
				r.Faults.Add(r.Pos(n), "date %q: want year-month-day, such as 2026-09-12", g.Date)
			}
		},
		"us":       r.text("us", &g.Us),
		"opponent": r.text("opponent", &g.Opponent),
		"field":    r.word("field", &g.Field),
	})
	if g.Kind == "" {
		g.Kind = "game"
	}
	return identified
}

func (r *gameReader) readFilms(n *yaml.Node) {
	r.Each(n, "film", func(key, value *yaml.Node) {
		f := Film{Pos: r.Pos(key), Angle: key.Value}
		var drift *yaml.Node
		if !ID.MatchString(f.Angle) {
			r.Faults.Add(r.Pos(key), "angle %q: want small letters, digits and hyphens, such as endzone", f.Angle)
		}
		r.Mapping(value, "film "+key.Value, Keys{
			"file":   r.parts(&f.File, &f.Pos),
			"offset": r.instant("offset", &f.Offset),
			"drift":  func(n *yaml.Node) { drift, f.Drift = n, r.perMillion(n) },
		})
		if drift != nil && f.Offset == nil {
			r.Faults.Add(r.Pos(drift), "film %s has a drift but no offset that grows by it", f.Angle)
		}
		if f.Offset != nil && f.File == "" {
			r.Faults.Add(f.Offset.Pos, "film %s has an offset but no file that it is of", f.Angle)
		}
		r.game.Films = append(r.game.Films, f)
	})
}

// maxDrift bounds a drift, in parts in a million: no camera's clock is so far off.
const maxDrift = 1000

func (r *gameReader) perMillion(n *yaml.Node) int {
	v, _ := r.Whole(n, -maxDrift, maxDrift)
	return v
}

func (r *gameReader) film(into *string, pos *Pos) func(*yaml.Node) {
	return func(n *yaml.Node) {
		path, err := filmPath(r.File, r.Text(n, "file"))
		if err != nil {
			r.Faults.Add(r.Pos(n), "%v", err)
		}
		*into, *pos = path, r.Pos(n)
	}
}

// parts reads a film file, or a list of the files that one film is stored as.
func (r *gameReader) parts(into *string, pos *Pos) func(*yaml.Node) {
	return func(n *yaml.Node) {
		list := r.plain(n)
		if list == nil || list.Kind != yaml.SequenceNode {
			r.film(into, pos)(n)
			return
		}
		var parts []string
		for _, item := range list.Content {
			var part string
			var at Pos
			before := len(r.Faults)
			r.film(&part, &at)(item)
			switch {
			case len(r.Faults) > before:
			case part == "":
				r.Faults.Add(r.Pos(item), "a part of the film names no file")
			case slices.Contains(parts, part):
				r.Faults.Add(r.Pos(item), "%s is named twice among the parts of one film", part)
			default:
				parts = append(parts, part)
			}
		}
		if len(list.Content) == 0 {
			r.Faults.Add(r.Pos(n), "the list of the film's parts is empty")
		}
		*into, *pos = files.Whole(parts), r.Pos(n)
	}
}

func (r *gameReader) readPeople(n *yaml.Node) {
	r.Each(n, "people", func(key, value *yaml.Node) {
		p := &Person{Pos: r.Pos(key), ID: key.Value}
		if !ID.MatchString(p.ID) {
			r.Faults.Add(r.Pos(key), "person %q: want small letters, digits and hyphens", p.ID)
		}
		r.Mapping(value, "person "+key.Value, Keys{
			"name":   r.text("name", &p.Name),
			"team":   r.text("team", &p.Team),
			"jersey": r.text("jersey", &p.Jersey),
			"pos":    r.text("pos", &p.Position),
			"traits": func(n *yaml.Node) {
				r.Mapping(n, "traits", Keys{"runs": r.flag("runs", &p.Runs)})
			},
		})
		r.game.People[p.ID] = p
	})
}

// person reads who is meant by an id, a number or a name.
func (r *gameReader) person(key string, into **Person) func(*yaml.Node) {
	return func(n *yaml.Node) {
		if text, ok := r.scalar(n, key); ok {
			*into = r.who(key, text, r.Pos(n))
		}
	}
}

// who is who is meant by an id, or by a number or a name on the side that key is about: a
// rusher is one of us, and whoever else a rep names is one of them. Where everybody is of
// one side, as in practice, that is the side. A fault is noted at pos where nobody is meant,
// or more than one.
func (r *gameReader) who(key, text string, pos Pos) *Person {
	if p, ok := r.game.People[text]; ok {
		return p
	}
	ours := key == "rusher"
	meant := meaning{ours, text}
	if p, ok := r.meant[meant]; ok {
		return p
	}
	all := slices.Collect(maps.Values(r.game.People))
	there, elsewhere := r.game.OnSide(ours, WhoIs(text, all))
	side := "theirs"
	if ours {
		side = "ours"
	}
	switch {
	case len(there) == 1:
		if r.meant == nil {
			r.meant = map[meaning]*Person{}
		}
		r.meant[meant] = there[0]
		return there[0]
	case len(there) > 1:
		r.Faults.Add(pos, "%s %q is %s: write the id", key, text, bothOf(there))
		return there[0]
	case len(elsewhere) > 0:
		r.Faults.Add(pos, "%s %q is no number or name of %s", key, text, side)
		r.Faults.hint(fmt.Sprintf("it is %s: write the id if he is meant", bothOf(elsewhere)))
		return nil
	}
	r.Faults.Add(pos, "%s %q is no id, number or name of the game's people", key, text)
	known := r.ids()
	sided, _ := r.game.OnSide(ours, all)
	for _, p := range sided {
		if p.Jersey != "" {
			known = append(known, p.Jersey)
		}
	}
	slices.Sort(known)
	r.Faults.hint(DidYouMean(text, slices.Compact(known)))
	return nil
}

// meaning is a number or a name as it is written for one of us or of them.
type meaning struct {
	ours bool
	text string
}

// ids is the id of each of the game's people, in order.
func (r *gameReader) ids() []string { return slices.Sorted(maps.Keys(r.game.People)) }

// abs keeps a file as given on the command line in messages, yet finds it anywhere.
func abs(path string) string {
	if a, err := filepath.Abs(path); err == nil {
		return a
	}
	return path
}
