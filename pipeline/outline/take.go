package outline

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// Shot is a shot of some footage.
type Shot struct {
	watch.Shot
	ID     int // from 1, over all footage in the order it was named
	File   string
	Source plan.Source
	Angle  string // empty for a shot of no play in footage of several angles by turns
	Clip   bool   // it is all of its file

	footage *Footage
	named   int // the play's number in the name of a clip, 0 for none
}

// Why says why s is of no play.
func (s *Shot) Why() string {
	if s.Off == "" {
		return "no play of the sheet"
	}
	return string(s.Off)
}

// seconds is how long s is, and how much of that comes after its snap.
func (s *Shot) seconds() (all, tail float64) {
	rate := s.Source.Rate
	if s.Snaps {
		tail = rate.Duration(s.Span.Out - s.Snap).Seconds()
	}
	return rate.Duration(s.Span.Len()).Seconds(), tail
}

// costOfNone is what it costs to say that s shows no play.
func costOfNone(s watch.Shot) float64 {
	switch {
	case s.Off != "":
		return 0.05
	case !s.Snaps:
		return 0.6
	default:
		return 1
	}
}

// costOfPlay is what it costs to say that s shows a play.
func costOfPlay(s watch.Shot) float64 {
	switch {
	case s.Off != "":
		return 2.5
	case !s.Snaps:
		return 0.4
	default:
		return 0
	}
}

// costOfBoth is what it costs to say that two cameras took the same play in s and t: the
// less, the nearer they are in length, in all or from the snap on.
func costOfBoth(s, t *Shot) float64 {
	allS, tailS := s.seconds()
	allT, tailT := t.seconds()
	off := math.Abs(math.Log(allS / allT))
	if s.Snaps && t.Snaps && tailS > 0 && tailT > 0 {
		off = min(off, math.Abs(math.Log(tailS/tailT)))
	}
	return min(off, 0.9) + costOfPlay(s.Shot) + costOfPlay(t.Shot)
}

// take is one play on film, from one angle or more.
type take struct {
	shots  []*Shot // each of another angle
	sure   bool    // that they are of one play
	broken bool    // shots of no play come before it
	before int     // the number under which the tag file has it already; 0 for none
}

// numberTakes notes the numbers under which a tag file has shots already.
func numberTakes(takes []*take, numbers map[*Shot]int) {
	for _, t := range takes {
		for _, s := range t.shots {
			t.before = cmp.Or(t.before, numbers[s])
		}
	}
}

// named is the number of the play in the names of the clips, 0 for none.
func (t *take) named() int { return t.shots[0].named }

// plainest returns the shot of t that most clearly shows a play.
func (t *take) plainest() *Shot {
	return slices.MinFunc(t.shots, func(a, b *Shot) int { return cmp.Compare(costOfPlay(a.Shot), costOfPlay(b.Shot)) })
}

// takesOf puts shots of the same play from several angles together. Clips that all name
// their play go by its number, other film by its order.
func takesOf(footage []*Footage, shots []*Shot) []*take {
	var playing []*Shot
	named := true
	for _, s := range shots {
		if s.Off == "" {
			playing = append(playing, s)
		}
		named = named && s.named > 0
	}
	if named {
		return byNumber(playing)
	}
	takes := pairedTakes(footage, shots)
	for _, t := range takes {
		t.broken = brokenBefore(t, shots)
	}
	return takes
}

// brokenBefore reports whether a shot of no play, such as of a scoreboard, comes right before
// t on its film.
func brokenBefore(t *take, shots []*Shot) bool {
	for _, s := range t.shots {
		if s.ID < 2 {
			continue
		}
		if before := shots[s.ID-2]; before.footage == s.footage && before.Off != "" && before.Off != watch.TooShort && before.Off != LeftOut {
			return true
		}
	}
	return false
}

// pairedTakes puts shots of several cameras together by their order.
func pairedTakes(footage []*Footage, shots []*Shot) []*take {
	var takes []*take
	first := true
	for _, f := range footage {
		own := slices.DeleteFunc(slices.Clone(shots), func(s *Shot) bool { return s.footage != f })
		for _, camera := range f.takes(own) {
			if first || sharesAngle(takes, camera) {
				takes = append(takes, camera...) // one film goes on where the other ended
			} else {
				takes = together(takes, camera)
			}
			first = false
		}
	}
	return takes
}

// sharesAngle reports whether some angle is among those of a and of b.
func sharesAngle(a, b []*take) bool {
	angles := map[string]bool{}
	for _, t := range a {
		for _, s := range t.shots {
			angles[s.Angle] = true
		}
	}
	return slices.ContainsFunc(b, func(t *take) bool {
		return slices.ContainsFunc(t.shots, func(s *Shot) bool { return angles[s.Angle] })
	})
}

// takes is the takes of the shots of f, a list for each camera that filmed all plays.
func (f *Footage) takes(shots []*Shot) [][]*take {
	if f.turns() > 1 {
		return [][]*take{f.takesByTurns(shots)}
	}
	byAngle := map[string][]*take{}
	var order []string
	for _, s := range shots {
		if !slices.Contains(order, s.Angle) {
			order = append(order, s.Angle)
		}
		if s.Off == "" {
			byAngle[s.Angle] = append(byAngle[s.Angle], &take{shots: []*Shot{s}, sure: true})
		}
	}
	var cameras [][]*take
	for _, angle := range order {
		cameras = append(cameras, byAngle[angle])
	}
	return cameras
}

// takesByTurns is the takes of shots from several angles by turns. It sets their angles.
func (f *Footage) takesByTurns(shots []*Shot) []*take {
	plain := make([]watch.Shot, len(shots))
	for i, s := range shots {
		plain[i] = s.Shot
	}
	var takes []*take
	for _, turn := range byTurns(plain, f.turns()) {
		t := &take{sure: turn.sure}
		for angle, i := range turn.shots {
			if i >= 0 {
				shots[i].Angle = f.Angles[angle]
				t.shots = append(t.shots, shots[i])
			}
		}
		takes = append(takes, t)
	}
	return takes
}

// byNumber puts clips together that name the same play.
func byNumber(shots []*Shot) []*take {
	plays := map[int]*take{}
	for _, s := range shots {
		t := plays[s.named]
		if t == nil {
			t = &take{sure: true}
			plays[s.named] = t
		}
		t.shots = append(t.shots, s)
	}
	var takes []*take
	for _, n := range slices.Sorted(maps.Keys(plays)) {
		takes = append(takes, plays[n])
	}
	return takes
}

// together pairs the takes of one camera with those of another, in order, by length.
func together(a, b []*take) []*take {
	const alone = 0.6 // a play that one camera missed
	pairs := align(len(a), len(b), costs{
		pair:   func(i, j int) float64 { return costOfBoth(a[i].plainest(), b[j].plainest()) },
		aloneA: func(int) float64 { return alone },
		aloneB: func(int) float64 { return alone },
	})
	var takes []*take
	for _, p := range pairs {
		t := &take{sure: p.margin >= sureMargin}
		if p.a >= 0 {
			t.shots = append(t.shots, a[p.a].shots...)
			t.sure = t.sure && a[p.a].sure
		}
		if p.b >= 0 {
			t.shots = append(t.shots, b[p.b].shots...)
			t.sure = t.sure && b[p.b].sure
		}
		takes = append(takes, t)
	}
	return takes
}

// match says which play of the list each take shows. Without a list, takes have the numbers
// in their clips' names, or those of their order.
func match(list []*tags.Play, takes []*take, pins []Pin) (plays []Play, absent []int) {
	if list == nil {
		for i, t := range takes {
			n := i + 1
			if t.named() > 0 {
				n = t.named()
			}
			plays = append(plays, Play{Number: n, Shots: t.shots, SureOfPlay: true, SureOfAngles: t.sure})
		}
		return plays, nil
	}
	add := func(row *tags.Play, t *take, sure bool) {
		plays = append(plays, Play{Number: row.Number, Row: row, Shots: t.shots, SureOfPlay: sure, SureOfAngles: t.sure})
	}
	if len(takes) > 0 && !slices.ContainsFunc(takes, func(t *take) bool { return t.named() == 0 }) {
		for _, row := range list {
			i := slices.IndexFunc(takes, func(t *take) bool { return t.named() == row.Number })
			if i < 0 {
				absent = append(absent, row.Number)
				continue
			}
			add(row, takes[i], true)
		}
		return plays, absent
	}
	for _, f := range matchBySequence(list, takes, pins) {
		if f.take < 0 {
			absent = append(absent, list[f.row].Number)
		} else {
			add(list[f.row], takes[f.take], f.wrong <= mostWrong)
			plays[len(plays)-1].Wrong = max(0, f.wrong)
		}
	}
	return plays, absent
}
