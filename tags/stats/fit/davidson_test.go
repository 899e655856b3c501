package fit

import (
	"errors"
	"math/rand/v2"
	"testing"
)

// eastern is a season of seven baseball teams of 1987, wins of the row's over the column's:
// Agresti, Categorical Data Analysis, 2nd ed., table 10.10. The last is his baseline.
var eastern = [7][7]int{
	{0, 7, 9, 7, 7, 9, 11},
	{6, 0, 7, 5, 11, 9, 9},
	{4, 6, 0, 7, 7, 8, 12},
	{6, 8, 6, 0, 6, 7, 10},
	{6, 2, 6, 7, 0, 7, 12},
	{4, 4, 5, 6, 6, 0, 6},
	{2, 4, 1, 3, 1, 7, 0},
}

func easternMeetings() []Meeting {
	var list []Meeting
	for i := range eastern {
		for j := range i {
			list = append(list, Meeting{First: j, Second: i, Won: eastern[j][i], Lost: eastern[i][j]})
		}
	}
	return list
}

func TestBaseball(t *testing.T) {
	// Agresti, table 10.11 fits the same; a spread of 1000 shrinks nothing.
	a, _, err := davidson(7, easternMeetings(), 1000, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1.58, 1.44, 1.29, 1.25, 1.11, 0.68, 0} {
		near(t, "ability", a.Of[i]-a.Of[6], want, 0.0051)
	}
	near(t, "first over fifth", a.Wins(0, 4).At, 0.62, 0.005)
}

// R 4.2.2: the likelihood of Davidson 1970 at its top by optim, the fourth player as the
// baseline.
func TestTies(t *testing.T) {
	a, _, err := davidson(4, []Meeting{
		{0, 1, 14, 6, 10}, {0, 2, 9, 9, 7}, {1, 2, 11, 4, 5}, {2, 3, 8, 10, 12}, {0, 3, 12, 3, 5},
	}, 1000, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.9297073506, 0.5347220952, 0.0897495338} {
		near(t, "ability", a.Of[i]-a.Of[3], want, 1e-4)
	}
	near(t, "ties", a.Even, -0.0552762104, 1e-4)
}

func TestDavidsonRefuses(t *testing.T) {
	for _, meetings := range [][]Meeting{nil, {{0, 1, 3, 0, 2}}, {{0, 1, 0, 3, 2}}} {
		if a, err := Davidson(2, meetings); !errors.Is(err, ErrUnsettled) {
			t.Errorf("%v: got %v, want ErrUnsettled", meetings, a)
		}
	}
}

// Over invented rooms of eight rushers and twelve blockers, the interval of who wins against
// whom holds the truth as often as it says, and abilities are not taken from chance alone.
func TestWinsHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for _, spread := range []float64{0, 0.6} {
		held, all, found := 0, 0, 0.0
		const rooms, rushers, everybody = 40, 8, 20
		for range rooms {
			ability := make([]float64, everybody)
			for i := range ability {
				ability[i] = spread * r.NormFloat64()
			}
			truth := func(i, j int) (win, loss, tie float64) { return shares(ability[i]-ability[j]-0.5, -0.7) }
			var meetings []Meeting
			for i := range rushers {
				for j := rushers; j < everybody; j++ {
					m := Meeting{First: i, Second: j}
					win, loss, _ := truth(i, j)
					for range r.IntN(14) {
						switch u := r.Float64(); {
						case u < win:
							m.Won++
						case u < win+loss:
							m.Lost++
						default:
							m.Even++
						}
					}
					meetings = append(meetings, m)
				}
			}
			a, err := Davidson(everybody, meetings)
			if err != nil {
				t.Fatal(err)
			}
			found += a.Spread / rooms
			for _, m := range meetings {
				win, _, _ := truth(m.First, m.Second)
				all++
				if e := a.Wins(m.First, m.Second); e.Low <= win && win <= e.High {
					held++
				}
			}
		}
		t.Logf("spread %v: found %.2f, held %.3f", spread, found, float64(held)/float64(all))
		if share := float64(held) / float64(all); share < 0.92 {
			t.Errorf("spread %v: %.3f of intervals hold, want about 0.95", spread, share)
		}
		near(t, "spread", found, spread, 0.2)
	}
}
