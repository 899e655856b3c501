package mark

import (
	"math"
	"strings"
	"testing"

	"trenchcut/tags"
)

// A spot is proposed on the straight line through those that are marked, as the camera is aimed at the
// play, and where it cannot be it is said why.
func TestPropose(t *testing.T) {
	line := func(out, x, y float64) lineUp { return lineUp{out: out, at: tags.Point{X: x, Y: y}} }
	here := line(0, .45, .35)
	here.there = true
	tests := map[string]struct {
		all  []lineUp
		out  float64
		want tags.Point
		err  string
	}{
		"between two":     {all: []lineUp{line(-8, .3, .4), line(8, .7, .4)}, out: 4, want: tags.Point{X: .6, Y: .4}},
		"along a line":    {all: []lineUp{line(-8, .5, .3), line(0, .5, .5)}, out: 8, want: tags.Point{X: .5, Y: .7}},
		"aimed elsewhere": {all: []lineUp{line(-8, .3, .4), line(8, .7, .4), here}, out: 8, want: tags.Point{X: .65, Y: .35}},
		"none":            {out: 4, err: "mark those of two men"},
		"one":             {all: []lineUp{line(4, .6, .4)}, out: 4, err: "mark those of two men"},
		"side by side":    {all: []lineUp{line(4, .6, .4), line(5, .62, .4)}, out: 9, err: "mark those of two men"},
		"at odds":         {all: []lineUp{line(-8, .3, .4), line(8, .7, .4), line(0, .5, .6)}, out: 4, err: "do not agree"},
		"out of it":       {all: []lineUp{line(0, .5, .4), line(8, .9, .4)}, out: 16, err: "out of the picture"},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			at, err := propose(test.all, test.out)
			if test.err != "" {
				if err == nil || !strings.Contains(err.Error(), test.err) {
					t.Errorf("it fails with %v, want %q", err, test.err)
				}
				return
			}
			if err != nil || math.Hypot(at.X-test.want.X, at.Y-test.want.Y) > .001 {
				t.Errorf("proposed %v (%v), want %v", at, err, test.want)
			}
		})
	}
}
