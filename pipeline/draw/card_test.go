package draw

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
)

const caution = "Technique and contact are taught by qualified coaches under the league’s rules: head up, no contact with the head or neck, no late or low hit on a passer. A player with signs of concussion is out until a licensed clinician clears him."

// Intervals are Wilson's, 95 %; the pictures do not depend on who worked them out.
var closing = plan.Card{
	Title: "Inside counters against short sets",
	Lines: []string{"6 reps, 2 rushers, 2 games"},
	Shares: []plan.Share{
		{Name: "won", K: 4, N: 6, Low: .300, High: .903, Bar: true},
		{Name: "pressure", K: 3, N: 6, Low: .188, High: .812, Bar: true},
		{Name: "sack", K: 1, N: 6, Low: .030, High: .564, Bar: true},
		{Name: "beaten in time", K: 2, N: 4},
	},
	Small:   []string{"Harbor State 12 Sep 2026 · Mill Creek 19 Sep 2026"},
	Caution: caution,
}

func many() plan.Card {
	c := plan.Card{Title: strings.Repeat("Everything this left tackle gives up on third and long ", 4), Small: closing.Small, Caution: caution}
	for i := range 30 {
		c.Lines = append(c.Lines, fmt.Sprintf("line %d", i+1))
		c.Shares = append(c.Shares, plan.Share{Name: fmt.Sprintf("share %d, against a tackle who sits and sits and sits", i+1), K: i, N: 30, Low: float64(i) / 60, High: float64(i+31) / 61, Bar: true})
	}
	return c
}

// checkCard tells what lies outside the safe area.
func checkCard(m *image.NRGBA, house plan.House) error {
	if m.Rect != image.Rect(0, 0, house.Width, house.Height) {
		return fmt.Errorf("the slate is %v", m.Rect)
	}
	safe := image.Rect((house.Width+19)/20, (house.Height+19)/20, house.Width*19/20, house.Height*19/20)
	ground := m.NRGBAAt(0, 0)
	inside := 0
	plain := bytes.Repeat([]byte{ground.R, ground.G, ground.B, ground.A}, house.Width)
	for y := range house.Height {
		if bytes.Equal(m.Pix[y*m.Stride:][:len(plain)], plain) {
			continue
		}
		for x := range house.Width {
			c := m.NRGBAAt(x, y)
			switch {
			case c.A != 255:
				return fmt.Errorf("pixel %d,%d is clear: %v", x, y, c)
			case c == ground:
			case !image.Pt(x, y).In(safe):
				return fmt.Errorf("pixel %d,%d is outside the safe area %v: %v", x, y, safe, c)
			default:
				inside++
			}
		}
	}
	if inside == 0 {
		return fmt.Errorf("the slate is empty")
	}
	return nil
}

func TestCardsStayInTheSafeArea(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	l := look(t)
	for i := range fewer(160) {
		house := houses[i%len(houses)]
		c := plan.Card{Title: randomText(r, 120)}
		for range r.Intn(12) {
			c.Lines = append(c.Lines, randomText(r, 150))
		}
		for range r.Intn(12) {
			n := 1 + r.Intn(2000)
			k := r.Intn(n + 1)
			rate := float64(k) / float64(n)
			c.Shares = append(c.Shares, plan.Share{Name: randomText(r, 40), K: k, N: n, Low: rate * r.Float64(), High: rate + (1-rate)*r.Float64(), Bar: r.Intn(3) > 0})
		}
		for range r.Intn(4) {
			c.Small = append(c.Small, randomText(r, 250))
		}
		m, err := Card(c, nil, l, house)
		if err == nil {
			err = checkCard(m, house)
		}
		if err != nil {
			t.Fatalf("slate %d, %dx%d, %+q: %v", i, house.Width, house.Height, c.Title, err)
		}
	}
	tall := many()
	tall.Title, tall.Small = strings.Repeat("ẲẴẶǺÅ\u0301\u0323Ș ŖĢ", 30), append(tall.Small, "gjpq Ŗ̧Ģ ự Ậ")
	for _, house := range houses {
		for name, c := range map[string]plan.Card{"closing": closing, "many": many(), "tall": tall, "title": {Title: "Inside counters"}} {
			m, err := Card(c, nil, l, house)
			if err == nil {
				err = checkCard(m, house)
			}
			if err != nil {
				t.Errorf("%s at %dx%d: %v", name, house.Width, house.Height, err)
			}
		}
	}
}

// Parts lie below one another with no overlap, what is left out is counted, and the
// caution at the foot is never left out.
func TestTooMuchForASlate(t *testing.T) {
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, house := range houses {
		fs := faces{}
		s := newSetter(fs, colours, look(t), house)
		c := many()
		l, err := s.fit(c)
		if err != nil {
			t.Errorf("%dx%d: %v", house.Width, house.Height, err)
			continue
		}
		if got, most := l.height(), Safe(house).Dy(); got > most || got < most*2/3 {
			t.Errorf("%dx%d: the slate takes %d of %d pixels: want nearly all and no more", house.Width, house.Height, got, most)
		}
		shown, left, cautioned := 0, 0, false
		for _, p := range slices.Concat(l.head, l.body, l.foot) {
			var n int
			if _, err := fmt.Sscanf(p.says, "… and %d more", &n); err == nil {
				left += n
			} else if strings.HasPrefix(p.says, "line ") || strings.HasPrefix(p.says, "share ") {
				shown++
			}
			cautioned = cautioned || p.says == caution
		}
		if !cautioned || left == 0 || shown+left != len(c.Lines)+len(c.Shares) {
			t.Errorf("%dx%d: caution %v, shows %d and leaves out %d of %d", house.Width, house.Height, cautioned, shown, left, len(c.Lines)+len(c.Shares))
		}
	}
}

// Of the small text the caution is kept when there are too many games to name.
func TestTooManyGamesForTheFoot(t *testing.T) {
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	c := plan.Card{Title: "Inside counters"}
	for i := range 60 {
		c.Small = append(c.Small, fmt.Sprintf("game %d", i+1))
	}
	c.Caution = caution
	s := newSetter(faces{}, colours, look(t), houses[0])
	l, err := s.fit(c)
	if err != nil {
		t.Fatal(err)
	}
	var foot []string
	for _, p := range l.foot {
		foot = append(foot, p.says)
	}
	n := len(foot)
	if n < 10 || foot[0] != "game 1" || foot[n-2] != fmt.Sprintf("… and %d more", 60-(n-2)) || foot[n-1] != caution {
		t.Errorf("the foot says %q", foot)
	}
}

// The caution has room in every picture a reel can have.
func TestRoomForCaution(t *testing.T) {
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	fs := faces{}
	sides := []int{plan.LeastShort, 190, 200, 220, 240, 270, 300, plan.LeastLong, 360, 426, 480, 640, 1080, 1280, 1920, plan.MostSide}
	for i, width := range sides {
		for j, height := range sides {
			// The race detector looks at half of them, those of the least side among them.
			if max(width, height) < plan.LeastLong || fewer(8) < 8 && i*j%3 > 0 {
				continue
			}
			house := plan.House{Width: width, Height: height}
			s := newSetter(fs, colours, look(t), house)
			l, err := s.fit(many())
			if err != nil {
				t.Errorf("%dx%d: %v", width, height, err)
			} else if foot := l.foot[len(l.foot)-1]; foot.says != caution {
				t.Errorf("%dx%d: at the foot stands %q", width, height, foot.says)
			}
		}
	}
}

// A text as long as a vocabulary may have it for a slate is whole on every picture that a
// reel can have, and so is as long a point to teach.
func TestLongTextsAreWhole(t *testing.T) {
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("Wide until he opens his hips, then under. ", 8)[:300]
	for _, house := range []plan.House{{Width: 320, Height: 180}, {Width: 180, Height: 320}, {Width: 320, Height: 320}, {Width: 1280, Height: 720}, {Width: 1080, Height: 1920}} {
		for name, c := range map[string]plan.Card{
			"what a move is": {Title: "Speed to power", Lines: []string{long, "3 reps on 3 plays, 2 games"}, Small: []string{"2026-09-04  Harbor Point"}},
			"a point":        {Title: long, Lines: []string{"#91 Teo Marlow, 9 left · speed rip › spin · short set"}},
		} {
			fs := faces{}
			l, err := newSetter(fs, colours, look(t), house).fit(c)
			if err != nil || !l.whole {
				t.Errorf("%s on %dx%d is cut (%v)", name, house.Width, house.Height, err)
			}
			fs.done()
		}
	}
}

// The bar goes from Low to High and the tick stands at k/n.
func TestBarIsWhereItShouldBe(t *testing.T) {
	colours, err := newPalette(look(t))
	if err != nil {
		t.Fatal(err)
	}
	l := &layout{setter: setter{colours: colours}}
	for _, c := range []struct {
		share                plan.Share
		low, high, tick, tol int
	}{
		{plan.Share{K: 1, N: 2, Low: .25, High: .75}, 250, 750, 500, 1},
		{plan.Share{K: 0, N: 9, Low: 0, High: .3}, 4, 300, 0, 4}, // the tick hides the bar's end
		{plan.Share{K: 9, N: 9, Low: .7, High: 1}, 700, 996, 1000, 4},
	} {
		m := image.NewRGBA(image.Rect(0, 0, 1041, 40))
		fill(m, m.Rect, colours.ground)
		l.bar(m, image.Rect(20, 0, 1021, 40), c.share)
		low, high, tick := math.MaxInt, 0, 0
		inks := 0
		for x := range 1041 {
			switch m.RGBAAt(x, 15) { // in the bar, off the track
			case rgba(colours.accent):
				low, high = min(low, x-20), max(high, x-20)
			}
			if m.RGBAAt(x, 6) == rgba(colours.ink) { // only the tick is as tall
				tick += x - 20
				inks++
			}
		}
		if inks == 0 {
			t.Fatalf("%+v: no tick", c.share)
		}
		tick /= inks
		near := func(got, want int) bool { return got >= want-c.tol && got <= want+c.tol }
		if !near(low, c.low) || !near(high, c.high) || !near(tick, c.tick) {
			t.Errorf("%+v: bar %d to %d, tick %d; want %d to %d, %d", c.share, low, high, tick, c.low, c.high, c.tick)
		}
	}
}

func TestCardErrors(t *testing.T) {
	bar := func(k, n int, low, high float64) plan.Card {
		return plan.Card{Title: "x", Shares: []plan.Share{{Name: "won", K: k, N: n, Low: low, High: high, Bar: true}}}
	}
	for _, c := range []struct {
		card plan.Card
		want string
	}{
		{plan.Card{}, "no text"},
		{bar(1, 0, 0, 1), "1 of 0"},
		{bar(0, 0, 0, 1), "bar of 0 in 0"},
		{bar(-1, 3, 0, 1), "-1 of 3"},
		{bar(1, 3, .5, .4), "from 0.5 to 0.4"},
		{bar(1, 3, math.NaN(), .4), "from NaN"},
		{bar(1, 3, 0, 1.1), "to 1.1"},
	} {
		if _, err := Card(c.card, nil, look(t), houses[0]); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want an error with %q", err, c.want)
		}
	}
}

func BenchmarkCard(b *testing.B) {
	l := look(b)
	for b.Loop() {
		if _, err := Card(closing, nil, l, houses[0]); err != nil {
			b.Fatal(err)
		}
	}
}
