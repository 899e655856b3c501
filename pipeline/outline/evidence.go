package outline

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// How probable it is that nothing belongs with a row or a take (common practice: a camera
// misses a play in fifty or so, a sheet forgets as many).
const (
	unfilmed   = 0.02
	offFilm    = 0.25 // the same of a play without a snap, of which there often is no film
	unlisted   = 0.02
	noSnapSeen = 0.35 // that a shot in which no snap is seen shows no play
	notAPlay   = 0.95 // the same of one that looks like none
)

// never is the logarithm of what cannot be; finite, so that sums of it can be taken apart.
const never = -1e4

// mostWrong is how probable it may be that a play is on another shot, and it still needs no
// second look.
const mostWrong = 0.007

// asBefore is the weight of a number that a take already has in the tag file: too little to
// outweigh any other evidence.
const asBefore = 0.05

// evidence judges which row of a sheet a take shows. It compares how long the camera ran on after
// the snap with the kind of the play and its gain, and the places where a shot of no play breaks
// the film with the beginnings of series.
type evidence struct {
	rows  []*tags.Play
	takes []*take

	expected []float64 // of each row: the logarithm of seconds from the snap on
	tail     []float64 // of each take, likewise; NaN where it is not known
	shift    float64   // how much longer this camera runs on
	spread   float64
	begins   []bool    // of each row: a series or a quarter begins with it
	when     []float64 // of each take, in seconds of the day; nil where the film does not tell
	// broken is how probable a shot of no play is before a play: where no series begins with it,
	// and where one does.
	broken [2]float64
	pins   pinned
}

// pinned is what the request says of plays and shots.
type pinned struct {
	playOf    map[int]int // by shot
	shotOf    map[int]int // by play
	notFilmed map[int]bool
}

func pinnedBy(pins []Pin) pinned {
	p := pinned{map[int]int{}, map[int]int{}, map[int]bool{}}
	for _, pin := range pins {
		if pin.Shot == NotFilmed {
			p.notFilmed[pin.Play] = true
			continue
		}
		p.playOf[pin.Shot], p.shotOf[pin.Play] = pin.Play, pin.Shot
	}
	return p
}

func newEvidence(rows []*tags.Play, takes []*take, pins []Pin) *evidence {
	e := &evidence{rows: rows, takes: takes, pins: pinnedBy(pins), spread: math.Inf(1), broken: [2]float64{0.1, 0.1}}
	for i, row := range rows {
		e.expected = append(e.expected, math.Log(secondsOf(rows, i)))
		e.begins = append(e.begins, i > 0 && begins(rows[i-1], row))
	}
	for _, t := range takes {
		tail := math.NaN()
		if _, s := t.plainest().seconds(); s > 0.5 {
			tail = math.Log(s)
		}
		e.tail = append(e.tail, tail)
	}
	e.when = whenOf(takes)
	return e
}

// begins reports whether a series or a quarter begins with b.
func begins(a, b *tags.Play) bool {
	differ := func(x, y *int) bool { return x != nil && y != nil && *x != *y }
	return differ(a.Series, b.Series) || differ(a.Quarter, b.Quarter) || a.Unit != b.Unit
}

// secondsOf is about how long the i-th play lasts: by its kind, and by how far it went.
func secondsOf(rows []*tags.Play, i int) float64 {
	seconds := 5.0
	switch rows[i].Type {
	case "kickoff", "punt":
		return 10
	case "field-goal", "extra-point":
		return 4.5
	case "spike", "kneel", "no-play":
		return 3.2
	case "run", "draw":
		seconds = 4.8
	case "":
	default:
		seconds = 5.4
	}
	if gain, ok := gainOf(rows, i); ok {
		seconds += math.Max(0, gain) / 7
	}
	return seconds
}

// gainOf is how far a play went: by a column of the staff's, else by the yard line of the play
// after it in the series.
func gainOf(rows []*tags.Play, i int) (float64, bool) {
	for key, text := range rows[i].Extra {
		if slices.Contains([]string{"gain", "gn", "yards", "yds", "gained", "net", "gainloss", "gnls"}, strings.ToLower(strings.Map(letter, key))) {
			v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
			return v, err == nil
		}
	}
	if i+1 == len(rows) || begins(rows[i], rows[i+1]) || rows[i+1].Number != rows[i].Number+1 {
		return 0, false
	}
	from, ok := rows[i].ToGoal()
	to, ok2 := rows[i+1].ToGoal()
	return float64(from - to), ok && ok2
}

func letter(r rune) rune {
	if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
		return r
	}
	return -1
}

// learn estimates from the likeliest pairing how this camera films: how much longer than usual it
// runs on, how evenly, and whether a shot of no play means that a series begins.
func (e *evidence) learn(found []fit) {
	var off []float64
	seen, broken := [2]float64{10, 10}, [2]float64{1, 1}
	last := fit{take: -1}
	for _, f := range found {
		if f.take < 0 {
			continue
		}
		if tail := e.tail[f.take]; !math.IsNaN(tail) {
			off = append(off, tail-e.expected[f.row])
		}
		if last.take == f.take-1 && last.row == f.row-1 && f.row > 0 && last.take >= 0 {
			at := index(e.begins[f.row])
			seen[at]++
			if e.takes[f.take].broken {
				broken[at]++
			}
		}
		last = f
	}
	for at := range broken {
		e.broken[at] = broken[at] / seen[at]
	}
	if len(off) < 8 {
		return
	}
	slices.Sort(off)
	e.shift = off[len(off)/2]
	away := make([]float64, len(off))
	for i, x := range off {
		away[i] = math.Abs(x - e.shift)
	}
	slices.Sort(away)
	const toDeviation = 1.4826 // of the median deviation of a normal distribution
	e.spread = math.Max(0.2, toDeviation*away[len(away)/2])
}

func index(b bool) int {
	if b {
		return 1
	}
	return 0
}

// lasts is how much likelier a take of this length is for the row than for an average play, as a
// logarithm.
func (e *evidence) lasts(row, take int) float64 {
	tail := e.tail[take]
	if math.IsNaN(tail) || math.IsInf(e.spread, 1) {
		return 0
	}
	var any float64
	for _, x := range e.expected {
		any += e.density(tail - x - e.shift)
	}
	return math.Log(e.density(tail-e.expected[row]-e.shift) / (any / float64(len(e.expected))))
}

// density is the probability density of a difference between a length and its expectation: most are
// small, and a few, of wrong snaps and cameras that ran on, are of any size.
func (e *evidence) density(off float64) float64 {
	const anywhere, over = 0.1, 3.0
	z := off / e.spread
	return (1-anywhere)*math.Exp(-z*z/2)/(e.spread*math.Sqrt(2*math.Pi)) + anywhere/over
}

// chances is what the evidence comes to, with what is pinned.
func (e *evidence) chances() chances {
	lasts := table(len(e.rows), len(e.takes))
	for row := range e.rows {
		for take := range e.takes {
			lasts[row][take] = e.lasts(row, take)
		}
	}
	return chances{
		pair: func(row, take int) float64 {
			number := e.rows[row].Number
			if e.pins.notFilmed[number] {
				return never
			}
			pinnedTo := false
			for _, s := range e.takes[take].shots {
				if play, ok := e.pins.playOf[s.ID]; ok {
					if play != number {
						return never
					}
					pinnedTo = true
				}
			}
			if _, ok := e.pins.shotOf[number]; ok && !pinnedTo {
				return never
			}
			kept := 0.0
			if e.takes[take].before == number {
				kept = asBefore
			}
			return math.Log(1-unfilmedOf(e.rows[row])) + math.Log(1-unlistedOf(e.takes[take])) + lasts[row][take] + kept
		},
		row: func(row int) float64 {
			switch number := e.rows[row].Number; {
			case e.pins.notFilmed[number]:
				return 0
			case e.pins.shotOf[number] > 0:
				return never
			}
			return math.Log(unfilmedOf(e.rows[row]))
		},
		take: func(take int) float64 {
			for _, s := range e.takes[take].shots {
				if _, ok := e.pins.playOf[s.ID]; ok {
					return never
				}
			}
			if e.when != nil {
				return math.Log(unlistedOf(e.takes[take]) / usualApart)
			}
			return math.Log(unlistedOf(e.takes[take]))
		},
		apart: func(r, t, row, take int) float64 {
			if e.when != nil {
				return e.elapses(r, row, e.when[take]-e.when[t])
			}
			if row != r+1 || take != t+1 {
				return 0
			}
			yes := e.broken[index(e.begins[row])]
			usual := cmp.Or(e.brokenAtAll(), 0.1)
			if e.takes[take].broken {
				return math.Log(yes / usual)
			}
			return math.Log((1 - yes) / (1 - usual))
		},
	}
}

// brokenAtAll is how probable a shot of no play is before any row.
func (e *evidence) brokenAtAll() float64 {
	n := 0.0
	for _, b := range e.begins {
		n += float64(index(b))
	}
	share := n / math.Max(1, float64(len(e.begins)))
	return share*e.broken[1] + (1-share)*e.broken[0]
}

func unfilmedOf(row *tags.Play) float64 {
	if row.Type == "no-play" {
		return offFilm
	}
	return unfilmed
}

func unlistedOf(t *take) float64 {
	switch s := t.plainest().Shot; {
	case s.Off != "":
		return notAPlay
	case !s.Snaps:
		return noSnapSeen
	default:
		return unlisted
	}
}

// matchBySequence is which take shows each row, by all evidence, and how probable it is that
// it does not.
func matchBySequence(rows []*tags.Play, takes []*take, pins []Pin) []fit {
	e := newEvidence(rows, takes, pins)
	found := fits(len(rows), len(takes), e.chances())
	for range 2 {
		e.learn(found)
		found = fits(len(rows), len(takes), e.chances())
	}
	return found
}
