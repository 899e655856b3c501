package tags

import (
	"encoding/binary"
	"errors"
	"maps"
	"math"
	"math/bits"
	"slices"
)

// packer turns a game into bytes and back: what ParseGame made of a tag file without a
// fault, less the vocabulary, the clocks of its film and the file's name, which whoever
// reads it knows.
//
// Each part of the model has one method that both writes and reads it, field by field, so
// that the two cannot come apart. Numbers are varints; a text that occurred before, as
// nearly all do, is its place in the order of first occurrence.
type packer struct {
	reading bool
	data    string // reading: what is left to read
	out     []byte // writing: what is written so far
	failed  bool

	file   string
	line   int // of the last Pos: the next is seldom far
	texts  []string
	places map[string]int // writing: of texts
	people []*Person      // in order of id
	spare  spare          // reading
}

// errUnpackable says that a game holds what no reading of a tag file gives it.
var errUnpackable = errors.New("the game cannot be packed")

// pack is g as bytes.
func pack(g *Game) ([]byte, error) {
	p := &packer{file: g.Pos.File, texts: []string{""}, places: map[string]int{"": 0}}
	p.game(g)
	if p.failed {
		return nil, errUnpackable
	}
	return p.out, nil
}

// unpack is the game that was packed as data, read from file in the words of v; false
// where data is not that.
func unpack(data string, file string, v *Vocabulary) (*Game, bool) {
	p := &packer{reading: true, data: data, file: file, texts: []string{""}}
	g := &Game{vocabulary: v}
	p.game(g)
	return g, !p.failed && p.data == ""
}

func (p *packer) game(g *Game) {
	p.pos(&g.Pos)
	p.text(&g.ID, &g.By, &g.Kind, &g.Date, &g.Us, &g.Opponent, &g.Field)
	each(p, &g.Films, nil, func(f *Film) {
		p.pos(&f.Pos)
		p.text(&f.Angle, &f.File)
		p.instant(&f.Offset)
		p.whole(&f.Drift)
	})
	p.roster(&g.People)
	eachAt(p, &g.Plays, func(play *Play) {
		play.Game = g
		p.play(play)
	})
}

func (p *packer) roster(people *map[string]*Person) {
	if !p.reading {
		for _, id := range slices.Sorted(maps.Keys(*people)) {
			p.people = append(p.people, (*people)[id])
		}
	}
	eachAt(p, &p.people, func(who *Person) {
		p.pos(&who.Pos)
		p.text(&who.ID, &who.Name, &who.Team, &who.Jersey, &who.Position)
		p.flags(&who.Runs)
	})
	if p.reading {
		*people = make(map[string]*Person, len(p.people))
		for _, who := range p.people {
			(*people)[who.ID] = who
		}
	}
}

func (p *packer) play(play *Play) {
	p.pos(&play.Pos)
	p.whole(&play.Number)
	p.text(&play.Type, &play.Unit, &play.Clock, &play.YardLine, &play.Hash, &play.Personnel, &play.Front, &play.Call, &play.Protection)
	p.number(&play.Series)
	p.number(&play.Quarter)
	p.number(&play.Down)
	p.number(&play.Distance)
	p.person(&play.Passer)
	dict(p, &play.Extra, func(value *string) { p.text(value) })
	p.marks(&play.Marks)
	p.instant(&play.in)
	p.instant(&play.out)
	each(p, &play.angles, &p.spare.angles, func(a *angle) {
		p.pos(&a.Pos)
		p.text(&a.Name, &a.File)
		p.instant(&a.In)
		p.instant(&a.Out)
		p.instant(&a.Snap)
	})
	p.flags(&play.timed)
	eachAt(p, &play.Reps, func(r *Rep) {
		r.Play = play
		p.rep(r)
	})
}

func (p *packer) rep(r *Rep) {
	p.pos(&r.Pos)
	p.person(&r.Rusher)
	p.person(&r.Blocker)
	p.flags(&r.Unblocked, &r.Loaf, &r.MissedAssignment)
	p.text(&r.Job, &r.Align, &r.Side, &r.Stance, &r.Gap, &r.Set, &r.Hands, &r.Lean, &r.Block, &r.Help,
		&r.Stunt, &r.Called, &r.Counter, &r.Battle, &r.Outcome, &r.Credit, &r.How, &r.Contain, &r.Penalty,
		&r.Assignment, &r.Technique, &r.Effort, &r.Taken, &r.Note, &r.Point, &r.Model)
	each(p, &r.Moves, &p.spare.moves, func(m *Move) { p.text(&m.Name, &m.Path) })
	each(p, &r.Tells, &p.spare.texts, func(s *string) { p.text(s) })
	each(p, &r.Saw, &p.spare.texts, func(s *string) { p.text(s) })
	p.marks(&r.Marks)
	dict(p, &r.Spot, p.point)
	each(p, &r.Draw, nil, func(d *Drawing) {
		p.text((*string)(&d.At), &d.Angle, &d.Shape)
		each(p, &d.Points, nil, p.point)
	})
	p.instant(&r.in)
	p.instant(&r.out)
}

// marks is a bit for each mark, then the marks there are.
func (p *packer) marks(marks *Marks) {
	there := int(marks.known)
	p.whole(&there)
	if p.reading {
		if there < 0 || there >= 1<<len(AllMarks) {
			p.failed = true
			return
		}
		marks.known = uint8(there)
		marks.at = take(&p.spare.instants, bits.OnesCount8(marks.known))
	}
	for i := range marks.at {
		p.at(&marks.at[i])
	}
}

// instant is one that may be absent.
func (p *packer) instant(at **Instant) {
	there := *at != nil
	p.flags(&there)
	if !there || p.failed {
		return
	}
	if p.reading {
		*at = &take(&p.spare.instants, 1)[0]
	}
	p.at(*at)
}

// spare is what is allocated ahead, because a season is made of very many small lists.
type spare struct {
	instants []Instant
	moves    []Move
	texts    []string
	angles   []angle
}

// take is the next n of those allocated ahead; nothing can be appended to them in place.
func take[T any](spare *[]T, n int) []T {
	const ahead = 128
	if n == 0 {
		return nil
	}
	if n > len(*spare) {
		*spare = make([]T, max(n, ahead))
	}
	taken := (*spare)[:n:n]
	*spare = (*spare)[n:]
	return taken
}

func (p *packer) at(at *Instant) {
	unit, from := int(at.Unit), int(at.From)
	p.whole(&unit)
	p.whole(&from)
	at.Unit, at.From = Unit(unit), Origin(from)
	p.integer(&at.N)
	p.pos(&at.Pos)
}

func (p *packer) pos(pos *Pos) {
	line := pos.Line - p.line
	p.whole(&line)
	p.whole(&pos.Column)
	if p.reading {
		pos.File, pos.Line = p.file, p.line+line
	}
	p.failed = p.failed || pos.File != p.file
	p.line = pos.Line
}

// person is the place of one among people, from 1; 0 is nobody.
func (p *packer) person(who **Person) {
	place := 0
	if *who != nil {
		place = 1 + slices.Index(p.people, *who)
		p.failed = p.failed || place == 0
	}
	p.whole(&place)
	switch {
	case !p.reading || place == 0:
	case place < 0 || place > len(p.people):
		p.failed = true
	default:
		*who = p.people[place-1]
	}
}

// number is a whole number that may be absent.
func (p *packer) number(n **int) {
	there := *n != nil
	p.flags(&there)
	if !there {
		return
	}
	if p.reading {
		*n = new(int)
	}
	p.whole(*n)
}

func (p *packer) point(pt *Point) {
	for _, f := range []*float64{&pt.X, &pt.Y} {
		if !p.reading {
			p.out = binary.LittleEndian.AppendUint64(p.out, math.Float64bits(*f))
		} else if b := p.take(8); b != "" {
			*f = math.Float64frombits(binary.LittleEndian.Uint64([]byte(b)))
		}
	}
}

// flags is up to seven facts that are yes or no.
func (p *packer) flags(flags ...*bool) {
	var bits int
	for i, f := range flags {
		if *f {
			bits |= 1 << i
		}
	}
	p.whole(&bits)
	if p.reading {
		for i, f := range flags {
			*f = bits&(1<<i) != 0
		}
	}
}

func (p *packer) text(texts ...*string) {
	for _, t := range texts {
		p.oneText(t)
	}
}

// oneText is the place of a text among those that occurred; a place one past the last is
// followed by the text.
func (p *packer) oneText(t *string) {
	place := 0
	if !p.reading {
		var known bool
		if place, known = p.places[*t]; !known {
			place = len(p.texts)
			p.places[*t] = place
		}
	}
	p.whole(&place)
	switch {
	case place < 0 || place > len(p.texts):
		p.failed = true
	case place < len(p.texts):
		*t = p.texts[place]
	default:
		n := len(*t)
		p.whole(&n)
		if p.reading {
			*t = p.take(n)
		} else {
			p.out = append(p.out, *t...)
		}
		p.texts = append(p.texts, *t)
	}
}

func (p *packer) whole(n *int) {
	wide := int64(*n)
	p.integer(&wide)
	*n = int(wide)
}

func (p *packer) integer(n *int64) {
	if !p.reading {
		p.out = binary.AppendVarint(p.out, *n)
		return
	}
	// Most are one byte.
	if p.data != "" && p.data[0] < 0x80 {
		b := int64(p.data[0])
		*n, p.data = b>>1^-(b&1), p.data[1:]
		return
	}
	var size int
	head := p.data[:min(len(p.data), binary.MaxVarintLen64)]
	*n, size = binary.Varint([]byte(head))
	if size <= 0 {
		*n, p.failed, p.data = 0, true, ""
		return
	}
	p.data = p.data[size:]
}

// take is the next n bytes.
func (p *packer) take(n int) string {
	if n < 0 || n > len(p.data) {
		p.failed, p.data = true, ""
		return ""
	}
	taken := p.data[:n]
	p.data = p.data[n:]
	return taken
}

// length is that of a list or mapping plus one, for 0 is nil. No item packs into nothing,
// so a length that is read is bounded by what is left.
func (p *packer) length(n int, isNil bool) (length int, none bool) {
	if n++; isNil {
		n = 0
	}
	p.whole(&n)
	if p.reading && (n < 0 || n-1 > len(p.data)) {
		p.failed, n = true, 0
	}
	return n - 1, n == 0
}

// each is a list, item by item; what is read lies in spare, where there is one.
func each[T any](p *packer, list, spare *[]T, item func(*T)) {
	n, none := p.length(len(*list), *list == nil)
	if none {
		return
	}
	switch {
	case p.reading && spare != nil && n > 0:
		*list = take(spare, n)
	case p.reading:
		*list = make([]T, n)
	}
	for i := range *list {
		if p.failed {
			return
		}
		item(&(*list)[i])
	}
}

// eachAt is a list of pointers, item by item.
func eachAt[T any](p *packer, list *[]*T, item func(*T)) {
	n, none := p.length(len(*list), *list == nil)
	if none {
		return
	}
	if p.reading {
		*list = make([]*T, n)
		items := make([]T, n)
		for i := range items {
			(*list)[i] = &items[i]
		}
	}
	for _, at := range *list {
		if p.failed {
			return
		}
		item(at)
	}
}

// dict is a mapping, in order of its keys.
func dict[T any](p *packer, m *map[string]T, value func(*T)) {
	n, none := p.length(len(*m), *m == nil)
	if none {
		return
	}
	if !p.reading {
		for _, key := range slices.Sorted(maps.Keys(*m)) {
			v := (*m)[key]
			p.text(&key)
			value(&v)
		}
		return
	}
	*m = make(map[string]T, n)
	for range n {
		if p.failed {
			return
		}
		var key string
		var v T
		p.text(&key)
		value(&v)
		(*m)[key] = v
	}
}
