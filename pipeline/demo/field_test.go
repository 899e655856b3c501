package demo

import (
	"math"
	"testing"
)

// chalkRuns is where the ground is mostly chalk along a line across the field at y, in
// feet from the left sideline.
func chalkRuns(f groundPainter, y float64) [][2]float64 {
	var runs [][2]float64
	const step = 0.01
	on := false
	for x := 1.0; x < fieldWidth-1; x += step {
		is := f.marks(point{x, y}, point{step, step}) > 0.5
		if is && !on {
			runs = append(runs, [2]float64{x, x})
		}
		if is {
			runs[len(runs)-1][1] = x
		}
		on = is
	}
	return runs
}

// How far apart the rows of hash marks stand, by the rule books: NFL 18'6"; NCAA 40';
// NFHS 53'4". Their sum with both ways to the sidelines is the field's 160'.
func TestHashMarksAreAtTheRuleBooksDistance(t *testing.T) {
	for field, want := range map[string]float64{"pro": 18 + 6.0/12, "college": 40, "high-school": 53 + 4.0/12} {
		f := groundPainter{row: hashes[field], top: numberTop(field), digits: numberMasks()}
		const y = 48 // a yard mark between two yard lines, clear of the numbers
		runs := chalkRuns(f, y)
		var inner []float64
		for _, r := range runs {
			if min(r[0], fieldWidth-r[1]) > numberTop(field) {
				inner = append(inner, r[0], r[1])
			}
		}
		if len(inner) != 4 {
			t.Fatalf("%s: %d hash marks across the field, want 2: %v", field, len(inner)/2, runs)
		}
		if got := inner[2] - inner[1]; math.Abs(got-want) > 0.03 {
			t.Errorf("%s: the hash marks are %.2f ft apart, want %.2f", field, got, want)
		}
		if got := inner[1] + (fieldWidth - inner[2]) + want; math.Abs(got-160) > 0.06 {
			t.Errorf("%s: the field is %.2f ft wide, want 160", field, got)
		}
	}
}

func TestYardLinesEveryFiveYards(t *testing.T) {
	f := groundPainter{row: hashes["college"], digits: numberMasks()}
	for y := 1.0; y < fieldLength; y++ {
		ink := f.marks(point{80, y}, point{0.01, 0.01}) > 0.5
		if want := int(y)%15 == 0; ink != want {
			t.Errorf("chalk in mid-field at %v ft: %v, want %v", y, ink, want)
		}
	}
}

// The picture has the field where the camera says.
func TestCameraAndGroundAgree(t *testing.T) {
	const w, h = 640, 360
	spot := point{60, 102}
	for _, angle := range []string{"endzone", "sideline"} {
		for quarter := 1; quarter <= 2; quarter++ {
			c := cameraOf(angle, spot, quarter, w, h)
			img := paintGround(c, "college", spot.y, w, h)
			for _, p := range []point{{59, 99}, {59, 108}, {80, 105}, {80, 103.5}} {
				x, y, _ := c.project(p.up(0))
				back, ok := c.ground(x, y)
				if !ok || apart(back, p) > 1e-6 {
					t.Errorf("%s: %v is at %.1f, %.1f, where the ground is %v", angle, p, x, y, back)
				}
				// Chalk is lighter than turf; the last of these places is turf.
				light := img.RGBAAt(int(x), int(y)).R > 0x60
				if want := p.y != 103.5; light != want {
					t.Errorf("%s: chalk at %v: %v, want %v", angle, p, light, want)
				}
			}
			x0, y0, _ := c.project(spot.up(0))
			x1, y1, _ := c.project(spot.add(point{0, 10}).up(0))
			switch {
			case angle == "endzone" && y1 >= y0:
				t.Error("endzone: downfield is not up the picture")
			case angle == "sideline" && (x1 > x0) != (quarter == 1):
				t.Errorf("sideline, quarter %d: the offence goes the wrong way", quarter)
			}
		}
	}
}
