package draw

import (
	"image/color"
	"math"
	"math/rand"
	"strings"
	"testing"
)

// Whatever two colours a team has, the nearest can be read, what can be read is left alone,
// and what is said to be moved is what was.
func TestNearestCanBeRead(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	random := func() string {
		return hex(color.NRGBA{uint8(r.Intn(256)), uint8(r.Intn(256)), uint8(r.Intn(256)), 255})
	}
	moved := 0
	for i := range 150 {
		l := look(t)
		l.Ground, l.Ink = random(), random()
		l.Quiet = l.Ink
		switch i {
		case 0:
			l.Ground, l.Ink, l.Quiet = "#777777", "#777777", "#767676" // of the lightness that no text stands out from
		case 1:
			l.Ground, l.Ink, l.Quiet = "#00ff00", "#ff0000", "#0000ff"
		}
		if i%3 == 0 {
			l.Quiet = random()
		}
		if i%2 == 0 {
			l.Accent = l.Ink
		}
		near, said := Nearest(l)
		if err := CheckLook(near); err != nil {
			t.Fatalf("%+v is taken as %+v: %v", l, near, err)
		}
		changed := 0
		for _, pair := range [][2]string{{l.Ground, near.Ground}, {l.Ink, near.Ink}, {l.Quiet, near.Quiet}, {l.Accent, near.Accent}} {
			if pair[0] != pair[1] {
				changed++
				if !strings.Contains(strings.Join(said, "\n"), pair[0]+" is taken as "+pair[1]) {
					t.Fatalf("%s became %s, said is %q", pair[0], pair[1], said)
				}
			}
		}
		if changed != len(said) || (CheckLook(l) == nil) != (changed == 0) {
			t.Fatalf("%+v, of which %v: %d colours changed, said is %q", l, CheckLook(l), changed, said)
		}
		if (l.Accent == l.Ink) != (near.Accent == near.Ink) || l.Accent != l.Ink && near.Accent != l.Accent || near.Lead != l.Lead {
			t.Fatalf("%+v is taken as %+v: only an accent of the ink's colour goes with it", l, near)
		}
		moved += changed
	}
	if moved < 150 {
		t.Errorf("only %d colours were moved", moved)
	}
}

// No other two shades or tints of the two colours can be read and are less far from them:
// every pair is looked at.
func TestNearestIsNearest(t *testing.T) {
	type candidate struct{ light, far float64 }
	candidates := func(c color.NRGBA) (list []candidate) {
		for step := -mostSteps; step <= mostSteps; step++ {
			d := toward(c, step)
			list = append(list, candidate{luminance(d), difference(c, d)})
		}
		return list
	}
	r := rand.New(rand.NewSource(9))
	for range 4 {
		ink := color.NRGBA{uint8(r.Intn(256)), uint8(r.Intn(256)), uint8(r.Intn(256)), 255}
		ground := color.NRGBA{uint8(r.Intn(256)), uint8(r.Intn(256)), uint8(r.Intn(256)), 255}
		least := math.Inf(1)
		grounds := candidates(ground)
		for _, i := range candidates(ink) {
			for _, g := range grounds {
				if (max(i.light, g.light)+.05)/(min(i.light, g.light)+.05) >= leastContrast {
					least = min(least, i.far+g.far)
				}
			}
		}
		newInk, newGround := nearestPair(ink, ground)
		if got := difference(ink, newInk) + difference(ground, newGround); math.Abs(got-least) > 1e-9 {
			t.Errorf("%v on %v became %v on %v, which is %.3f far; the least is %.3f", ink, ground, newInk, newGround, got, least)
		}
	}
}

// L*a*b* of the primaries of sRGB under D65, as colour calculators print them (from memory).
func TestLab(t *testing.T) {
	for hex, want := range map[string][3]float64{
		"#ff0000": {53.24, 80.09, 67.20}, "#00ff00": {87.73, -86.18, 83.18}, "#0000ff": {32.30, 79.19, -107.86}, "#ffffff": {100, 0, 0}, "#000000": {0, 0, 0},
	} {
		c, err := parseColour(hex)
		if err != nil {
			t.Fatal(err)
		}
		for i, got := range lab(c) {
			if math.Abs(got-want[i]) > .1 {
				t.Errorf("%s is %.2f, want %.2f", hex, lab(c), want)
			}
		}
	}
}
