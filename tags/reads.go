package tags

import (
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Read is something a rusher may see, and what it usually gives him. Whether it is there
// is asked in the query language, which lies above this package.
type Read struct {
	Pos     Pos
	Name    string
	When    []Term   // terms that must all hold
	Where   Term     // a CEL expression that must hold too; empty where there is none
	Answers []Answer // any one of them takes it
	Why     string   // one line for the room
}

// Answer is what a rush must be to take a read: all that is given must hold. The keys
// mean what the facts of the same names do.
type Answer struct {
	FirstMove, Move, FirstFamily, Family, Path []string // any word of each
}

// Taken reports whether the rush took the read by one of its answers; false for known
// where no move is tagged.
func (rd Read) Taken(r *Rep) (taken, known bool) {
	return slices.ContainsFunc(rd.Answers, func(a Answer) bool { return a.holds(r) }), len(r.Moves) > 0
}

func (a Answer) holds(r *Rep) bool {
	if len(r.Moves) == 0 {
		return false
	}
	return oneOf(a.FirstMove, r.Moves[0].Name) && oneOf(a.FirstFamily, r.FirstFamily()) &&
		oneOf(a.Family, r.Family()) && oneOf(a.Path, r.Path()) &&
		slices.ContainsFunc(r.Moves, func(m Move) bool { return oneOf(a.Move, m.Name) })
}

// oneOf reports whether word is one of words; any is where none is asked for.
func oneOf(words []string, word string) bool { return len(words) == 0 || slices.Contains(words, word) }

// CallsFor reports whether a rush by the move, on its usual path, is among what the read
// asks for. An answer that names the move asks for it on whatever path.
func (rd Read) CallsFor(move Word) bool {
	return slices.ContainsFunc(rd.Answers, func(a Answer) bool {
		named := slices.Contains(a.Move, move.Name) || slices.Contains(a.FirstMove, move.Name)
		return oneOf(a.Move, move.Name) && oneOf(a.FirstMove, move.Name) &&
			oneOf(a.Family, move.Family) && oneOf(a.FirstFamily, move.Family) &&
			(named || oneOf(a.Path, move.Path))
	})
}

// Answered divides the reads that were there for r into those that his rush took and the
// others, whatever became of it; false for known where the tags do not say. The staff's own
// word, taken, is of all of them: yes, no, or not-his-job, by which none of them was his.
func (r *Rep) Answered(there []Read) (taken, others []string, known bool) {
	if r.Taken == "not-his-job" {
		return nil, nil, true
	}
	for _, rd := range there {
		took, ok := rd.Taken(r)
		if r.Taken != "" {
			took, ok = r.Taken == "yes", true
		}
		switch {
		case !ok:
			return nil, nil, false
		case took:
			taken = append(taken, rd.Name)
		default:
			others = append(others, rd.Name)
		}
	}
	return taken, others, true
}

// Missed returns the reads that r missed: all of others, which were there and not taken, or none. A
// rep missed nothing that was won, that brought pressure nobody gave him, or on which the ball was
// out too soon for it. Where the coach wrote a point or a note, it missed nothing either, unless he
// says so himself by taken: no. Known is false where it is not tagged who won.
func (r *Rep) Missed(others []string) (missed []string, known bool) {
	won, known := r.Won()
	pressure, _ := r.Pressure()
	given, _ := r.PressureGiven()
	out, _ := r.BallOut()
	switch {
	case len(others) == 0, won, pressure && !given, out && !pressure:
		return nil, true
	case r.Coached() && r.Taken != "no":
		return nil, true
	case !known:
		return nil, false
	default:
		return others, true
	}
}

// Coached reports whether the coach has said what to do better or well: a point to teach, or
// a note to the player.
func (r *Rep) Coached() bool { return r.Point != "" || r.Note != "" }

// Praised reports whether what the coach has said praises: then it is nothing to work on.
func (r *Rep) Praised() bool { return r.Coached() && r.Praise == "yes" }

// ReadNames is the name of every read, in order.
func (v *Vocabulary) ReadNames() []string {
	names := make([]string, len(v.Reads))
	for i, rd := range v.Reads {
		names[i] = rd.Name
	}
	return names
}

type readsFile struct {
	reads   []Read
	without []Term
}

func parseReads(file string, data []byte, v *Vocabulary) (readsFile, Faults) {
	d := &Decoder{File: file}
	var f readsFile
	d.Document(data, "the reads", Keys{
		"reads": func(n *yaml.Node) {
			d.Each(n, "reads", func(key, value *yaml.Node) {
				if !word.MatchString(key.Value) {
					d.Faults.Add(d.Pos(key), "read %q: want letters, digits and hyphens", key.Value)
				}
				f.reads = append(f.reads, d.read(key, value, v))
			})
		},
		"without": func(n *yaml.Node) { f.without = d.terms(n, "without") },
	})
	return f, d.Faults
}

func (d *Decoder) read(key, value *yaml.Node, v *Vocabulary) Read {
	rd := Read{Pos: d.Pos(key), Name: key.Value}
	var answers bool // whether the read has that key, be its value right or wrong
	d.Mapping(value, "read "+key.Value, Keys{
		"when": func(n *yaml.Node) { rd.When = d.terms(n, "when") },
		"where": func(n *yaml.Node) {
			if text, ok := d.scalar(n, "where"); ok {
				rd.Where = d.term(n, 0, text)
			}
		},
		"answers": func(n *yaml.Node) {
			answers = true
			d.List(n, "answers", func(n *yaml.Node) { rd.Answers = append(rd.Answers, d.answer(n, v)) })
		},
		"why": func(n *yaml.Node) { rd.Why = d.Text(n, "why") },
	})
	if value.Kind != yaml.MappingNode && !empty(value) {
		return rd
	}
	if len(rd.When) == 0 && strings.TrimSpace(rd.Where.Text) == "" {
		d.Faults.Add(rd.Pos, "read %s says neither when nor where: want terms, or a CEL expression", rd.Name)
	}
	if !answers {
		d.Faults.Add(rd.Pos, "read %s has no answers: want answers: [{path: inside}]", rd.Name)
	}
	return rd
}

func (d *Decoder) answer(n *yaml.Node, v *Vocabulary) Answer {
	var a Answer
	words := func(key, list string, into *[]string) func(*yaml.Node) {
		one := func(n *yaml.Node) {
			if list != "" {
				*into = append(*into, d.Word(n, v, list))
				return
			}
			family := d.Text(n, key)
			if known := v.Families(); !slices.Contains(known, family) {
				d.Faults.Add(d.Pos(n), "unknown family %q", family)
				d.Faults.hint(DidYouMean(family, known))
			}
			*into = append(*into, family)
		}
		return func(n *yaml.Node) {
			if n.Kind != yaml.SequenceNode {
				one(n)
				return
			}
			d.List(n, key, one)
		}
	}
	d.Mapping(n, "answer", Keys{
		"first-move":   words("first-move", "move", &a.FirstMove),
		"move":         words("move", "move", &a.Move),
		"first-family": words("first-family", "", &a.FirstFamily),
		"family":       words("family", "", &a.Family),
		"path":         words("path", "path", &a.Path),
	})
	if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
		d.Faults.Add(d.Pos(n), "an answer says nothing: want a path, a move or a family, such as {path: inside}")
	}
	return a
}

// extendReads lays a staff's reads over those of v: a read of a name that is there takes
// its place, and those named without are left out. Two files must not say one read
// differently; which of two readings was meant the program cannot know.
func (v *Vocabulary) extendReads(files []readsFile) Faults {
	var fs Faults
	own, without := map[string]Pos{}, map[string]Pos{}
	for _, f := range files {
		for _, rd := range f.reads {
			if first, ok := own[rd.Name]; ok {
				fs.Add(rd.Pos, "read %q stands at %s too", rd.Name, first)
				continue
			}
			own[rd.Name] = rd.Pos
			if i := slices.IndexFunc(v.Reads, func(old Read) bool { return old.Name == rd.Name }); i >= 0 {
				v.Reads[i] = rd
			} else {
				v.Reads = append(v.Reads, rd)
			}
		}
	}
	for _, f := range files {
		for _, t := range f.without {
			if !slices.Contains(v.ReadNames(), t.Text) {
				fs.Add(t.Pos, "unknown read %q", t.Text)
				fs.hint(DidYouMean(t.Text, v.ReadNames()))
			}
			without[t.Text] = t.Pos
		}
	}
	for _, name := range slices.Sorted(maps.Keys(without)) {
		if pos, ok := own[name]; ok {
			fs.Add(without[name], "read %q is left out here, but stands at %s", name, pos)
		}
	}
	v.Reads = slices.DeleteFunc(v.Reads, func(rd Read) bool {
		_, out := without[rd.Name]
		return out
	})
	return fs
}
