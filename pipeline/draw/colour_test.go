package draw

import (
	"image/color"
	"math"
	"math/rand"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
)

func rgb(v uint32) color.NRGBA { return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255} }

func TestContrast(t *testing.T) {
	// On white, by the contrast ratio of W3C WCAG 2.x with the threshold .04045.
	for _, c := range []struct {
		colour uint32
		want   float64
	}{
		{0x000000, 21}, {0x777777, 4.478}, {0x767676, 4.542}, {0x595959, 7.005}, {0xff0000, 3.998}, {0x0000ff, 8.592}, {0xffffff, 1},
	} {
		for _, got := range []float64{Contrast(rgb(c.colour), color.White), Contrast(color.White, rgb(c.colour))} {
			if math.Abs(got-c.want) > .0005 {
				t.Errorf("contrast of #%06x on white is %.4f, want %.3f", c.colour, got, c.want)
			}
		}
	}
}

func look(t testing.TB) plan.Look {
	t.Helper()
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	return r.Look
}

// looks are the default and others a staff might write: dark on light, barely allowed.
func looks(t testing.TB) map[string]plan.Look {
	light, bare := look(t), look(t)
	light.Ink, light.Quiet, light.Ground = "#101010", "#303030", "#f0f0e8"
	bare.Ink, bare.Quiet, bare.Ground = "#ffffff", "#ffffff", "#595959"
	return map[string]plan.Look{"default": look(t), "light": light, "bare": bare}
}

func TestTextStandsOutFromAnyPicture(t *testing.T) {
	for name, l := range looks(t) {
		t.Run(name, func(t *testing.T) {
			p, err := newPalette(l)
			if err != nil {
				t.Fatal(err)
			}
			for _, text := range []color.NRGBA{p.ink, p.quiet} {
				if got := Contrast(text, p.ground); got < 7 {
					t.Errorf("%v on the ground has a contrast of %.2f", text, got)
				}
			}
			label, err := Label(plan.Label{Lead: "SACK"}, l, plan.House{Width: 640, Height: 360})
			if err != nil {
				t.Fatal(err)
			}
			scrim := label.Image.NRGBAAt(label.Image.Rect.Max.X-1, 0) // as drawn, not as meant
			r := rand.New(rand.NewSource(1))
			behind := []color.NRGBA{rgb(0), rgb(0xffffff), rgb(0xff0000), rgb(0x00ff00), rgb(0x0000ff)}
			for range 2000 {
				behind = append(behind, rgb(uint32(r.Intn(1<<24))))
			}
			for _, b := range behind {
				a := float64(scrim.A) / 255
				mix := func(s, b uint8) uint8 { return uint8(math.Round(a*float64(s) + (1-a)*float64(b))) }
				seen := color.NRGBA{mix(scrim.R, b.R), mix(scrim.G, b.G), mix(scrim.B, b.B), 255}
				for _, text := range []color.NRGBA{p.ink, p.quiet} {
					if got := Contrast(text, seen); got < 7 {
						t.Fatalf("%v on scrim %v over %v has a contrast of %.2f", text, scrim, b, got)
					}
				}
			}
			if name == "default" && scrim.A == 255 {
				t.Error("the default scrim lets nothing through")
			}
		})
	}
}

func TestBadColours(t *testing.T) {
	for _, c := range []struct {
		change func(*plan.Look)
		want   string
	}{
		{func(l *plan.Look) { l.Ink = "" }, `look's ink: colour ""`},
		{func(l *plan.Look) { l.Quiet = "#12345" }, "look's quiet: colour"},
		{func(l *plan.Look) { l.Ground = "#12345g" }, "look's ground: colour"},
		{func(l *plan.Look) { l.Accent = "#+12345" }, "look's accent: colour"},
		{func(l *plan.Look) { l.Quiet = "#777777" }, "look's quiet on its ground has a contrast of 4."},
		{func(l *plan.Look) { l.Lead = 0 }, "look's lead is 0 thousandths"},
		{func(l *plan.Look) { l.Small = 900 }, "look's small is 900 thousandths"},
	} {
		l := look(t)
		c.change(&l)
		house := plan.House{Width: 640, Height: 360}
		_, err := Label(plan.Label{Lead: "SACK"}, l, house)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("label: got %v, want an error with %q", err, c.want)
		}
		_, err = Card(plan.Card{Title: "SACK"}, nil, l, house)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("card: got %v, want an error with %q", err, c.want)
		}
	}
}
