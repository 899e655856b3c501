package draw

import (
	"fmt"
	"image"
	"math/rand"
	"strings"
	"testing"

	"golang.org/x/image/math/fixed"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// shapedHouse is a picture with the room its labels have.
type shapedHouse struct {
	plan.House
	shape plan.Shape
}

func (h shapedHouse) room() plan.Fit { return h.shape.Layout(h.House).Label }

// shapedHouses is pictures of every shape, from the smallest up.
func shapedHouses() []shapedHouse {
	var list []shapedHouse
	for _, h := range houses {
		list = append(list, shapedHouse{h, plan.Wide})
	}
	for _, short := range []int{180, 360, 540, 720, 1080} {
		list = append(list, shapedHouse{plan.House{Width: short, Height: (short*16 + 4) / 9 / 2 * 2}, plan.Tall}, shapedHouse{plan.House{Width: short, Height: short}, plan.Square})
	}
	return list
}

// randomLabel is a label of words; one in twenty has texts that are far too long, and one in
// twenty far too many of them.
func randomLabel(r *rand.Rand, words []string, h shapedHouse) plan.Label {
	label := plan.Label{Room: h.room()}
	label.Top = label.Room == (plan.Fit{}) && r.Intn(4) == 0
	label.Broad = label.Room == (plan.Fit{}) && r.Intn(4) == 0
	if r.Intn(2) == 0 {
		label.Tab = []string{"7", "91", "100", "teammate"}[r.Intn(4)]
	}
	text := func(most int) string {
		var b strings.Builder
		b.WriteByte("AgjWf"[r.Intn(5)]) // so that something is there to draw
		for n := r.Intn(most); n > 0; n-- {
			b.WriteString(words[r.Intn(len(words))])
			if r.Intn(8) > 0 {
				b.WriteByte(' ')
			}
		}
		return b.String()
	}
	label.Lead = text(6)
	most, lines := 12, r.Intn(4)
	switch r.Intn(20) {
	case 0:
		most = 100
	case 1:
		lines = 12
	}
	for range lines {
		label.Lines = append(label.Lines, text(most))
	}
	return label
}

// randomWords is words of letters from all over Unicode; few, so that a face that has
// measured them need not again.
func randomWords(r *rand.Rand) []string {
	words := make([]string, 200)
	for i := range words {
		words[i] = randomText(r, 9)
	}
	return words
}

// Of ten thousand labels, laid out and not painted, none is clipped, none leaves the safe
// area or its room, and no row runs into another. TestRandomLabelsStayInTheSafeArea
// looks at the pixels of some.
func TestTenThousandLabels(t *testing.T) {
	const labels = 10_000
	l := look(t)
	all := shapedHouses()
	for i, house := range all {
		t.Run(fmt.Sprintf("%s %dx%d", house.shape, house.Width, house.Height), func(t *testing.T) {
			t.Parallel()
			colours, err := coloursFor(l, house.House)
			if err != nil {
				t.Fatal(err)
			}
			r := rand.New(rand.NewSource(int64(100 + i)))
			words := randomWords(r)
			fs := faces{}
			defer fs.done()
			for range labels/len(all) + 1 {
				label := randomLabel(r, words, house)
				s, err := layStrip(label, l, house.House, fs, colours)
				if err == nil {
					err = checkStrip(s, label, house)
				}
				if err != nil {
					t.Fatalf("%+v: %v", label, err)
				}
			}
		})
	}
}

// checkStrip tells what of a strip lies where it must not.
func checkStrip(s strip, label plan.Label, house shapedHouse) error {
	at := image.Rectangle{s.at, s.at.Add(s.size)}
	within := image.Rect((house.Width+19)/20, (house.Height+19)/20, house.Width*19/20, house.Height*19/20)
	if room := label.Room; room != (plan.Fit{}) {
		within = within.Intersect(image.Rect(room.X, room.Y, room.X+room.Width, room.Y+room.Height))
	} else if at.Dy() > within.Dy()/2+1 {
		return fmt.Errorf("it is %d high, and the safe area %d", at.Dy(), within.Dy())
	}
	if !at.In(within) || at.Empty() || (at.Min.X|at.Min.Y|at.Max.X|at.Max.Y)&1 != 0 {
		return fmt.Errorf("it is at %v, of %v", at, within)
	}
	if len(s.texts) == 0 || s.text.X <= s.rule {
		return fmt.Errorf("%d texts, from %v, with a rule of %d", len(s.texts), s.text, s.rule)
	}
	y := s.text.Y
	for _, t := range s.texts {
		if len(t.rows) == 0 {
			return fmt.Errorf("a text of no rows")
		}
		for _, row := range t.rows {
			ink := t.face.ink(row).Add(image.Pt(s.text.X, y+t.face.baseline()))
			if !ink.In(image.Rect(s.rule+1, 1, s.size.X-1, s.size.Y-1)) {
				return fmt.Errorf("row %+q has ink at %v of %v, right of %d", row, ink, s.size, s.rule)
			}
			// From the top of a row to its foot is what the font says a row needs, and less
			// than there is.
			if m := t.face.Metrics(); (m.Ascent + m.Descent).Ceil() > t.face.spacing() {
				return fmt.Errorf("rows of %d are %d apart", t.face.style.px, t.face.spacing())
			}
			y += t.face.spacing()
		}
	}
	if y > s.size.Y {
		return fmt.Errorf("its rows end at %d of %d", y, s.size.Y)
	}
	return nil
}

// ink is where the ink of s is, from its baseline's left end.
func (f *face) ink(s string) image.Rectangle {
	var all image.Rectangle
	for g := range f.glyphs([]rune(s)) {
		b, _, _ := f.GlyphBounds(g.letter)
		b = b.Add(fixed.Point26_6{X: g.at})
		all = all.Union(image.Rect(b.Min.X.Floor(), b.Min.Y.Floor(), b.Max.X.Ceil(), b.Max.Y.Ceil()))
	}
	return all
}

// The clock stands in its room in every shape, with two instants caught in all but the
// smallest pictures.
func TestClockInItsRoom(t *testing.T) {
	l := look(t)
	const limit = 5 * tags.Second / 2
	for _, house := range shapedHouses() {
		house.Rate = tags.Rate{Num: 1, Den: 1}
		clock := plan.Clock{Speed: plan.Speed{Num: 1, Den: 1}, Stop: limit, Limit: limit, Room: house.shape.Layout(house.House).Clock}
		named := func() int {
			t.Helper()
			d, err := Clock(clock, tags.Span{In: 0, Out: 2}, l, house.House)
			if err != nil {
				t.Fatal(err)
			}
			room := Safe(house.House)
			if house.shape != plan.Wide {
				room = room.Intersect(filmIn(clock.Room, house.House))
			}
			at := image.Rect(0, 0, d.Image.Rect.Dx(), d.Height).Add(d.At)
			if !at.In(room) || (d.At.X|d.At.Y|d.Height)&1 != 0 {
				t.Errorf("%s %dx%d: the clock is at %v, its room is %v", house.shape, house.Width, house.Height, at, room)
			}
			return d.Named
		}
		named()
		clock.Caught = []plan.Caught{{At: tags.Second, Name: "beat"}, {At: 2 * tags.Second, Name: "ball out"}}
		if got := named(); min(house.Width, house.Height) >= 540 && got < 2 {
			t.Errorf("%s %dx%d: the clock names %d instants of two", house.shape, house.Width, house.Height, got)
		}
	}
}

// What is drawn on one film stays on it, whatever is drawn.
func TestFiguresStayOnTheirFilm(t *testing.T) {
	l := look(t)
	house := plan.House{Width: 540, Height: 960}
	film := plan.Fit{X: 0, Y: 456, Width: 540, Height: 302}
	r := rand.New(rand.NewSource(5))
	spot := func() plan.Spot { return plan.Spot{X: r.Intn(540), Y: 456 + r.Intn(303)} }
	for range 60 {
		ring, err := Ring(plan.Ring{At: spot(), Tab: "91", Film: film}, l, house)
		if err != nil {
			t.Fatal(err)
		}
		arrow, err := Figure(plan.Drawing{Kind: "arrow", Points: []plan.Spot{spot(), spot()}, Film: film}, l, house)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []Picture{ring, arrow.Picture} {
			if at := p.Image.Rect.Add(p.At); !at.In(filmIn(film, house)) || at.Empty() {
				t.Errorf("drawn at %v, the film is %v", at, filmIn(film, house))
			}
		}
	}
}
