package stats

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"trenchcut/tags"
)

// By hand: of ten rushes two are beaten at 1 s, one is over at 2 s, one leaves unseen at 2 s,
// and of the six that are left at 3 s two are beaten: .2 + .7*2/6 of which .7 still went on.
func TestAalenJohansen(t *testing.T) {
	s := tags.Second
	steps := AalenJohansen([]Course{
		{3 * s, Beat}, {s, Beat}, {2 * s, WasOut}, {2 * s, Going}, {s, Beat}, {3 * s, Beat}, {4 * s, WasOut}, {4 * s, WasOut}, {5 * s, Going}, {never, WasOut},
	})
	var got []string
	for _, s := range steps[:4] {
		got = append(got, fmt.Sprintf("%v: %d at risk, %d beaten, %d over, %.6f and %.6f", s.At.Seconds(), s.AtRisk, s.Beaten, s.Over, s.BeatenBy, s.OverBy))
	}
	same(t, []string{
		"1: 10 at risk, 2 beaten, 0 over, 0.200000 and 0.000000",
		"2: 8 at risk, 0 beaten, 1 over, 0.200000 and 0.100000",
		"3: 6 at risk, 2 beaten, 0 over, 0.433333 and 0.100000",
		"4: 4 at risk, 0 beaten, 2 over, 0.433333 and 0.333333",
	}, got)
}

// Where no rush leaves unseen, the incidence is the plain share, and each other's rest is the
// share that goes on.
func TestIncidenceIsTheShare(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 200 {
		courses := make([]Course, 1+r.IntN(60))
		for i := range courses {
			courses[i] = Course{tags.Time(1+r.IntN(40)) * tags.Second / 10, []Fate{Beat, WasOut}[r.IntN(2)]}
		}
		for _, s := range AalenJohansen(courses) {
			beaten, over := 0, 0
			for _, c := range courses {
				if c.Until <= s.At && c.Fate == Beat {
					beaten++
				} else if c.Until <= s.At {
					over++
				}
			}
			n := float64(len(courses))
			if math.Abs(s.BeatenBy-float64(beaten)/n) > 1e-12 || math.Abs(s.OverBy-float64(over)/n) > 1e-12 {
				t.Fatalf("at %s: %g and %g, want %d and %d of %d", s.At, s.BeatenBy, s.OverBy, beaten, over, len(courses))
			}
		}
	}
}

// R's survival has monoclonal gammopathy of 1384 patients (Kyle et al. 2002, N. Engl. J. Med.
// 346:564–569) as mgus2, with the incidence of progression before death and of death before
// it: its vignette "Multi-state models and competing risks". Its figures at 120 and 240 months
// are beside it.
func TestIncidenceAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		t.Skip("R is not installed: apt-get install r-base-core r-cran-survival")
	}
	const script = `suppressMessages(library(survival))
etime <- with(mgus2, ifelse(pstat == 0, futime, ptime))
event <- with(mgus2, ifelse(pstat == 0, 2 * death, 1))
write.table(cbind(etime, event), row.names = FALSE, col.names = FALSE)
cat("curve\n")
f <- survfit(Surv(etime, factor(event, 0:2, c("censor", "pcm", "death"))) ~ 1)
keep <- f$n.event[, 2] + f$n.event[, 3] > 0
write.table(format(cbind(f$time, f$pstate[, 2], f$pstate[, 3])[keep, ], digits = 12), row.names = FALSE, col.names = FALSE, quote = FALSE)
`
	out, err := exec.Command(rscript, "-e", script).Output()
	if err != nil {
		t.Fatal(err)
	}
	data, curve, ok := bytes.Cut(out, []byte("curve\n"))
	if !ok {
		t.Fatalf("R says %.200s", out)
	}
	var courses []Course
	for _, x := range columnsOf(t, data, 2) {
		courses = append(courses, Course{tags.Time(x[0]) * tags.Second, []Fate{Going, Beat, WasOut}[int(x[1])]})
	}
	if len(courses) != 1384 {
		t.Fatalf("%d patients, want 1384", len(courses))
	}
	steps := AalenJohansen(courses)
	rows := columnsOf(t, curve, 3)
	if len(rows) != len(steps) {
		t.Fatalf("%d steps, R has %d", len(steps), len(rows))
	}
	for i, row := range rows {
		if s := steps[i]; s.At.Seconds() != row[0] || math.Abs(s.BeatenBy-row[1]) > 1e-10 || math.Abs(s.OverBy-row[2]) > 1e-10 {
			t.Errorf("step %+v, R has %v", s, row)
		}
	}
	for months, want := range map[tags.Time][2]float64{120: {.063722, .531818}, 240: {.099814, .724028}} {
		var at IncidenceStep
		for _, s := range steps {
			if s.At <= months*tags.Second {
				at = s
			}
		}
		if math.Abs(at.BeatenBy-want[0]) > 5e-7 || math.Abs(at.OverBy-want[1]) > 5e-7 {
			t.Errorf("at %d months %.6f and %.6f, want %v", months, at.BeatenBy, at.OverBy, want)
		}
	}
}

// columnsOf is rows of n numbers.
func columnsOf(t *testing.T, text []byte, n int) (rows [][]float64) {
	t.Helper()
	for lines := bufio.NewScanner(bytes.NewReader(text)); lines.Scan(); {
		var row []float64
		for word := range strings.FieldsSeq(lines.Text()) {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, x)
		}
		if len(row) != n {
			t.Fatalf("%q is not %d numbers", lines.Text(), n)
		}
		rows = append(rows, row)
	}
	return rows
}

// Rates, curve and slate tell one season's blockers beaten in time alike, whichever rushes
// were over sooner, marked or not.
func TestInTimeIsOneNumber(t *testing.T) {
	reps, v := parse(t, games(11, 3, 240))
	beaten, over := 0, 0
	for _, r := range reps {
		if _, is, known := r.Beaten(); known && is {
			beaten++
		}
		if sooner, _ := r.OverSooner(); sooner {
			over++
		}
	}
	if beaten < 20 || over < 5 {
		t.Fatalf("a season of %d beaten and %d over sooner proves little", beaten, over)
	}
	rate := Dropbacks.Summarise(reps, v).Headline.BeatInTime
	timing := Dropbacks.TimesToBeat(reps, nil)[0]
	if timing.InTime.Count != rate.Count || timing.InTime.Unknown != rate.Unknown {
		t.Errorf("rates say %s, the times %s", rate.Count, timing.InTime.Count)
	}
	curve := 0.0
	for _, s := range AalenJohansen(timing.Courses) {
		if s.At <= v.Limit {
			curve = s.BeatenBy
		}
	}
	if want := float64(rate.K) / float64(rate.N); math.Abs(curve-want) > 1e-12 {
		t.Errorf("the curve is at %g by the limit, the rate is %g", curve, want)
	}
	for _, at := range timing.At {
		if at.By == v.Limit && at.Beaten.Count != rate.Count {
			t.Errorf("by the limit %s, the rate is %s", at.Beaten.Count, rate.Count)
		}
	}
	found := false
	shares, _ := Dropbacks.Shares(reps, v)
	for _, s := range shares {
		if s.Name == BeatInTime {
			found = true
			if s.Count != rate.Count {
				t.Errorf("a slate says %s, the rates %s", s.Count, rate.Count)
			}
		}
	}
	if !found {
		t.Error("a slate does not tell who was beaten in time")
	}
	weeks := Count{}
	for _, w := range Dropbacks.Seasons(reps, nil)[0].Weeks {
		weeks.K += w.BeatInTime.K
		weeks.N += w.BeatInTime.N
	}
	if weeks != rate.Count {
		t.Errorf("all weeks come to %s, the rate is %s", weeks, rate.Count)
	}
}
