package mark

import (
	"fmt"
	"maps"
	"math/rand"
	"slices"
	"strings"
)

// typist is a person who keeps a tag file by hand. It knows nothing of splicing: it holds
// what the file is to say, with the comments, and types all of it out.
type typist struct {
	plays  []*typedPlay
	drafts map[string]*typedDraft // of reps, by play and rusher
}

// typedDraft is a rep that the typist waits to type.
type typedDraft struct {
	facts map[Field]string
	was   *typedRep // as it stood before he took it out; nil where it never did
	after []string  // behind whose reps
}

type typedPlay struct {
	number  int
	comment string // behind the number
	facts   map[Field]string
	reps    []*typedRep
	below   []string // comments behind all reps
}

type typedRep struct {
	above  []string // comments on lines of their own
	who    string   // as the rep writes him
	rusher string
	line   []string // the words of a one-line rep; nil of a long one
	behind string   // a comment behind the line of a key
	of     string   // that key
	facts  map[Field]string
	quoted map[Field]bool // whose text stands in quotes, which stay
}

// The fields that the typist types, in his order; written out anew and not taken from the
// program.
var (
	typedPlayFields = []Field{"type", "series", "quarter", "clock", "down", "distance", "yard-line", "hash", "personnel", "front", "protection", "qb"}
	typedRepFields  = []Field{
		"job", "align", "side", "stance", "blocker.who", "blocker.set", "blocker.hands", "blocker.lean", "help", "stunt", "called",
		"move", "saw", "marks.getoff", "marks.contact", "marks.turn", "marks.beat", "marks.finish", "battle", "outcome", "credit", "contain",
		"grade.assignment", "grade.technique", "grade.effort", "taken", "note", "point", "spot.endzone", "spot.sideline",
	}
)

const typedHead = `trenchcut: 1
# By hand.
game: {id: wk9-typed, kind: game, date: 2026-10-02, us: Cedar Hollow, opponent: Pine Bluff, field: college}

film:
  endzone:  {file: film/ez.mp4} # the good one
  sideline: {file: film/sl.mp4}

people:
  marlow: {name: Teo Marlow, team: us, jersey: 91, pos: DE}
  wren:   {name: Cassius Wren, team: us, jersey: 99, pos: NT}
  oke:    {team: us, jersey: 9, pos: OLB}
  pb72: {team: Pine Bluff, jersey: 72, pos: LT}
  pb66: {team: Pine Bluff, jersey: 66, pos: LG}
  pb12: {team: Pine Bluff, jersey: 12, pos: QB}
`

// text is the whole file as the typist types it.
func (t *typist) text() string {
	var s strings.Builder
	s.WriteString(typedHead)
	if len(t.plays) == 0 {
		return s.String() + "\n"
	}
	s.WriteString("\nplays:\n")
	for i, p := range t.plays {
		if i > 0 {
			s.WriteString("\n")
		}
		p.text(&s)
	}
	return s.String()
}

func (p *typedPlay) text(s *strings.Builder) {
	fmt.Fprintf(s, "  - play: %d%s\n", p.number, p.comment)
	for _, f := range typedPlayFields {
		if v := p.facts[f]; v != "" {
			if f == "clock" || f == "personnel" && v != "empty" {
				v = `"` + v + `"`
			}
			fmt.Fprintf(s, "    %s: %s\n", f, v)
		}
	}
	s.WriteString("    angles:\n")
	for _, angle := range []string{"endzone", "sideline"} {
		var held []string
		for _, k := range []string{"in", "out", "snap"} {
			if v := p.facts[Field("angles."+angle+"."+k)]; v != "" {
				held = append(held, k+": "+v)
			}
		}
		if len(held) > 0 {
			fmt.Fprintf(s, "      %s: {%s}\n", angle, strings.Join(held, ", "))
		}
	}
	if len(p.reps) > 0 {
		s.WriteString("    reps:\n")
	}
	for _, r := range p.reps {
		r.text(s)
	}
	for _, c := range p.below {
		s.WriteString("      # " + c + "\n")
	}
}

func (r *typedRep) text(s *strings.Builder) {
	for _, c := range r.above {
		s.WriteString("      # " + c + "\n")
	}
	if r.line != nil {
		s.WriteString("      - " + strings.Join(r.line, " ") + r.behind + "\n")
		return
	}
	lines := []string{"rusher: " + r.who}
	groups := map[string][]string{}
	for _, f := range typedRepFields {
		v := r.facts[f]
		if v == "" {
			continue
		}
		keys := strings.Split(string(f), ".")
		if v = typedValue(f, v); v[0] == '"' {
			r.quoted[f] = true
		} else if r.quoted[f] {
			v = `"` + v + `"`
		}
		if len(keys) == 1 {
			lines = append(lines, keys[0]+": "+v)
			continue
		}
		if groups[keys[0]] == nil {
			lines = append(lines, keys[0]+": ")
		}
		groups[keys[0]] = append(groups[keys[0]], keys[1]+": "+v)
	}
	for i, line := range lines {
		key, rest, _ := strings.Cut(line, ": ")
		if rest == "" && groups[key] != nil {
			line = key + ": {" + strings.Join(groups[key], ", ") + "}"
		}
		lead := "        "
		if i == 0 {
			lead = "      - "
		}
		if key == r.of {
			line += r.behind
		}
		s.WriteString(lead + line + "\n")
	}
}

// typedValue is a value as a person types it.
func typedValue(f Field, v string) string {
	switch {
	case f == "move" || f == "saw" || strings.HasPrefix(string(f), "spot."):
		return "[" + strings.ReplaceAll(v, "\n", ", ") + "]"
	case strings.Contains(v, ": ") || strings.Contains(v, " #"):
		return `"` + v + `"`
	}
	return v
}

// typedWords is what the random person may say in a field.
var typedWords = map[Field][]string{
	"type": {"dropback", "run", "quick"}, "series": {"1", "2", "12"}, "quarter": {"1", "4"}, "clock": {"11:32", "0:07"},
	"down": {"1", "2", "3"}, "distance": {"8", "10", "22"}, "yard-line": {"own 28", "opp 3"}, "hash": {"left", "middle"},
	"personnel": {"11", "12", "empty"}, "front": {"over", "odd-mug"}, "protection": {"man", "slide-left"}, "qb": {"pb12"},
	"job": {"contain", "spy"}, "align": {"9", "5", "2i", "wide-9"}, "side": {"left", "right"}, "stance": {"two-point", "three-point"},
	"blocker.who": {"pb72", "pb66"}, "blocker.set": {"short", "vertical", "jump"}, "blocker.hands": {"high", "late"}, "blocker.lean": {"forward"},
	"help": {"none", "chip-te"}, "stunt": {"tackle-end"}, "called": {"coach", "players"},
	"move": {"bull", "dip", "long-arm\nup-and-under", "bull/inside\nspin"}, "saw": {"sat", "leaning\nhands-high"},
	"marks.getoff": {"+0.20s", "+0.18s", "+0.234s"}, "marks.contact": {"+0.84s", "+1.02s"}, "marks.turn": {"+1.30s"}, "marks.beat": {"+1.90s", "+2.00s"}, "marks.finish": {"+3.10s"},
	"battle": {"won", "lost", "stalemate"}, "outcome": {"sack", "hurry", "no-factor"}, "credit": {"clean-up"}, "contain": {"kept", "lost"},
	"grade.assignment": {"plus", "zero"}, "grade.technique": {"minus", "plus"}, "grade.effort": {"zero"}, "taken": {"yes", "not-his-job"},
	"note": {"Bend sooner.", "Hands first: then the feet.", "Loʻimata held #72."}, "point": {"Outside foot up before the arm goes across."},
	"spot.endzone": {"0.306\n0.353", "0.5\n0.41"}, "spot.sideline": {"0.499\n0.303"},
	"angles.endzone.snap": {"0:00:14.100", "0:00:15.033"}, "angles.sideline.snap": {"0:00:24.100"},
	"angles.endzone.in": {"0:00:10.000", "0:00:11.500"}, "angles.endzone.out": {"0:00:20.000", "0:00:21.500"},
}

// randomTypist types a file of some plays.
func randomTypist(r *rand.Rand) *typist {
	t := &typist{drafts: map[string]*typedDraft{}}
	for n := range 2 + r.Intn(5) {
		p := &typedPlay{number: 3 * (n + 1), facts: map[Field]string{"angles.endzone.in": "0:00:10.000", "angles.endzone.out": "0:00:20.000"}}
		if r.Intn(2) == 0 {
			p.facts["angles.sideline.in"], p.facts["angles.sideline.out"] = "0:00:20.000", "0:00:30.000"
		}
		if r.Intn(3) == 0 {
			p.comment = " # nothing for us on it"
		}
		for _, f := range typedPlayFields {
			if r.Intn(2) == 0 {
				p.facts[f] = pick(r, typedWords[f])
			}
		}
		for _, who := range []string{"marlow", "wren", "oke"} {
			if r.Intn(3) > 0 {
				p.reps = append(p.reps, randomRep(r, who))
			}
		}
		t.plays = append(t.plays, p)
	}
	return t
}

func randomRep(r *rand.Rand, who string) *typedRep {
	rep := &typedRep{rusher: who, who: who, of: "rusher", facts: map[Field]string{}, quoted: map[Field]bool{}}
	if r.Intn(3) == 0 {
		rep.above = []string{"called together: tackle first"}
	}
	if r.Intn(3) == 0 {
		rep.behind = " # why?"
	}
	if r.Intn(3) == 0 {
		number := map[string]string{"marlow": "91", "wren": "99", "oke": "9"}[who]
		rep.line = []string{number, "5", "left", "bull", "short", "lost", "no-factor"}
		rep.facts = map[Field]string{"align": "5", "side": "left", "move": "bull", "blocker.set": "short", "battle": "lost", "outcome": "no-factor"}
		return rep
	}
	for _, f := range typedRepFields {
		if r.Intn(3) == 0 {
			rep.facts[f] = pick(r, typedWords[f])
		}
	}
	if rep.facts["battle"] == "" {
		rep.facts["battle"] = "won"
	}
	return rep
}

func pick(r *rand.Rand, words []string) string { return words[r.Intn(len(words))] }

func (t *typist) find(play int, rusher string) (*typedPlay, int) {
	for _, p := range t.plays {
		if p.number == play {
			return p, slices.IndexFunc(p.reps, func(r *typedRep) bool { return r.rusher == rusher })
		}
	}
	return nil, -1
}

// set is the typist's own way to set a field of a rep.
func (t *typist) set(play int, rusher string, f Field, v string) {
	p, i := t.find(play, rusher)
	if rusher == "" {
		if f == "angles.sideline.snap" && p.facts["angles.sideline.in"] == "" {
			return // a person writes the times of an angle once he has in and out
		}
		p.facts[f] = v
		return
	}
	key := fmt.Sprint(play, rusher)
	if i < 0 {
		d := t.drafts[key]
		d.facts[f] = v
		if d.facts["battle"] == "" && d.facts["outcome"] == "" {
			return
		}
		delete(t.drafts, key)
		if d.was == nil {
			p.reps = append(p.reps, &typedRep{rusher: rusher, who: rusher, facts: d.facts, quoted: map[Field]bool{}})
			return
		}
		place := 0
		for i, r := range p.reps {
			if slices.Contains(d.after, r.rusher) {
				place = i + 1
			}
		}
		p.reps = slices.Insert(p.reps, place, d.was)
		for _, clears := range []bool{false, true} { // he writes what is new first
			for _, o := range typedRepFields {
				if (d.facts[o] == "") == clears {
					t.set(play, rusher, o, d.facts[o])
				}
			}
		}
		return
	}
	r := p.reps[i]
	was := r.facts[f]
	if was == v {
		return
	}
	if other := map[Field]Field{"battle": "outcome", "outcome": "battle"}[f]; v == "" && other != "" && r.facts[other] == "" {
		d := &typedDraft{facts: maps.Clone(r.facts), was: r}
		d.facts[f] = ""
		for _, o := range p.reps[:i] {
			d.after = append(d.after, o.rusher)
		}
		for _, who := range []string{"marlow", "wren", "oke"} {
			if o := t.drafts[fmt.Sprint(play, who)]; o != nil && o.was != nil && !slices.Contains(o.after, rusher) {
				d.after = append(d.after, who)
			}
		}
		t.drafts[key] = d
		p.reps = slices.Delete(p.reps, i, i+1) // what stands above it comes along
		return
	}
	if v == "" {
		delete(r.quoted, f)
	}
	r.facts[f] = v
	if r.line == nil {
		if keys := f.Keys(); keys[0] == r.of && !slices.ContainsFunc(typedRepFields, func(o Field) bool { return o.Keys()[0] == r.of && r.facts[o] != "" }) {
			r.behind = ""
		}
		return
	}
	if slices.Contains([]Field{"job", "align", "side", "blocker.set", "help", "stunt", "move", "battle", "outcome"}, f) && !(f == "job" && v == "") {
		word := strings.ReplaceAll(v, "\n", ">")
		old := slices.Index(r.line[1:], strings.ReplaceAll(was, "\n", ">")) + 1
		switch {
		case was == "" || old == 0:
			r.line = append(r.line, word)
		case v == "":
			r.line = slices.Delete(r.line, old, old+1)
		default:
			r.line[old] = word
		}
		return
	}
	r.who, r.line, r.of = r.line[0], nil, "rusher"
	for _, o := range typedRepFields {
		if r.facts[o] != "" {
			r.of = o.Keys()[0]
		}
	}
}

// remove takes a rep away; what stands above it stays, unless the whole list goes.
func (t *typist) remove(p *typedPlay, i int) {
	above := p.reps[i].above
	p.reps = slices.Delete(p.reps, i, i+1)
	switch {
	case len(p.reps) == 0:
	case i < len(p.reps):
		p.reps[i].above = append(slices.Clone(above), p.reps[i].above...)
	default:
		p.below = append(slices.Clone(above), p.below...)
	}
}
