package tags

import (
	"slices"
	"strings"
	"unicode"

	"gopkg.in/yaml.v3"
)

// longRep is a rep while its keys are read.
type longRep struct {
	Rep
	rusher, result bool // whether it has those keys, be their values right or wrong
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
		rep.Job = p.UsualJob()
	}
	rep.assume()
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
		r.Faults.Add(rep.Pos, "rep says neither battle, outcome nor did: want one of them at least")
	}
}

// keysOfRep is the readers of a rep's keys, into rep.
func (r *gameReader) keysOfRep(rep *longRep) Keys {
	// No snap: a play has one, and every rep of it shares that.
	marks := r.marks(&rep.Marks, AllMarks[1:])
	keys := Keys{
		"move": func(n *yaml.Node) { r.readMoves(n, &rep.Rep) },
		"counter": func(n *yaml.Node) {
			rep.Counter = "no"
			if r.YesNo(n, "counter") {
				rep.Counter = "yes"
			}
		},
		"marks": func(n *yaml.Node) { r.Mapping(n, "marks of a rep", marks) },
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
	within := map[string]Keys{"": keys, underBlocker: {}, underGrade: {}}
	for _, f := range RepFields {
		within[f.Under][f.FileKey()] = func(n *yaml.Node) { readField(r, f, n, &rep.Rep) }
	}
	for _, under := range []string{underBlocker, underGrade} {
		keys[under] = func(n *yaml.Node) { r.Mapping(n, under, within[under]) }
	}
	also := func(key string, do func(*yaml.Node)) {
		read := keys[key]
		keys[key] = func(n *yaml.Node) {
			read(n)
			do(n)
		}
	}
	also("rusher", func(n *yaml.Node) { rep.rusher, rep.Pos = true, r.Pos(n) })
	also("model", func(n *yaml.Node) { rep.modelAt = r.Pos(n) })
	also("battle", func(*yaml.Node) { rep.result = true })
	also("outcome", func(*yaml.Node) { rep.result = true })
	also("did", func(*yaml.Node) { rep.result = true })
	return keys
}

// readMoves reads [bull, arm-over/outside] or bull>arm-over/outside.
func (r *gameReader) readMoves(n *yaml.Node, rep *Rep) {
	if n.Kind != yaml.SequenceNode {
		if text := r.Text(n, "move"); text != "" {
			r.addMoves(n, rep, 0, text)
		}
		return
	}
	r.List(n, "move", func(n *yaml.Node) { r.addMove(n, rep, 0, r.Text(n, "move")) })
}

// addMoves adds the moves of text, which stands at byte at of n's value.
func (r *gameReader) addMoves(n *yaml.Node, rep *Rep, at int, text string) {
	for step := range strings.SplitSeq(text, ">") {
		indent := len(step) - len(strings.TrimLeftFunc(step, unicode.IsSpace))
		r.addMove(n, rep, at+indent, strings.TrimSpace(step))
		at += len(step) + len(">")
	}
}

// addMove adds one move, which stands at byte at of n's value.
func (r *gameReader) addMove(n *yaml.Node, rep *Rep, at int, step string) {
	name, path, written := strings.Cut(step, "/")
	paths := r.v.List("path")
	w, ok := r.v.List("move").Read(name)
	if !ok {
		r.Faults.Add(r.place(n, at, step), "unknown move %q", name)
		r.Faults.hint(r.v.DidYouMean("move", name))
		return
	}
	if !written {
		path = w.Path
	} else if p, ok := paths.Read(path); ok {
		path = p.Name
	} else {
		r.Faults.Add(r.place(n, at+len(name)+len("/"), path), "unknown path %q of move %s", path, name)
		r.Faults.hint(r.v.DidYouMean("path", path))
		return
	}
	rep.Moves = append(rep.Moves, Move{w.Name, path})
}

// oneLine is the fields that the one-line form of a rep may hold.
var oneLine = slices.DeleteFunc(slices.Clone(RepFields), func(f *Field[Rep]) bool { return !f.OneLine })

// OneLineLists is the vocabulary's lists whose words the one-line form of a rep may hold.
func OneLineLists() []string {
	lists := make([]string, len(oneLine))
	for i, f := range oneLine {
		lists[i] = f.WordList()
	}
	return lists
}

// readShortRep reads "91 9 long-arm>up-and-under short sack": the rusher's jersey, id or
// name, then words in any order, each known by the list it stands in.
func (r *gameReader) readShortRep(n *yaml.Node, rep *Rep) {
	text, ok := r.scalar(n, "rep")
	if !ok {
		return
	}
	words := wordsOf(text)
	if len(words) == 0 {
		r.Faults.Add(r.Pos(n), "rep is empty: want a line such as 91 9 long-arm>up-and-under short sack")
		return
	}
	rep.Rusher = r.who("rusher", words[0].Text, r.place(n, 0, words[0].Text))
	misread := false // the unknown word may be the battle or the outcome
	for _, word := range words[1:] {
		if !r.readShortMoves(n, rep, word) && !r.readShortWord(n, rep, word) {
			misread = true
		}
	}
	if rep.Battle == "" && rep.Outcome == "" && rep.Did == nil && !misread {
		r.Faults.Add(r.Pos(n), "rep says neither battle, outcome nor did: want one of them at least")
	}
}

// wordsOf is the words of a line, each with the byte at which it begins.
func wordsOf(line string) []TermValue {
	var words []TermValue
	for at := 0; at < len(line); {
		rest := strings.TrimLeftFunc(line[at:], unicode.IsSpace)
		at = len(line) - len(rest)
		end := strings.IndexFunc(rest, unicode.IsSpace)
		if end < 0 {
			end = len(rest)
		}
		if end > 0 {
			words = append(words, TermValue{rest[:end], at})
		}
		at += end
	}
	return words
}

// readShortMoves reads a word of a one-line rep as its moves, where it is that.
func (r *gameReader) readShortMoves(n *yaml.Node, rep *Rep, word TermValue) bool {
	first, _, _ := strings.Cut(word.Text, ">")
	first, _, _ = strings.Cut(first, "/")
	if _, ok := r.v.List("move").Find(first); !ok && !strings.Contains(word.Text, ">") {
		return false
	}
	if rep.Moves != nil {
		r.Faults.Add(r.place(n, word.Offset, word.Text), "rep has two moves: %q is the second; join a sequence with >", word.Text)
		return true
	}
	r.addMoves(n, rep, word.Offset, word.Text)
	return true
}

// readShortWord reads a word of a one-line rep by the list it stands in. It notes a fault
// and reports false where it stands in none. What a list has as it is written comes before
// what another has in the plural or in capitals.
func (r *gameReader) readShortWord(n *yaml.Node, rep *Rep, word TermValue) bool {
	for _, find := range []func(*List, string) (Word, bool){(*List).Find, (*List).Read} {
		for _, f := range oneLine {
			w, ok := find(r.v.List(f.WordList()), word.Text)
			if !ok {
				continue
			}
			switch into := f.At(rep).(type) {
			case *[]string:
				*into = append(*into, w.Name)
			case *string:
				if *into != "" {
					r.Faults.Add(r.place(n, word.Offset, word.Text), "rep has two of %s: %q and %q", f.Name, *into, word.Text)
				}
				*into = w.Name
			}
			return true
		}
	}
	if first, _, _ := strings.Cut(word.Text, "/"); rep.Moves == nil {
		if _, ok := r.v.List("move").Read(first); ok {
			r.addMoves(n, rep, word.Offset, word.Text)
			return true
		}
	}
	r.Faults.Add(r.place(n, word.Offset, word.Text), "unknown word %q in a one-line rep", word.Text)
	r.Faults.hint(r.v.didYouMean(word.Text, append(OneLineLists(), "move")...))
	return false
}
