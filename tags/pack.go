package tags

import (
	"bytes"
	"encoding/gob"
	"errors"
	"maps"
	"math"
	"math/bits"
	"slices"
)

// packed is a game as the cache keeps it, for encoding/gob: what ParseGame made of a tag
// file without a fault, less the vocabulary, the clocks of its film and the file's name,
// which whoever reads it knows. Gob on the model itself would decode every rep by
// reflection and allocate every word anew, which takes three times as long.
type packed struct {
	Texts   []string // each once, in order of first occurrence; the first is empty
	Numbers []int64  // everything else in the order of the walk, a text as its place in Texts
}

// packer walks a game and writes it to packed, or reads it back: each part of the model
// has one method for both, so that the two cannot come apart. The plain fields of plays
// and reps are those of the register.
type packer struct {
	packed
	reading bool
	next    int // reading: the place in Numbers
	failed  bool

	file   string
	line   int              // of the last Pos: the next is seldom far
	places map[string]int64 // writing: of Texts
	people []*Person        // in order of id
	spare  spare            // reading
}

// errUnpackable says that a game holds what no reading of a tag file gives it.
var errUnpackable = errors.New("the game cannot be packed")

// pack is g as bytes.
func pack(g *Game) ([]byte, error) {
	p := &packer{packed: packed{Texts: []string{""}}, file: g.Pos.File, places: map[string]int64{"": 0}}
	p.game(g)
	if p.failed {
		return nil, errUnpackable
	}
	var data bytes.Buffer
	err := gob.NewEncoder(&data).Encode(p.packed)
	return data.Bytes(), err
}

// unpack is the game that was packed as data, read from file in the words of v; false
// where data is not that.
func unpack(data []byte, file string, v *Vocabulary) (*Game, bool) {
	p := &packer{reading: true, file: file}
	from := bytes.NewReader(data)
	if err := gob.NewDecoder(from).Decode(&p.packed); err != nil || from.Len() > 0 {
		return nil, false
	}
	g := &Game{vocabulary: v}
	p.game(g)
	return g, !p.failed && p.next == len(p.Numbers)
}

func (p *packer) game(g *Game) {
	p.pos(&g.Pos)
	p.text(&g.ID, &g.By, &g.Kind, &g.Date, &g.Us, &g.Opponent, &g.Field)
	packList(p, &g.Films, nil, func(f *Film) {
		p.pos(&f.Pos)
		p.text(&f.Angle, &f.File)
		p.instant(&f.Offset)
		p.whole(&f.Drift)
	})
	p.roster(&g.People)
	packMap(p, &g.Assume, func(value *string) { p.text(value) })
	packPointers(p, &g.Plays, func(play *Play) {
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
	packPointers(p, &p.people, func(who *Person) {
		p.pos(&who.Pos)
		p.text(&who.ID, &who.Name, &who.Team, &who.Jersey, &who.Position)
		p.flag(&who.Runs)
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
	packFields(p, PlayFields, play)
	packMap(p, &play.Extra, func(value *string) { p.text(value) })
	p.marks(&play.Marks)
	p.instant(&play.in)
	p.instant(&play.out)
	packList(p, &play.angles, &p.spare.angles, func(a *angle) {
		p.pos(&a.Pos)
		p.text(&a.Name, &a.File)
		p.instant(&a.In)
		p.instant(&a.Out)
		p.instant(&a.Snap)
	})
	p.flag(&play.timed)
	packPointers(p, &play.Reps, func(r *Rep) {
		r.Play = play
		p.rep(r)
	})
}

func (p *packer) rep(r *Rep) {
	p.pos(&r.Pos)
	packFields(p, RepFields, r)
	packList(p, &r.Moves, &p.spare.moves, func(m *Move) { p.text(&m.Name, &m.Path) })
	p.text(&r.Counter)
	p.marks(&r.Marks)
	packMap(p, &r.Spot, p.point)
	packList(p, &r.Draw, nil, func(d *Drawing) {
		p.text((*string)(&d.At), &d.Angle, &d.Shape)
		packList(p, &d.Points, nil, p.point)
	})
	p.instant(&r.in)
	p.instant(&r.out)
	if r.Model != "" {
		p.pos(&r.modelAt)
	}
	assumed := int64(r.assumed)
	p.integer(&assumed)
	r.assumed = uint64(assumed)
}

// packFields is the plain fields of a play or a rep.
func packFields[T any](p *packer, fields []*Field[T], x *T) {
	for _, f := range fields {
		switch at := f.At(x).(type) {
		case *string:
			p.text(at)
		case *int:
			p.whole(at)
		case **int:
			p.number(at)
		case **Person:
			p.person(at)
		case *[]string:
			packList(p, at, &p.spare.texts, func(s *string) { p.text(s) })
		}
	}
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
	p.flag(&there)
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
	p.flag(&there)
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
		n := int64(math.Float64bits(*f))
		p.integer(&n)
		*f = math.Float64frombits(uint64(n))
	}
}

func (p *packer) flag(f *bool) {
	var n int64
	if *f {
		n = 1
	}
	p.integer(&n)
	*f = n != 0
}

func (p *packer) text(texts ...*string) {
	for _, t := range texts {
		var place int64
		if !p.reading {
			var known bool
			if place, known = p.places[*t]; !known {
				place = int64(len(p.Texts))
				p.places[*t] = place
				p.Texts = append(p.Texts, *t)
			}
		}
		p.integer(&place)
		if place < 0 || place >= int64(len(p.Texts)) {
			p.failed = true
			continue
		}
		*t = p.Texts[place]
	}
}

func (p *packer) whole(n *int) {
	wide := int64(*n)
	p.integer(&wide)
	*n = int(wide)
}

func (p *packer) integer(n *int64) {
	switch {
	case !p.reading:
		p.Numbers = append(p.Numbers, *n)
	case p.next < len(p.Numbers):
		*n = p.Numbers[p.next]
		p.next++
	default:
		*n, p.failed = 0, true
	}
}

// length is that of a list or mapping plus one, for 0 is nil. Every item takes a number at
// least, so a length that is read is bounded by what is left.
func (p *packer) length(n int, isNil bool) (length int, none bool) {
	if n++; isNil {
		n = 0
	}
	p.whole(&n)
	if p.reading && (n < 0 || n-1 > len(p.Numbers)-p.next) {
		p.failed, n = true, 0
	}
	return n - 1, n == 0
}

// packList is a list, item by item; what is read lies in spare, where there is one.
func packList[T any](p *packer, list, spare *[]T, item func(*T)) {
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

func packPointers[T any](p *packer, list *[]*T, item func(*T)) {
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

// packMap is a mapping, in order of its keys.
func packMap[T any](p *packer, m *map[string]T, value func(*T)) {
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
