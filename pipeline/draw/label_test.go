package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math/rand"
	"slices"
	"strings"
	"sync"
	"testing"

	"trenchcut/pipeline/plan"
)

var situation = plan.Label{
	Lead:  "3rd & 8 · own 35",
	Lines: []string{"Play 14 · Q1 11:32", "#91 Teo Marlow · 9 left · long arm › up and under vs short set"},
}

var houses = []plan.House{
	{Width: 1280, Height: 720},
	{Width: 640, Height: 360},
	{Width: 1080, Height: 1920},
	{Width: 960, Height: 540},
	{Width: 426, Height: 240},
	{Width: 853, Height: 479},
	{Width: 320, Height: 180},
	{Width: 360, Height: 640},
}

func TestSafe(t *testing.T) {
	for _, c := range []struct {
		width, height int
		want          image.Rectangle
	}{
		{1920, 1080, image.Rect(96, 54, 1824, 1026)}, // SMPTE ST 2046-1:2009
		{1280, 720, image.Rect(64, 36, 1216, 684)},   // 90 % of it, worked by hand
		{1001, 501, image.Rect(51, 26, 950, 475)},    // never outside where it does not come out whole
	} {
		if got := Safe(plan.House{Width: c.width, Height: c.height}); got != c.want {
			t.Errorf("safe area of %dx%d is %v, want %v", c.width, c.height, got, c.want)
		}
	}
}

// checkLabel tells what is wrong with where p lies and whether its text is clipped.
func checkLabel(p Picture, look plan.Look, house shapedHouse) error {
	r := p.Image.Rect.Add(p.At)
	safe := image.Rect((house.Width+19)/20, (house.Height+19)/20, house.Width*19/20, house.Height*19/20)
	if room := house.room(); room != (plan.Fit{}) {
		safe = safe.Intersect(image.Rect(room.X, room.Y, room.X+room.Width, room.Y+room.Height))
	}
	if !r.In(safe) || r.Empty() {
		return fmt.Errorf("label at %v, safe area %v", r, safe)
	}
	if (r.Min.X|r.Min.Y|r.Max.X|r.Max.Y)&1 != 0 {
		return fmt.Errorf("label at %v has an odd corner", r)
	}
	if house.shape == plan.Wide && r.Dy() > safe.Dy()/2+1 {
		return fmt.Errorf("label is %d high, safe area %d", r.Dy(), safe.Dy())
	}
	colours, err := newPalette(look)
	if err != nil {
		return err
	}
	b := p.Image.Rect
	ground := p.Image.NRGBAAt(b.Max.X-1, b.Max.Y-1)
	ruled := 0
	for x := b.Min.X; p.Image.NRGBAAt(x, b.Min.Y) == colours.accent; x++ {
		ruled++
	}
	if ruled == 0 || ruled > b.Dx()/3 {
		return fmt.Errorf("the rule is %d wide of %d", ruled, b.Dx())
	}
	// Text touching the border, or the rule, would be clipped or was about to be.
	inner := image.Rect(b.Min.X+ruled+1, b.Min.Y+1, b.Max.X-1, b.Max.Y-1)
	text := 0
	for y := b.Min.Y; y < b.Max.Y; y++ {
		row := p.Image.Pix[p.Image.PixOffset(0, y):][:4*b.Dx()]
		for x := ruled; x < b.Max.X; x++ {
			c := color.NRGBA{row[4*x], row[4*x+1], row[4*x+2], row[4*x+3]}
			if c.A < ground.A {
				return fmt.Errorf("pixel %d,%d is clearer than the ground: %v", x, y, c)
			}
			if c == ground {
				continue
			}
			text++
			if !image.Pt(x, y).In(inner) {
				return fmt.Errorf("text touches the border at %d,%d: %v on %v", x, y, c, ground)
			}
		}
	}
	if text == 0 {
		return fmt.Errorf("no text")
	}
	return nil
}

// randomText is words of letters from all over Unicode, or one word without end.
func randomText(r *rand.Rand, most int) string {
	ranges := [][2]int{
		{'a', 'z'},
		{'a', 'z'},
		{'A', 'Z'},
		{'0', '9'},
		{0x20, 0x7e},
		{0xa0, 0x24f},
		{0x2b0, 0x36f},
		{0x1e00, 0x1eff},
		{0x370, 0x5ff},
		{0x2000, 0x22ff},
		{0x4e00, 0x4eff},
		{0x1f600, 0x1f64f},
		{0, 0x1f},
		{0xd7f0, 0xe010},
		{'W', 'W'},
		{0x1d00, 0x1dff},
	}
	var b strings.Builder
	b.WriteByte("AgjWf"[r.Intn(5)]) // so that something is there to draw
	spaces := r.Intn(4) > 0
	for n := r.Intn(most); n > 0; n-- {
		if spaces && r.Intn(7) == 0 {
			b.WriteByte(' ')
		}
		if r.Intn(50) == 0 {
			b.WriteByte(byte(r.Intn(256)))
			continue
		}
		in := ranges[r.Intn(len(ranges))]
		b.WriteRune(rune(in[0] + r.Intn(in[1]-in[0]+1)))
	}
	return b.String()
}

func TestRandomLabelsStayInTheSafeArea(t *testing.T) {
	l := look(t)
	// Painting is dear; what is laid out in large pictures, TestTenThousandLabels holds.
	all := slices.DeleteFunc(shapedHouses(), func(h shapedHouse) bool { return max(h.Width, h.Height) > 1280 })
	for i, house := range all {
		t.Run(fmt.Sprintf("%s %dx%d", house.shape, house.Width, house.Height), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewSource(int64(i)))
			for range fewer(2000) / len(all) {
				label := plan.Label{Lead: randomText(r, 60), Room: house.room()}
				most := 140
				if r.Intn(20) == 0 {
					most = 2000
				}
				for n := r.Intn(4) * (1 + r.Intn(5)/4*4); n > 0; n-- {
					label.Lines = append(label.Lines, randomText(r, most))
				}
				p, err := Label(label, l, house.House)
				if err == nil {
					err = checkLabel(p, l, house)
				}
				if err != nil {
					t.Fatalf("%+v: %v", label, err)
				}
			}
		})
	}
}

func TestLabelIsNoLargerThanItNeeds(t *testing.T) {
	house := plan.House{Width: 1280, Height: 720}
	small, err := Label(plan.Label{Lead: "SACK · won"}, look(t), house)
	if err != nil {
		t.Fatal(err)
	}
	large, err := Label(situation, look(t), house)
	if err != nil {
		t.Fatal(err)
	}
	if s, l := small.Image.Rect, large.Image.Rect; s.Dx() > 300 || s.Dx() >= l.Dx() || s.Dy() >= l.Dy() || l.Dx() > 800 {
		t.Errorf("labels are %v and %v", s, l)
	}
	if a, b := small.At.Y+small.Image.Rect.Dy(), large.At.Y+large.Image.Rect.Dy(); a != 684 || b != 684 || small.At.X != 64 {
		t.Errorf("labels end at %d and %d and start at %d, want the safe area's bottom 684 and left 64", a, b, small.At.X)
	}
}

// A name of sixty letters and signs comes out whole in its full size, at 720 lines.
func TestLongNameIsNotCut(t *testing.T) {
	const name = `#91 K. "100%" O\Brien: Kaʻahumanu-Hāʻōʻū Žďárský d’Été-Ñúñez`
	if n := len([]rune(name)); n < 60 {
		t.Fatalf("the name has %d letters", n)
	}
	fs := faces{}
	texts := setTexts(fs, newScale(plan.House{Width: 1280, Height: 720}), false, 22, []string{clean(name)}, color.NRGBA{}, 500, mostFolds, mostFolds)
	if len(texts) != 1 || len(texts[0].rows) != 2 || strings.Join(texts[0].rows, " ") != name || texts[0].face.style.px != 22 {
		t.Errorf("set as %q", texts[0].rows)
	}
	if missing := Missing(name); missing != nil {
		t.Errorf("missing %q", missing)
	}
}

func TestFoldThenShrinkThenCut(t *testing.T) {
	fs := faces{}
	s := newScale(plan.House{Width: 1280, Height: 720})
	words := strings.Repeat("long arm ", 60)
	room := 600
	var px, rows []int
	var cut []bool
	for _, n := range []int{5, 9 * 14, 9 * 24, 9 * 60} {
		set := setTexts(fs, s, false, 22, []string{clean(words[:n])}, color.NRGBA{}, room, mostFolds, mostFolds)[0]
		if set.width() > room {
			t.Errorf("%d letters take %d of %d pixels", n, set.width(), room)
		}
		px, rows = append(px, set.face.style.px), append(rows, len(set.rows))
		cut = append(cut, strings.HasSuffix(set.rows[len(set.rows)-1], "…"))
	}
	if got, want := fmt.Sprint(rows, cut), "[1 3 3 3] [false false false true]"; got != want {
		t.Errorf("rows and cuts are %s, want %s", got, want)
	}
	if px[0] != 22 || px[1] != 22 || px[2] >= 22 || px[2] < 16 || px[3] != 16 {
		t.Errorf("sizes are %d, want 22, 22, smaller, the floor 16", px)
	}
}

func TestLabelErrors(t *testing.T) {
	for _, c := range []struct {
		label plan.Label
		house plan.House
		want  string
	}{
		{plan.Label{}, houses[0], "no text"},
		{plan.Label{Lead: " \u200b", Lines: []string{"\n"}}, houses[0], "no text"},
		{situation, plan.House{}, "house size 0x0"},
		{situation, plan.House{Width: 1 << 20, Height: 720}, "house size 1048576x720"},
	} {
		if _, err := Label(c.label, look(t), c.house); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want an error with %q", err, c.want)
		}
	}
}

// Many goroutines draw the same and other things at once, and all get the same bytes;
// run with -race.
func TestSameBytesAtOnce(t *testing.T) {
	l := look(t)
	house := plan.House{Width: 640, Height: 360}
	one := func() string {
		var b bytes.Buffer
		p, err := Label(situation, l, house)
		if err != nil {
			return err.Error()
		}
		card, err := Card(closing, nil, l, house)
		if err != nil {
			return err.Error()
		}
		for _, p := range []Picture{p, {Image: card}} {
			if err := p.PNG(&b); err != nil {
				return err.Error()
			}
		}
		return b.String()
	}
	want := one()
	if !strings.HasPrefix(want, "\x89PNG") {
		t.Fatal(want)
	}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 3 {
				if one() != want {
					t.Error("the same description gave other bytes")
				}
			}
		})
	}
	wg.Wait()
}

func TestPNGKeepsStraightAlpha(t *testing.T) {
	p, err := Label(situation, look(t), houses[0])
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := p.PNG(&b); err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	got, ok := m.(*image.NRGBA)
	if !ok || !bytes.Equal(got.Pix, p.Image.Pix) {
		t.Errorf("read back a %T with other pixels", m)
	}
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	far := func(a, b uint8) bool { return int(a)-int(b) > 1 || int(b)-int(a) > 1 }
	scrim, at := colours.scrim(), got.NRGBAAt(got.Rect.Max.X-1, 0)
	if far(scrim.R, at.R) || far(scrim.G, at.G) || far(scrim.B, at.B) || scrim.A != at.A {
		t.Errorf("the scrim is %v, want %v", at, scrim)
	}
}

func BenchmarkLabel(b *testing.B) {
	l := look(b)
	for b.Loop() {
		if _, err := Label(situation, l, houses[0]); err != nil {
			b.Fatal(err)
		}
	}
}

// A label with a room of its own, below an upright picture, tells all that there is room for, and no
// line of it begins with what stands between two parts.
func TestOwnRoomIsUsed(t *testing.T) {
	lines := []string{"Teo Marlow, 9-technique, right · long arm › up and under · short set"}
	house := plan.House{Width: 270, Height: 480}
	l := look(t)
	colours, err := coloursFor(l, house)
	if err != nil {
		t.Fatal(err)
	}
	for _, height := range []int{40, 140} {
		s, err := layStrip(plan.Label{Lead: "3rd & 7", Lines: lines, Room: plan.Fit{X: 0, Y: 360, Width: 170, Height: height}}, l, house, faces{}, colours)
		if err != nil {
			t.Fatal(err)
		}
		var rows []string
		for _, text := range s.texts {
			rows = append(rows, text.rows...)
			for _, row := range text.rows {
				if strings.HasPrefix(row, "·") {
					t.Errorf("a line is %q", row)
				}
			}
		}
		if whole := !strings.Contains(strings.Join(rows, " "), "…"); whole != (height > 100) {
			t.Errorf("in %d lines it says %q", height, rows)
		}
	}
}
