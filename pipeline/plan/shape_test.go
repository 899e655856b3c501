package plan_test

import (
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// inShape plans in a shape, with further changes.
func inShape(shape plan.Shape, changes ...func(*plan.Recipe)) func(*plan.Recipe) {
	return func(r *plan.Recipe) {
		r.Shape = shape
		for _, change := range changes {
			change(r)
		}
	}
}

// The end zone runs at 25 and the sideline at 30 frames a second, and so does the reel. Two
// angles share what both show whole: from three seconds before the snap to one after the finish.
func TestTallStacksTwoAngles(t *testing.T) {
	p := build(t, twoReps, inShape(plan.Tall), nil)
	if len(p.Entries) != 3 || len(p.LeftOut) > 0 || p.Clips() != 1 {
		t.Fatalf("%d entries, left out %q", len(p.Entries), p.LeftOut)
	}
	e := p.Entries[1]
	s := e.Segment
	if e.Chapter != "wk1-harbor-p014-91+55 endzone+sideline" || e.Angles() != "endzone+sideline" {
		t.Errorf("chapter %q, angles %q", e.Chapter, e.Angles())
	}
	want := plan.Below{Source: s.Below.Source, Span: tags.Span{In: 360, Out: 585}, Fit: plan.Fit{X: 0, Y: 934, Width: 1080, Height: 606}}
	if diff := cmp.Diff(want, *s.Below); diff != "" || s.Below.Source.Fingerprint != "side" {
		t.Error(diff)
	}
	if s.Span != (tags.Span{In: 800, Out: 987}) || s.Fit != (plan.Fit{X: 0, Y: 326, Width: 1080, Height: 606}) || s.Source.Fingerprint != "end" {
		t.Errorf("above is %v of %s at %+v", s.Span, s.Source.Fingerprint, s.Fit)
	}
	if films := s.Films(); len(films) != 2 {
		t.Errorf("%d films", len(films))
	}
	// Square shows them one after the other, each whole.
	p = build(t, twoReps, inShape(plan.Square), nil)
	if diff := cmp.Diff(chapters(build(t, twoReps, nil, nil)), chapters(p)); diff != "" {
		t.Error(diff)
	}
	for _, e := range p.Entries[1:3] {
		if e.Segment.Below != nil || e.Segment.Fit != (plan.Fit{X: 0, Y: 54, Width: 1080, Height: 606}) {
			t.Errorf("%s: %+v, below %v", e.Chapter, e.Segment.Fit, e.Segment.Below)
		}
	}
}

// Every tick of the house shows, of both films, the frame that is on at the same time from
// the start of the snap's frame; so the snap's two frames come on at once.
func TestInStep(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	rates := []tags.Rate{{Num: 24000, Den: 1001}, {Num: 25, Den: 1}, {Num: 30000, Den: 1001}, {Num: 30, Den: 1}, {Num: 50, Den: 1}, {Num: 60000, Den: 1001}}
	pick := func() tags.Rate { return rates[r.IntN(len(rates))] }
	for range 40 {
		snaps := [2]int{12_000 + r.IntN(9000), 31_000 + r.IntN(9000)}
		plays := fmt.Sprintf(`  - play: 1
    type: dropback
    angles: {endzone: {in: %d.%03ds, out: 60s, snap: %d.%03ds}, sideline: {in: 10s, out: 60s, snap: %d.%03ds}}
    marks: {finish: +3s}
    reps: [{rusher: marlow, battle: won, point: Go., marks: {contact: +0.9s, turn: +1.21s, beat: +1.9s}}]
`, snaps[0]/1000-r.IntN(3), r.IntN(1000), snaps[0]/1000, snaps[0]%1000, snaps[1]/1000, snaps[1]%1000)
		s, films := season(t, plays)
		for file, f := range films {
			f.Rate, f.Frames = pick(), 6000
			films[file] = f
			s.Games[0].SetClock(file, f.Clock())
		}
		recipe := recipe(t)
		recipe.Shape, recipe.Rate = plan.Tall, pick()
		recipe.Replay = plan.Replay{From: plan.Moment{Mark: tags.Contact}, To: plan.Moment{Mark: tags.Beat}, Speed: plan.Speed{Num: 1 + r.Int64N(3), Den: 4}}
		recipe.Freeze = plan.Freeze{At: tags.Turn, Hold: tags.Second}
		p, err := plan.Build(s, plan.Choice{Asked: "all", Plays: s.Plays(), Reps: s.Reps()}, recipe, films)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.LeftOut) > 0 && !strings.Contains(p.LeftOut[0], "starts too late") {
			t.Fatalf("left out %q\n%s", p.LeftOut, plays)
		}
		var stacked int
		for _, e := range p.Entries {
			if b := e.Segment.Below; b != nil {
				stacked++
				checkStep(t, s, e)
			}
		}
		if len(p.LeftOut) == 0 && stacked != 4 {
			t.Fatalf("%d entries of two angles, want play, replay, freeze, replay", stacked)
		}
	}
}

func checkStep(t *testing.T, season *tags.Season, e plan.Entry) {
	t.Helper()
	s, b := e.Segment, e.Segment.Below
	var snaps [2]tags.Frame
	for i, angle := range []string{e.Angle, e.Below} {
		v, err := season.Plays()[0].View(angle)
		if err != nil {
			t.Fatal(err)
		}
		src := []*plan.Source{s.Source, b.Source}[i]
		snaps[i] = src.Clock().FrameAt(v.Snap)
		span := []tags.Span{s.Span, b.Span}[i]
		if in, out := src.Clock().FrameAt(v.In), src.Clock().FrameAt(v.Out); span.In < in || span.Out > out {
			t.Fatalf("%s %s shows %v, which is not within its in and out %d–%d", e.Chapter, angle, span, in, out)
		}
	}
	if b.Into < 0 || b.Into >= b.Source.Rate.Duration(1) {
		t.Fatalf("%s in the first frame, which lasts %s", b.Into, b.Source.Rate.Duration(1))
	}
	over := func(n tags.Frame, r tags.Rate) *big.Rat { return big.NewRat(int64(n)*r.Den, r.Num) }
	frames := s.Frames()
	if s.Hold > 0 {
		frames = 1
	}
	var snapAt [2]tags.Frame
	for k := range frames {
		// Since the start of the snap's frame, in exact fractions.
		at := new(big.Rat).Mul(over(k, s.House.Rate), big.NewRat(s.Speed.Num, s.Speed.Den))
		at.Add(at, over(s.Span.In-snaps[0], s.Source.Rate))
		frame := new(big.Rat).Mul(at, big.NewRat(b.Source.Rate.Num, b.Source.Rate.Den))
		want := snaps[1] + floor(frame)
		// What the renderer does: it starts Into into the first frame of the span.
		into := new(big.Rat).SetFrac64(int64(b.Into), int64(tags.Second))
		into.Add(into, new(big.Rat).Mul(over(k, s.House.Rate), big.NewRat(s.Speed.Num, s.Speed.Den)))
		got := b.Span.In + floor(into.Mul(into, big.NewRat(b.Source.Rate.Num, b.Source.Rate.Den)))
		if got != want || got >= b.Span.Out {
			t.Fatalf("%s, tick %d shows frame %d of the film below, want %d, of %v", e.Chapter, k, got, want, b.Span)
		}
		if k == frames-1 && got != b.Span.Out-1 {
			t.Fatalf("%s ends with frame %d of %v", e.Chapter, got, b.Span)
		}
		first := s.Span.In + floor(new(big.Rat).Mul(new(big.Rat).Mul(over(k, s.House.Rate), big.NewRat(s.Speed.Num, s.Speed.Den)), big.NewRat(s.Source.Rate.Num, s.Source.Rate.Den)))
		for i, n := range []tags.Frame{first, got} {
			if n >= snaps[i] && snapAt[i] == 0 {
				snapAt[i] = k
			}
		}
	}
	if snapAt[0] != snapAt[1] {
		t.Fatalf("%s: the snap comes at tick %d above and %d below", e.Chapter, snapAt[0], snapAt[1])
	}
}

func floor(r *big.Rat) tags.Frame {
	// Big's Div is Euclidean, which is floor where what divides is positive.
	return tags.Frame(new(big.Int).Div(r.Num(), r.Denom()).Int64())
}

// What one angle lacks is not made up: the two are shown as long as both last, or one after
// the other, and that is said.
func TestTallWhereAnAngleIsShort(t *testing.T) {
	const play = `  - play: 14
    type: dropback
    angles: {sideline: {in: %s, out: %s%s}, endzone: {in: 30s, out: 40s, snap: 35s}}
    marks: {finish: +3s}
    reps: [{rusher: marlow, battle: won, marks: {beat: +1.9s}}]
`
	const alone = "endzone and sideline of wk1-harbor-p014 in step, which are shown one after the other: "
	for name, c := range map[string]struct {
		in, out, snap string
		want          []string
		left          string
	}{
		"both last":                 {"10s", "20s", ", snap: 15s", []string{"endzone+sideline 800–975"}, ""},
		"it starts late":            {"13.5s", "20s", ", snap: 15s", []string{"endzone+sideline 838–975"}, ""},
		"it ends early":             {"10s", "18.2s", ", snap: 15s", []string{"endzone+sideline 800–955", "endzone+sideline 954–955"}, ""},
		"it starts after the snap":  {"15.5s", "20s", ", snap: 15s", []string{"endzone 800–975", "sideline 465–570"}, "sideline starts too late"},
		"it ends before the finish": {"10s", "17s", ", snap: 15s", []string{"endzone 800–975", "sideline 360–510", "sideline 509–510"}, "sideline ends too early"},
		"it is the same film":       {"31s", "40s", ", snap: 34.9s, file: end.mp4", []string{"endzone 800–975", "sideline 798–973"}, "they are the same stretch of film"},
		"it is on the same film":    {"50s", "60s", ", snap: 55s, file: end.mp4", []string{"endzone+sideline 800–975"}, ""},
		"its snap is not marked":    {"10s", "20s", "", []string{"endzone 800–975", "sideline 300–600"}, "the snap is not marked on sideline"},
	} {
		t.Run(name, func(t *testing.T) {
			p := build(t, fmt.Sprintf(play, c.in, c.out, c.snap), inShape(plan.Tall), nil)
			want := slices.Clone(c.want)
			for i := range want {
				want[i] = "wk1-harbor-p014-91 " + want[i]
			}
			if diff := cmp.Diff(want, chapters(p)); diff != "" {
				t.Error(diff)
			}
			var left []string
			if c.left != "" {
				left = []string{alone + c.left}
			}
			if diff := cmp.Diff(left, p.LeftOut); diff != "" {
				t.Error(diff)
			}
		})
	}
	p := build(t, twoReps, inShape(plan.Tall, func(r *plan.Recipe) { r.Angles = []string{"sideline"} }), nil)
	// Alone it stands amid the room that two would have.
	if s := p.Entries[1].Segment; len(p.Entries) != 3 || s.Below != nil || s.Fit != (plan.Fit{X: 0, Y: 630, Width: 1080, Height: 606}) {
		t.Errorf("one angle is %+v", s.Fit)
	}
}

// Rings and drawings land on the picture of their own angle, and stay in it.
func TestRingsAndDrawingsOnTheirPanels(t *testing.T) {
	plays := strings.Replace(taught, "angles: {sideline: {in: 10s, out: 20s, snap: 15s}}", "angles: {sideline: {in: 10s, out: 20s, snap: 15s}, endzone: {in: 30s, out: 40s, snap: 35s}}", 1)
	plays = strings.Replace(plays, "spot: {sideline: [0.25, 0.5]}", "spot: {sideline: [0.25, 0.5], endzone: [0.75, 0.5]}", 1)
	p := build(t, plays, inShape(plan.Tall, func(r *plan.Recipe) { r.Freeze = plan.Freeze{Hold: tags.Second} }), nil)
	above, below := plan.Fit{X: 0, Y: 326, Width: 1080, Height: 606}, plan.Fit{X: 0, Y: 934, Width: 1080, Height: 606}
	var rings []plan.Ring
	for _, l := range layers(p.Entries[1].Segment, func(l plan.Layer) bool { return l.Ring != nil }) {
		rings = append(rings, *l.Ring)
	}
	if diff := cmp.Diff([]plan.Ring{
		{At: plan.Spot{X: 810, Y: 629}, Tab: "91", Film: above},
		{At: plan.Spot{X: 270, Y: 1237}, Tab: "91", Film: below},
	}, rings); diff != "" {
		t.Error(diff)
	}
	var drawings []plan.Drawing
	for _, e := range p.Entries[2:4] {
		if e.Shows != plan.ShowsFreeze {
			t.Fatalf("%s shows %q", e.Chapter, e.Shows)
		}
		for _, l := range layers(e.Segment, func(l plan.Layer) bool { return l.Drawing != nil }) {
			drawings = append(drawings, *l.Drawing)
		}
	}
	if diff := cmp.Diff([]plan.Drawing{
		{Kind: "circle", Points: []plan.Spot{{X: 108, Y: 387}}, Film: above},
		{Kind: "arrow", Points: []plan.Spot{{X: 270, Y: 1237}, {X: 540, Y: 1237}}, Film: below},
		{Kind: "circle", Points: []plan.Spot{{X: 540, Y: 1237}}, Film: below},
	}, drawings); diff != "" {
		t.Error(diff)
	}
}

// In every shape and size labels and clocks have room of their own that no film is in, and
// films do not overlap.
func TestRoomsAreApart(t *testing.T) {
	season, films := season(t, twoReps)
	recipe := recipe(t)
	for _, recipe.Shape = range []plan.Shape{plan.Tall, plan.Square} {
		shape := recipe.Shape
		for short := 180; short <= 2160; short += 2 {
			recipe.Width, recipe.Height = short, short
			p, err := plan.Build(season, plan.Choice{Asked: "all", Plays: season.Plays(), Reps: season.Reps()}, recipe, films)
			if err != nil {
				t.Fatal(err)
			}
			s := p.Entries[1].Segment
			parts := []plan.Fit{s.Fit}
			if s.Below != nil {
				parts = append(parts, s.Below.Fit)
			}
			rooms := map[plan.Fit]bool{}
			for _, l := range s.Layers {
				if l.Label != nil {
					rooms[l.Label.Room] = true
				}
				if l.Clock != nil {
					rooms[l.Clock.Room] = true
				}
			}
			for room := range rooms {
				parts = append(parts, room)
			}
			if want := map[plan.Shape]int{plan.Tall: 4, plan.Square: 3}[shape]; len(parts) != want {
				t.Fatalf("%s of %d: %d parts, want %d", shape, short, len(parts), want)
			}
			for i, a := range parts {
				if a.X < 0 || a.Y < 0 || a.Width <= 0 || a.Height <= 0 || a.X+a.Width > s.House.Width || a.Y+a.Height > s.House.Height || (a.X|a.Y|a.Width|a.Height)&1 != 0 {
					t.Fatalf("%s of %d: %+v in %+v", shape, short, a, s.House)
				}
				for _, b := range parts[:i] {
					if a.X < b.X+b.Width && b.X < a.X+a.Width && a.Y < b.Y+b.Height && b.Y < a.Y+a.Height {
						t.Fatalf("%s of %d: %+v overlaps %+v", shape, short, a, b)
					}
				}
			}
			if short > 400 {
				short += 70
			}
		}
	}
}

// What only tall and square pictures have does not stand in the segments of a wide one, or
// every key would be another.
func TestWideKeysStay(t *testing.T) {
	p := build(t, twoReps, nil, nil)
	for _, e := range p.Entries {
		data, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"below", "room", "into", "film"} {
			if strings.Contains(string(data), `"`+key+`":`) {
				t.Errorf("%s has %q", e.Chapter, key)
			}
		}
	}
}
