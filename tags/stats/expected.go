package stats

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"trenchcut/tags"
	"trenchcut/tags/stats/fit"
)

// Expected is battles won beside what the situation gives.
type Expected struct {
	Why string // why nothing is said; empty where it is
	Men []Beyond
	// Gives is what each situation does to the odds of a win, beside the most frequent of its
	// kind.
	Gives    []Gives
	Reps     int     // in the model
	LeftOut  int     // of which set, help, alignment, down class, blocker or battle is not known
	Blockers int     // each with a strength of his own
	Spread   float64 // standard deviation of the blockers' strengths, in log odds
}

// Beyond is one man's wins beside those that the situations he was in give.
type Beyond struct {
	Name     string
	Won      Count
	Expected *float64 // nil where nothing is said
	// Over is wins over expected of 1 rush, with an interval that takes his games for the
	// units; nil under Enough reps or LeastGames.
	Over *fit.Estimate
}

// Gives is one situation: set short, help chip-te. Odds is how many times the odds of a
// win in Usual are those in it.
type Gives struct {
	Fact, Value, Usual string
	Won                Count
	Odds               fit.Estimate
}

// situation is the facts by which a rush is easy or hard before the rusher has done
// anything of his own.
var situation = []struct {
	name string
	of   func(*tags.Rep) string
}{
	{"set", func(r *tags.Rep) string { return r.Set }},
	{"help", func(r *tags.Rep) string { return r.Help }},
	{"align", func(r *tags.Rep) string { return r.Align }},
	{"down-class", func(r *tags.Rep) string { return r.Play.DownClass() }},
}

const (
	// seldom is the fewest reps of a situation that is told apart from the others.
	seldom = 15
	// perColumn is the fewest wins, and the fewest losses, for each situation that is told
	// apart (Peduzzi et al. 1996, J. Clin. Epidemiol. 49:1373–1379).
	perColumn      = 10
	fewestBlockers = 5
	otherValues    = "other"
)

// ExpectedOf is battles won in the reps that the headline counts beside what the situation
// gives: a logistic regression on set, help, alignment and down class, with a random
// intercept for the blocker. It refuses where the film does not carry that.
func (in Scope) ExpectedOf(reps []*tags.Rep) Expected {
	var e Expected
	var used []*tags.Rep
	for _, r := range inOrder(in.Counted(reps)) {
		known := r.Battle != "" && r.Blocker != nil // a hold that he drew tells of wins alone
		for _, s := range situation {
			known = known && s.of(r) != ""
		}
		if known {
			used = append(used, r)
		} else {
			e.LeftOut++
		}
	}
	e.Reps = len(used)
	if e.Why = tooFewGames(used); e.Why == "" {
		e.judge(used)
	}
	if e.Why != "" {
		for _, s := range Split(used, Rusher) {
			e.Men = append(e.Men, Beyond{Name: s.Name, Won: rateOf(s.Reps, (*tags.Rep).Won).Count})
		}
	}
	return e
}

// judge fits used, or says why they do not carry it.
func (e *Expected) judge(used []*tags.Rep) {
	d := designOf(used)
	e.Blockers = len(d.blockers)
	won := 0
	for _, row := range d.rows {
		won += int(row.K)
	}
	switch least := perColumn * d.columns; {
	case e.Blockers < fewestBlockers:
		e.Why = fmt.Sprintf("%s, and it takes %d at least to tell blockers from situations", tags.Count(e.Blockers, "blocker"), fewestBlockers)
	case min(won, len(used)-won) < least:
		e.Why = fmt.Sprintf("%d won and %d not, and to tell %s apart takes %d of each", won, len(used)-won, tags.Count(d.columns, "situation"), least)
	default:
		e.fit(used, d)
	}
}

// design is reps as rows of a regression.
type design struct {
	rows     []fit.Row
	rowOf    []int // of each rep
	columns  int
	gives    []Gives // of each column but the first
	blockers map[string]int
}

func designOf(reps []*tags.Rep) design {
	d := design{columns: 1, blockers: map[string]int{}}
	column := make([]map[string]int, len(situation))
	for i, s := range situation {
		column[i] = d.levels(reps, s.name, s.of)
	}
	type key struct {
		levels  [4]int // as many as situation
		blocker int
	}
	at := map[key]int{}
	for _, r := range reps {
		who := r.Blocker.Called()
		if _, ok := d.blockers[who]; !ok {
			d.blockers[who] = len(d.blockers)
		}
		k := key{blocker: d.blockers[who]}
		columns := []int{0}
		for i, s := range situation {
			if c := column[i][s.of(r)]; c > 0 {
				k.levels[i] = c
				columns = append(columns, c)
			}
		}
		n, ok := at[k]
		if !ok {
			n = len(d.rows)
			at[k] = n
			d.rows = append(d.rows, fit.Row{Columns: columns, Group: k.blocker})
		}
		won, _ := r.Won()
		d.rows[n].N++
		if won {
			d.rows[n].K++
		}
		for _, c := range columns[1:] {
			d.gives[c-1].Won.add(won)
		}
		d.rowOf = append(d.rowOf, n)
	}
	return d
}

// levels gives a column to each value of a fact but the most frequent, which has none; those
// that are seldom share one, or have none where they are few even so.
func (d *design) levels(reps []*tags.Rep, name string, of func(*tags.Rep) string) map[string]int {
	counts := map[string]int{}
	for _, r := range reps {
		counts[of(r)]++
	}
	parts := parts(counts, func(string) int { return 0 })
	columns := map[string]int{}
	add := func() int {
		d.columns++
		return d.columns - 1
	}
	few, other := 0, 0
	for _, p := range parts[1:] {
		if p.Reps < seldom {
			few += p.Reps
		}
	}
	for _, p := range parts[1:] {
		switch {
		case p.Reps >= seldom:
			columns[p.Name] = add()
			d.gives = append(d.gives, Gives{Fact: name, Value: p.Name, Usual: parts[0].Name})
		case few >= seldom:
			if other == 0 {
				other = add()
				d.gives = append(d.gives, Gives{Fact: name, Value: otherValues, Usual: parts[0].Name})
			}
			columns[p.Name] = other
		}
	}
	return columns
}

func (e *Expected) fit(reps []*tags.Rep, d design) {
	m, err := fit.LogisticMixed(d.rows, d.columns, len(d.blockers))
	// Odds of more than 400 to 1 are a situation in which all won or none: no number of reps
	// that a room has tells such odds.
	const most = 6
	wild := func(f fit.Estimate) bool { return math.Abs(f.At) > most }
	if errors.Is(err, fit.ErrUnsettled) || err == nil && slices.ContainsFunc(m.Fixed, wild) {
		e.Why = "in some situation all won or none did, so what it gives cannot be told"
		return
	}
	if err != nil {
		e.Why = err.Error()
		return
	}
	e.Spread = m.SD
	for i, g := range d.gives {
		f := m.Fixed[i+1]
		g.Odds = fit.Estimate{At: math.Exp(f.At), Low: math.Exp(f.Low), High: math.Exp(f.High)}
		e.Gives = append(e.Gives, g)
	}
	expected := make([]float64, len(d.rows))
	for i, r := range d.rows {
		expected[i] = m.Expected(r.Columns, r.Group)
	}
	of := map[*tags.Rep]float64{}
	for i, r := range reps {
		of[r] = expected[d.rowOf[i]]
	}
	for _, s := range Split(reps, Rusher) {
		e.Men = append(e.Men, beyond(s, of))
	}
	slices.SortStableFunc(e.Men, func(a, b Beyond) int {
		switch {
		case a.Over != nil && b.Over != nil:
			return cmp.Compare(b.Over.At, a.Over.At)
		case a.Over == nil && b.Over == nil:
			return cmp.Compare(b.Won.N, a.Won.N)
		case a.Over == nil:
			return 1
		default:
			return -1
		}
	})
}

// beyond is one man's wins less what was expected of each of his reps. What games differ by
// is in the interval: it goes by the spread of his games, of which there are few, so by
// Student's t.
func beyond(s Set, expected map[*tags.Rep]float64) Beyond {
	sum := 0.0
	b := Beyond{Name: s.Name, Won: rateOf(s.Reps, (*tags.Rep).Won).Count, Expected: &sum}
	for _, r := range s.Reps {
		sum += expected[r]
	}
	played := Split(s.Reps, gamesOf)
	if !b.Won.Enough() || len(played) < LeastGames {
		return b
	}
	n := float64(b.Won.N)
	mean := (float64(b.Won.K) - sum) / n
	square := 0.0
	for _, game := range played {
		apart := -mean * float64(len(game.Reps))
		for _, r := range game.Reps {
			apart -= expected[r]
			if won, _ := r.Won(); won {
				apart++
			}
		}
		square += apart * apart
	}
	g := float64(len(played))
	reach := student(len(played)-1) * math.Sqrt(square*g/(g-1)) / n
	b.Over = &fit.Estimate{At: mean, Low: max(mean-reach, -1), High: min(mean+reach, 1)}
	return b
}
