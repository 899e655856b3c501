package tags

import (
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"gopkg.in/yaml.v3"
)

// ParseGame reads one tag file. The game holds whatever could be read, and the faults
// say what could not: one bad rep never hides another.
func ParseGame(file string, data []byte, v *Vocabulary) (*Game, Faults) {
	r := &gameReader{
		Decoder: Decoder{File: file},
		v:       v,
		game:    &Game{Pos: Pos{File: file}, People: map[string]*Person{}, vocabulary: v},
	}
	var plays []func()
	identified := false
	if r.Document(data, "the tag file", Keys{
		"game":   func(n *yaml.Node) { identified = r.readGame(n) },
		"film":   r.readFilms,
		"people": r.readPeople,
		// Plays name films and people, which may stand below them.
		"plays": func(n *yaml.Node) { plays = append(plays, func() { r.readPlays(n) }) },
	}) && !identified {
		r.Faults.Add(Pos{file, 1, 1}, "the game has no id: want game: {id: wk1-harbor, …}")
	}
	for _, read := range plays {
		read()
	}
	r.Faults = append(r.Faults, r.game.check()...)
	r.Faults.Sort()
	return r.game, r.Faults
}

type gameReader struct {
	Decoder
	v    *Vocabulary
	game *Game

	// A season has a hundred thousand reps. Their keys are made once, and read into rep.
	rep     longRep
	repKeys Keys
}

// longRep is a rep while its keys are read.
type longRep struct {
	Rep
	rusher, result bool // whether it has those keys, be their values right or wrong
}

// The methods below make the readers of keys that hold one word of the vocabulary, free
// text, an instant, a whole number, or yes or no.

func (r *gameReader) word(key string, into *string) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.Word(n, r.v, key) }
}

func (r *gameReader) text(key string, into *string) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.Text(n, key) }
}

func (r *gameReader) instant(key string, into **Instant) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.Instant(n, key) }
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

func (r *gameReader) whole(least, most int, into **int) func(*yaml.Node) {
	return func(n *yaml.Node) {
		if v, ok := r.Whole(n, least, most); ok {
			*into = &v
		}
	}
}

func (r *gameReader) flag(key string, into *bool) func(*yaml.Node) {
	return func(n *yaml.Node) { *into = r.YesNo(n, key) }
}

// id is a name that may stand in file names and chapter titles.
var id = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)

// gameClockForm is a game clock: no quarter is longer than 15 minutes.
var gameClockForm = regexp.MustCompile(`^(0?\d|1[0-4]):[0-5]\d$|^15:00$`)

// readGame reports whether the game gives itself an id.
func (r *gameReader) readGame(n *yaml.Node) (identified bool) {
	g := r.game
	r.Mapping(n, "game", Keys{
		"id": func(n *yaml.Node) {
			identified = true
			g.ID, g.Pos = r.Text(n, "id"), r.Pos(n)
			if !id.MatchString(g.ID) {
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
		if !id.MatchString(f.Angle) {
			r.Faults.Add(r.Pos(key), "angle %q: want small letters, digits and hyphens, such as endzone", f.Angle)
		}
		r.Mapping(value, "film "+key.Value, Keys{
			"file":   r.film(&f.File, &f.Pos),
			"offset": r.instant("offset", &f.Offset),
			"drift":  func(n *yaml.Node) { drift, f.Drift = n, r.parts(n) },
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

func (r *gameReader) parts(n *yaml.Node) int {
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

func (r *gameReader) readPeople(n *yaml.Node) {
	r.Each(n, "people", func(key, value *yaml.Node) {
		p := &Person{Pos: r.Pos(key), ID: key.Value}
		if !id.MatchString(p.ID) {
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

// person reads an id of the game's people.
func (r *gameReader) person(key string, into **Person) func(*yaml.Node) {
	return func(n *yaml.Node) {
		text, ok := r.scalar(n, key)
		if !ok {
			return
		}
		p, ok := r.game.People[text]
		if !ok {
			r.Faults.Add(r.Pos(n), "%s %q is not among the game's people", key, text)
			r.Faults.hint(DidYouMean(text, r.ids()))
			return
		}
		*into = p
	}
}

// ids is the id of each of the game's people, in order.
func (r *gameReader) ids() []string { return slices.Sorted(maps.Keys(r.game.People)) }

// Bounds on what a game may hold, so that no file costs much more memory than its size.
const (
	maxPlays = 9999
	maxReps  = 99 // a play
)

func (r *gameReader) readPlays(n *yaml.Node) {
	if len(n.Content) > maxPlays {
		r.Faults.Add(r.Pos(n), "%d plays are more than the %d a game may have", len(n.Content), maxPlays)
		return
	}
	r.List(n, "plays", func(n *yaml.Node) {
		p := &Play{Game: r.game, Pos: r.Pos(n)}
		numbered := false
		var reps *yaml.Node
		r.Mapping(n, "play", Keys{
			"play": func(n *yaml.Node) {
				numbered = true
				p.Number, _ = r.Whole(n, 1, maxPlays)
				p.Pos = r.Pos(n)
			},
			"type":    r.word("type", &p.Type),
			"unit":    r.word("unit", &p.Unit),
			"series":  r.whole(1, 99, &p.Series),
			"quarter": r.whole(1, 9, &p.Quarter),
			"clock": func(n *yaml.Node) {
				p.Clock = r.Text(n, "clock")
				if !gameClockForm.MatchString(p.Clock) {
					r.Faults.Add(r.Pos(n), "clock %q: want minutes and seconds, such as \"11:32\"", p.Clock)
				}
			},
			"down":       r.whole(1, 4, &p.Down),
			"distance":   r.whole(1, 99, &p.Distance),
			"yard-line":  r.text("yard-line", &p.YardLine),
			"hash":       r.word("hash", &p.Hash),
			"personnel":  r.text("personnel", &p.Personnel),
			"front":      r.text("front", &p.Front),
			"call":       r.text("call", &p.Call),
			"protection": r.word("protection", &p.Protection),
			"passer":     r.person("passer", &p.Passer),
			"extra": func(n *yaml.Node) {
				p.Extra = map[string]string{}
				r.Each(n, "extra", func(key, value *yaml.Node) { p.Extra[key.Value] = r.Text(value, key.Value) })
			},
			"in":     func(n *yaml.Node) { p.timed = true; r.onFilm("in", &p.in)(n) },
			"out":    r.onFilm("out", &p.out),
			"angles": func(n *yaml.Node) { r.readAngles(n, p) },
			"marks":  func(n *yaml.Node) { r.readPlayMarks(n, p) },
			"reps":   func(n *yaml.Node) { reps = n },
		})
		if !numbered && (n.Kind == yaml.MappingNode || empty(n)) {
			r.Faults.Add(p.Pos, "play has no number: want play: 14")
		}
		switch {
		case reps == nil:
		case len(reps.Content) > maxReps:
			r.Faults.Add(r.Pos(reps), "%d reps are more than the %d a play may have", len(reps.Content), maxReps)
		default:
			r.List(reps, "reps", func(n *yaml.Node) { r.readRep(n, p) })
		}
		r.game.Plays = append(r.game.Plays, p)
	})
}

func (r *gameReader) readAngles(n *yaml.Node, p *Play) {
	r.Each(n, "angles", func(key, value *yaml.Node) {
		p.timed = true
		a := angle{Pos: r.Pos(key), Name: key.Value}
		filePos := Pos{}
		r.Mapping(value, "angle "+key.Value, Keys{
			"file": r.film(&a.File, &filePos),
			"in":   r.onFilm("in", &a.In),
			"out":  r.onFilm("out", &a.Out),
			"snap": r.onFilm("snap", &a.Snap),
		})
		if a.File != "" {
			a.Pos = filePos
		}
		film, ok := r.game.Film(a.Name)
		if !ok {
			r.Faults.Add(r.Pos(key), "angle %q is not among the game's film", a.Name)
			r.Faults.hint(DidYouMean(a.Name, r.angles()))
			return
		}
		if a.File == "" && film.File == "" {
			r.Faults.Add(r.Pos(key), "neither the play nor the game names a film file for angle %q", a.Name)
			return
		}
		p.angles = append(p.angles, a)
	})
}

func (r *gameReader) readPlayMarks(n *yaml.Node, p *Play) {
	r.Mapping(n, "marks", r.marks(&p.Marks, AllMarks))
	if snap, ok := p.Marks.At(Snap); ok && snap.From == FromSnap {
		r.Faults.Add(snap.Pos, "snap counts from the snap: want a time on the film, with no + or -")
		p.Marks.forget(Snap)
	}
}

func (r *gameReader) marks(marks *Marks, names []Mark) Keys {
	keys := Keys{}
	for _, m := range names {
		keys[string(m)] = func(n *yaml.Node) {
			if at := r.Instant(n, string(m)); at != nil {
				marks.Set(m, *at)
			}
		}
	}
	return keys
}

func (r *gameReader) readRep(n *yaml.Node, p *Play) {
	rep := &Rep{Play: p, Pos: r.Pos(n)}
	p.Reps = append(p.Reps, rep)
	if n.Kind == yaml.MappingNode {
		r.readLongRep(n, rep)
	} else {
		r.readShortRep(n, rep)
	}
	if rep.Rusher == nil {
		rep.Rusher = &Person{ID: "unknown"} // its fault has been noted
	}
	if rep.Job == "" {
		rep.Job = "rush"
		if p.Type == "run" {
			rep.Job = "run-fit"
		}
	}
}

func (r *gameReader) readLongRep(n *yaml.Node, rep *Rep) {
	if r.repKeys == nil {
		r.repKeys = r.keysOfRep(&r.rep)
	}
	r.rep = longRep{Rep: *rep}
	before := len(r.Faults)
	r.Mapping(n, "rep", r.repKeys)
	*rep = r.rep.Rep
	// A key nobody knows may be the misspelt one that is missed here.
	misspelt := slices.ContainsFunc(r.Faults[before:], func(f Fault) bool { return strings.HasPrefix(f.What, "unknown key") })
	if !r.rep.rusher && !misspelt {
		r.Faults.Add(rep.Pos, "rep has no rusher")
	}
	if !r.rep.result && !misspelt {
		r.Faults.Add(rep.Pos, "rep says neither battle nor outcome: want one of them at least")
	}
}

// keysOfRep is the readers of a rep's keys, into rep.
func (r *gameReader) keysOfRep(rep *longRep) Keys {
	blocker := Keys{
		"who":   r.person("who", &rep.Blocker),
		"set":   r.word("set", &rep.Set),
		"hands": r.word("hands", &rep.Hands),
		"lean":  r.word("lean", &rep.Lean),
		"block": r.word("block", &rep.Block),
	}
	grades := Keys{
		"assignment": r.word("grade", &rep.Assignment),
		"technique":  r.word("grade", &rep.Technique),
		"effort":     r.word("grade", &rep.Effort),
	}
	// No snap: a play has one, and every rep of it shares that.
	marks := r.marks(&rep.Marks, AllMarks[1:])
	return Keys{
		"rusher": func(n *yaml.Node) {
			rep.rusher = true
			r.person("rusher", &rep.Rusher)(n)
			rep.Pos = r.Pos(n)
		},
		"job":       r.word("job", &rep.Job),
		"align":     r.word("align", &rep.Align),
		"side":      r.word("side", &rep.Side),
		"stance":    r.word("stance", &rep.Stance),
		"gap":       r.word("gap", &rep.Gap),
		"blocker":   func(n *yaml.Node) { r.Mapping(n, "blocker", blocker) },
		"unblocked": r.flag("unblocked", &rep.Unblocked),
		"help":      r.word("help", &rep.Help),
		"stunt":     r.word("stunt", &rep.Stunt),
		"called":    r.word("called", &rep.Called),
		"move":      func(n *yaml.Node) { r.readMoves(n, &rep.Rep) },
		"counter": func(n *yaml.Node) {
			rep.Counter = "no"
			if r.YesNo(n, "counter") {
				rep.Counter = "yes"
			}
		},
		"tells": func(n *yaml.Node) {
			r.List(n, "tells", func(n *yaml.Node) { rep.Tells = append(rep.Tells, r.Text(n, "tell")) })
		},
		"saw": func(n *yaml.Node) {
			r.List(n, "saw", func(n *yaml.Node) { rep.Saw = append(rep.Saw, r.Word(n, r.v, "saw")) })
		},
		"marks":             func(n *yaml.Node) { r.Mapping(n, "marks of a rep", marks) },
		"battle":            func(n *yaml.Node) { rep.result = true; r.word("battle", &rep.Battle)(n) },
		"outcome":           func(n *yaml.Node) { rep.result = true; r.word("outcome", &rep.Outcome)(n) },
		"credit":            r.word("credit", &rep.Credit),
		"how":               r.word("how", &rep.How),
		"contain":           r.word("contain", &rep.Contain),
		"penalty":           r.word("penalty", &rep.Penalty),
		"grade":             func(n *yaml.Node) { r.Mapping(n, "grade", grades) },
		"loaf":              r.flag("loaf", &rep.Loaf),
		"missed-assignment": r.flag("missed-assignment", &rep.MissedAssignment),
		"taken":             r.word("taken", &rep.Taken),
		"note":              r.text("note", &rep.Note),
		"point":             r.text("point", &rep.Point),
		"model":             r.text("model", &rep.Model),
		"spot": func(n *yaml.Node) {
			rep.Spot = map[string]Point{}
			r.Each(n, "spot", func(key, value *yaml.Node) {
				r.angleName(key)
				if points := r.points(value, 1, 1); points != nil {
					rep.Spot[key.Value] = points[0]
				}
			})
		},
		"draw": func(n *yaml.Node) { r.List(n, "draw", func(n *yaml.Node) { r.readDrawing(n, &rep.Rep) }) },
		"in":   r.instant("in", &rep.in),
		"out":  r.instant("out", &rep.out),
	}
}

// readMoves reads [bull, arm-over/outside] or bull>arm-over/outside.
func (r *gameReader) readMoves(n *yaml.Node, rep *Rep) {
	if n.Kind != yaml.SequenceNode {
		text := r.Text(n, "move")
		if text == "" {
			return
		}
		for _, step := range strings.Split(text, ">") {
			r.addMove(n, rep, strings.TrimSpace(step))
		}
		return
	}
	r.List(n, "move", func(n *yaml.Node) { r.addMove(n, rep, r.Text(n, "move")) })
}

func (r *gameReader) addMove(n *yaml.Node, rep *Rep, step string) {
	name, path, written := strings.Cut(step, "/")
	moves, paths := r.v.List("move"), r.v.List("path")
	w, ok := moves.Find(name)
	if !ok {
		r.Faults.Add(r.Pos(n), "unknown move %q", name)
		r.Faults.hint(DidYouMean(name, moves.Names()))
		return
	}
	if !written {
		path = w.Path
	} else if p, ok := paths.Find(path); ok {
		path = p.Name
	} else {
		r.Faults.Add(r.Pos(n), "unknown path %q of move %s", path, name)
		r.Faults.hint(DidYouMean(path, paths.Names()))
		return
	}
	rep.Moves = append(rep.Moves, Move{w.Name, path})
}

// readShortRep reads "91 9 long-arm>up-and-under short sack": the rusher's jersey or id,
// then words in any order, each known by the list it stands in.
func (r *gameReader) readShortRep(n *yaml.Node, rep *Rep) {
	text, ok := r.scalar(n, "rep")
	if !ok {
		return
	}
	words := strings.Fields(text)
	if len(words) == 0 {
		r.Faults.Add(r.Pos(n), "rep is empty: want a line such as 91 9 long-arm>up-and-under short sack")
		return
	}
	rep.Rusher = r.rusher(n, words[0])
	fields := []struct {
		key  string
		into *string
	}{
		{"align", &rep.Align},
		{"side", &rep.Side},
		{"job", &rep.Job},
		{"set", &rep.Set},
		{"help", &rep.Help},
		{"stunt", &rep.Stunt},
		{"battle", &rep.Battle},
		{"outcome", &rep.Outcome},
		{"block", &rep.Block},
	}
	misread := false // the unknown word may be the battle or the outcome
words:
	for _, word := range words[1:] {
		first, _, _ := strings.Cut(word, ">")
		first, _, _ = strings.Cut(first, "/")
		if _, ok := r.v.List("move").Find(first); ok || strings.Contains(word, ">") {
			if rep.Moves != nil {
				r.Faults.Add(r.Pos(n), "rep has two moves: %q is the second; join a sequence with >", word)
				continue
			}
			for _, step := range strings.Split(word, ">") {
				r.addMove(n, rep, step)
			}
			continue
		}
		for _, f := range fields {
			if w, ok := r.v.List(f.key).Find(word); ok {
				if *f.into != "" {
					r.Faults.Add(r.Pos(n), "rep has two of %s: %q and %q", f.key, *f.into, word)
				}
				*f.into = w.Name
				continue words
			}
		}
		var known []string
		for _, f := range fields {
			known = append(known, r.v.List(f.key).Names()...)
		}
		r.Faults.Add(r.Pos(n), "unknown word %q in a one-line rep", word)
		r.Faults.hint(DidYouMean(word, append(known, r.v.List("move").Names()...)))
		misread = true
	}
	if rep.Battle == "" && rep.Outcome == "" && !misread {
		r.Faults.Add(r.Pos(n), "rep says neither battle nor outcome: want one of them at least")
	}
}

// rusher is one of us by jersey, or anyone by id.
func (r *gameReader) rusher(n *yaml.Node, text string) *Person {
	if p, ok := r.game.People[text]; ok {
		return p
	}
	var found *Person
	known := r.ids()
	for _, id := range r.ids() {
		p := r.game.People[id]
		ours := p.Team == "us" || p.Team != "" && p.Team == r.game.Us
		if ours && p.Jersey != "" {
			known = append(known, p.Jersey)
		}
		if p.Jersey != text || !ours {
			continue
		}
		if found != nil {
			r.Faults.Add(r.Pos(n), "rusher %q is the number of both %s and %s: write the id", text, found.ID, p.ID)
			return found
		}
		found = p
	}
	if found == nil {
		r.Faults.Add(r.Pos(n), "rusher %q is neither a number of ours nor an id among the game's people", text)
		slices.Sort(known)
		r.Faults.hint(DidYouMean(text, slices.Compact(known)))
	}
	return found
}

// angles is the name of each of the game's films, in order.
func (r *gameReader) angles() []string {
	names := make([]string, len(r.game.Films))
	for i, f := range r.game.Films {
		names[i] = f.Angle
	}
	return names
}

func (r *gameReader) angleName(n *yaml.Node) string {
	name, ok := r.scalar(n, "angle")
	if !ok {
		return ""
	}
	if _, ok := r.game.Film(name); !ok {
		r.Faults.Add(r.Pos(n), "angle %q is not among the game's film", name)
		r.Faults.hint(DidYouMean(name, r.angles()))
	}
	return name
}

func (r *gameReader) readDrawing(n *yaml.Node, rep *Rep) {
	var d Drawing
	var at, angle bool // whether the drawing has those keys, be their values right or wrong
	shape := func(name string, least, most int) func(*yaml.Node) {
		return func(n *yaml.Node) {
			if d.Shape != "" {
				r.Faults.Add(r.Pos(n), "a drawing is one shape: %s is the second", name)
				return
			}
			d.Shape, d.Points = name, r.points(n, least, most)
		}
	}
	r.Mapping(n, "draw", Keys{
		"at": func(n *yaml.Node) {
			at = true
			d.At = Mark(r.Text(n, "at"))
			if !slices.Contains(AllMarks, d.At) {
				r.Faults.Add(r.Pos(n), "unknown mark %q", d.At)
				r.Faults.hint(DidYouMean(string(d.At), MarkNames()))
			}
		},
		"angle": func(n *yaml.Node) {
			angle = true
			d.Angle = r.angleName(n)
		},
		"circle": shape("circle", 1, 1),
		"arrow":  shape("arrow", 2, 2),
		"line":   shape("line", 2, 2),
		"path":   shape("path", 2, 64),
	})
	if n.Kind == yaml.MappingNode && !(at && angle && d.Shape != "") {
		r.Faults.Add(r.Pos(n), "a drawing wants a mark, an angle and a shape, such as {at: beat, angle: endzone, arrow: [0.42, 0.55, 0.50, 0.48]}")
	}
	rep.Draw = append(rep.Draw, d)
}

// points reads [x, y, x, y, …], each 0 to 1 of the picture.
func (r *gameReader) points(n *yaml.Node, least, most int) []Point {
	var flat []float64
	r.List(n, "points", func(n *yaml.Node) {
		text := r.Text(n, "a coordinate")
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || v < 0 || v > 1 {
			r.Faults.Add(r.Pos(n), "coordinate %q: want 0 to 1 of the picture", text)
		}
		flat = append(flat, v)
	})
	if len(flat)%2 != 0 || len(flat) < 2*least || len(flat) > 2*most {
		want := fmt.Sprintf("%d", least)
		if most > least {
			want = fmt.Sprintf("%d to %d", least, most)
		}
		r.Faults.Add(r.Pos(n), "want x and y of %s point(s), got %d numbers", want, len(flat))
		return nil
	}
	points := make([]Point, len(flat)/2)
	for i := range points {
		points[i] = Point{flat[2*i], flat[2*i+1]}
	}
	return points
}

// abs keeps a file as given on the command line in messages, yet finds it anywhere.
func abs(path string) string {
	if a, err := filepath.Abs(path); err == nil {
		return a
	}
	return path
}
