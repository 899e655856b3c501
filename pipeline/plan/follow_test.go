package plan_test

import (
	"math"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// moving is a motion of so many instants in which all moves in one column, which goes evenly
// from the one place to the other.
func moving(from, to float64, elsewhere float32) plan.Motion {
	m := plan.Motion{First: -tags.Second / 2, Step: tags.Second / 10, Columns: 64}
	for i := range 40 {
		row := make([]float32, m.Columns)
		at := from + (to-from)*float64(i)/39
		row[int(at*64)] = 100
		row[1], row[62] = elsewhere, elsewhere
		m.Moves = append(m.Moves, row)
	}
	return m
}

func TestWindow(t *testing.T) {
	man := .3
	f, ok := moving(.3, .5, 10).Window(plan.PhonePart, &man)
	if !ok {
		t.Fatal("it is not followed")
	}
	before := f.At(-tags.Second)
	for at := -tags.Second / 2; at < 4*tags.Second; at += tags.Second / 25 {
		now := f.At(at)
		if step := math.Abs(now - before); step > .25/25 {
			t.Errorf("it jumps by %.3f at %v", step, at)
		}
		if where := min(.3+.2*(at.Seconds()+.5)/3.9, .5); math.Abs(now-where) > plan.PhonePart/2 {
			t.Errorf("at %v it is at %.2f, and the man at %.2f", at, now, where)
		}
		before = now
	}
	if _, ok := moving(.5, .5, 100).Window(plan.PhonePart, nil); ok {
		t.Error("it is followed where as much moves at both edges")
	}
	if _, ok := (plan.Motion{}).Window(plan.PhonePart, nil); ok {
		t.Error("it is followed where nothing was seen")
	}
}

// What is shown of the picture never leaves it, and moves as the keys say.
func TestPan(t *testing.T) {
	p := build(t, strings.Replace(twoReps, "{rusher: marlow,", "{rusher: marlow, spot: {endzone: [0.8, 0.4]},", 1), inShape(plan.Phone, func(r *plan.Recipe) {
		r.Eye = func(string, tags.Span, tags.Frame) (plan.Motion, error) { return moving(.9, .2, 1), nil }
	}), nil)
	panned := 0
	for _, e := range p.Entries {
		s := e.Segment
		if s.Pan == nil {
			continue
		}
		panned++
		if s.Fit.X != 0 || s.Fit.Width != s.House.Width {
			t.Errorf("the part stands at %+v", s.Fit)
		}
		for n := range s.Frames() {
			if x := s.Pan.X(n); x < 0 || x+s.Fit.Width > s.Pan.Width {
				t.Fatalf("at frame %d it shows %d to %d of %d", n, x, x+s.Fit.Width, s.Pan.Width)
			}
		}
	}
	if panned == 0 {
		t.Error("nothing follows")
	}
	pan := plan.Pan{Width: 100, Keys: []plan.PanKey{{At: 10, X: 20}, {At: 20, X: 40}, {At: 40, X: 0}}}
	for n, want := range map[tags.Frame]int{0: 20, 10: 20, 15: 30, 20: 40, 30: 20, 40: 0, 99: 0} {
		if got := pan.X(n); got != want {
			t.Errorf("at frame %d it starts at %d, want %d", n, got, want)
		}
	}
}
