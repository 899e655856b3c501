package draw

import (
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

func rgba(c color.NRGBA) color.RGBA { return color.RGBAModel.Convert(c).(color.RGBA) }

// TestGolden compares with pictures that were looked at. The tolerance is for the
// rounding of floats on other processors.
func TestGolden(t *testing.T) {
	wide, upright, square := plan.House{Width: 640, Height: 360}, plan.House{Width: 360, Height: 640}, plan.House{Width: 360, Height: 360}
	threeReps := plan.Label{Lead: "3rd & 8 · Play 14 · Q1 11:32", Lines: []string{
		"#91 Teo Marlow, 9-technique, left · long arm › up and under · short set", "#97 Tāvita Loʻimata, 3-technique, right · bull › arm over · short set", "#9 Bartholomew Featherstonehaugh-Okonkwo, 9-technique, right · dip › spin · vertical set",
	}}
	inRoom := func(l plan.Label, shape plan.Shape, house plan.House) plan.Label {
		l.Room = shape.Layout(house).Label
		return l
	}
	l := look(t)
	label := func(label plan.Label, house plan.House) func() (image.Image, error) {
		return func() (image.Image, error) {
			p, err := Label(label, l, house)
			return p.Image, err
		}
	}
	card := func(c plan.Card, house plan.House) func() (image.Image, error) {
		return func() (image.Image, error) { return Card(c, nil, l, house) }
	}
	beside := func(c plan.Card, l plan.Look, house plan.House) func() (image.Image, error) {
		return func() (image.Image, error) { return Card(c, &Still{grass(), .25, .5}, l, house) }
	}
	title := plan.Card{Whose: "#91 Teo Marlow", Title: "Inside counters against short sets", Lines: []string{"12 reps on 12 plays, 2 games"}, Small: []string{"Harbor Point, Sep 4, 2026", "Granite Valley, Sep 11, 2026"}}
	section := plan.Card{Title: "Against short sets", Lines: []string{"11 reps on 11 plays, 2 games"}, Shares: closing.Shares[:1]}
	team := l
	team.Ground, team.Accent, team.Ink, team.Quiet = "#5a1230", "#f2c75c", plan.Readable, plan.Readable
	shape := func(kind string, at ...int) func() (image.Image, error) {
		s := plan.Drawing{Kind: kind}
		for i := 0; i < len(at); i += 2 {
			s.Points = append(s.Points, plan.Spot{X: at[i], Y: at[i+1]})
		}
		return func() (image.Image, error) {
			p, err := Figure(s, l, wide)
			return p.Image, err
		}
	}
	growing := func() (image.Image, error) {
		p, err := Figure(plan.Drawing{Kind: "arrow", Grow: 4, Points: []plan.Spot{{X: 40, Y: 60}, {X: 200, Y: 160}}}, l, wide)
		return p.Image, err
	}
	clock := func() (image.Image, error) {
		c, err := Clock(plan.Clock{Speed: plan.Speed{Num: 1, Den: 1}, Stop: 3 * tags.Second, Limit: 5 * tags.Second / 2, Caught: []plan.Caught{{At: 2 * tags.Second, Name: "beat"}, {At: 3 * tags.Second, Name: "ball out"}}}, tags.Span{In: 0, Out: 5}, l, plan.House{Width: 640, Height: 360, Rate: tags.Rate{Num: 1, Den: 1}})
		return c.Image, err
	}
	for name, drawn := range map[string]func() (image.Image, error){
		"label-situation": label(situation, wide),
		"label-720":       label(situation, houses[0]),
		"label-result":    label(plan.Label{Lead: "SACK · won", Lines: []string{"#91 Teo Marlow · beat 1.90 s"}}, wide),
		"label-name": label(plan.Label{Lead: "3rd & 8", Lines: []string{
			`#91 K. "100%" O\Brien: Kaʻahumanu-Hāʻōʻū Žďárský d’Été-Ñúñez · 9-technique, left · long arm › up and under vs short set`, "n\u0304 m\u0304 x\u030c Đặng",
		}}, wide),
		"label-upright": label(situation, upright),
		"label-top":     label(plan.Label{Tab: "91", Lead: "Outside foot up before the arm goes across.", Lines: []string{"Teo Marlow, 9-technique, left"}, Top: true, Broad: true}, wide),
		"label-tab":     label(plan.Label{Tab: "91", Lines: []string{"3rd & 7 · Teo Marlow"}, Top: true}, wide),
		"clock":         clock,
		"ring": func() (image.Image, error) {
			p, err := Ring(plan.Ring{At: plan.Spot{X: 320, Y: 180}, Tab: "91"}, l, wide)
			return p.Image, err
		},
		"arrow-growing":      growing,
		"arrow":              shape("arrow", 40, 60, 200, 160),
		"circle":             shape("circle", 300, 200),
		"path":               shape("path", 40, 60, 100, 40, 160, 120, 220, 60),
		"card-title":         card(plan.Card{Title: "Inside counters", Lines: []string{"6 reps · third and long"}}, wide),
		"card-closing":       card(closing, wide),
		"card-still":         beside(title, l, wide),
		"card-still-upright": beside(title, l, upright),
		"card-section":       beside(section, l, wide),
		"card-team":          beside(title, team, wide),
		"card-daylight":      beside(section, lookNamed(t, "daylight"), wide),
		"card-upright":       card(closing, upright),
		"card-many":          card(many(), wide),
		"card-square":        card(closing, square),
		"label-tall":         label(inRoom(threeReps, plan.Tall, upright), upright),
		"label-square":       label(inRoom(threeReps, plan.Square, square), square),
		"ring-tall": func() (image.Image, error) {
			p, err := Ring(plan.Ring{At: plan.Spot{X: 180, Y: 308}, Tab: "91", Film: plan.Fit{X: 0, Y: 306, Width: 360, Height: 202}}, l, upright)
			return p.Image, err
		},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := drawn()
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join("testdata", name+".png")
			if *update {
				if err := save(file, got); err != nil {
					t.Fatal(err)
				}
				return
			}
			f, err := os.Open(file)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			want, err := png.Decode(f)
			if err != nil {
				t.Fatal(err)
			}
			if err := differ(got, want); err != nil {
				t.Errorf("%s: %v; if it should, look at it after -update and raise plan.DrawVersion", file, err)
			}
		})
	}
}

// grass is a still: a field with a line across every 40 pixels and a man.
func grass() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 640, 360))
	draw.Draw(m, m.Rect, image.NewUniform(color.RGBA{82, 120, 84, 255}), image.Point{}, draw.Src)
	for x := 20; x < 640; x += 40 {
		draw.Draw(m, image.Rect(x, 0, x+2, 360), image.NewUniform(color.White), image.Point{}, draw.Src)
	}
	draw.Draw(m, image.Rect(150, 170, 170, 190), image.NewUniform(color.RGBA{20, 60, 160, 255}), image.Point{}, draw.Src)
	return m
}

// lookNamed is a look that comes with the program.
func lookNamed(t *testing.T, name string) plan.Look {
	t.Helper()
	r, err := plan.DefaultRecipe()
	if err == nil {
		r, err = r.With(plan.Setting{Key: "look", Value: name})
	}
	if err != nil {
		t.Fatal(err)
	}
	return r.Look
}

func save(file string, m image.Image) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	if err := png.Encode(f, m); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// differ tells where two pictures differ by more than 6 of 255 in any channel.
func differ(got, want image.Image) error {
	if got.Bounds() != want.Bounds() {
		return fmt.Errorf("size is %v, want %v", got.Bounds(), want.Bounds())
	}
	flat := func(m image.Image) *image.NRGBA {
		n := image.NewNRGBA(m.Bounds())
		draw.Draw(n, n.Rect, m, m.Bounds().Min, draw.Src)
		return n
	}
	g, w := flat(got), flat(want)
	for i := range g.Pix {
		if d := int(g.Pix[i]) - int(w.Pix[i]); d > 6 || d < -6 {
			return fmt.Errorf("pixel %d,%d differs", i%g.Stride/4, i/g.Stride)
		}
	}
	return nil
}

func TestDifferSeesADifference(t *testing.T) {
	a, b := image.NewNRGBA(image.Rect(0, 0, 4, 4)), image.NewNRGBA(image.Rect(0, 0, 4, 4))
	if err := differ(a, b); err != nil {
		t.Error(err)
	}
	b.Set(3, 2, color.NRGBA{9, 0, 0, 255})
	if differ(a, b) == nil {
		t.Error("a changed pixel went unseen")
	}
}
