package main

import (
	"cmp"
	"maps"
	"slices"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// shot is a shot of some film, with its number among all of them.
type shot struct {
	film.Shot
	id     int // from 1, over all film in the order named
	reel   *reelFilm
	file   string
	source plan.Source
	angle  string
	number int // of the play, where the name of a clip gives it; else 0
}

// seconds is how long s is, and how much of that comes after its snap.
func (s *shot) seconds() (all, tail float64) {
	rate := s.source.Rate
	if s.Snaps {
		tail = rate.Duration(s.Span.Out - s.Snap).Seconds()
	}
	return rate.Duration(s.Span.Len()).Seconds(), tail
}

// take is one play on film, from one angle or more.
type take struct {
	shots []*shot // each of another angle
	sure  bool    // that they are of one play
}

func (t *take) number() int { return t.shots[0].number }

// shown is the shot that shows most plainly what t is.
func (t *take) shown() *shot {
	return slices.MinFunc(t.shots, func(a, b *shot) int { return cmp.Compare(a.Unlike(), b.Unlike()) })
}

// takesOf puts together the shots that show a play, those of the same play from several
// angles in one take.
func takesOf(reels []*reelFilm, shots []*shot) []*take {
	var playing []*shot
	numbered := true
	for _, s := range shots {
		if s.Off == "" {
			playing = append(playing, s)
		}
		numbered = numbered && s.number > 0
	}
	if numbered {
		return byNumber(playing)
	}
	var groups [][]*take
	for _, r := range reels {
		var own []*shot
		for _, s := range shots {
			if s.reel == r {
				own = append(own, s)
			}
		}
		groups = append(groups, r.takes(own)...)
	}
	var takes []*take
	for i, g := range groups {
		if i == 0 || sameAngle(takes, g) {
			takes = append(takes, g...) // one film goes on where the other ended
			continue
		}
		takes = together(takes, g)
	}
	return takes
}

// sameAngle reports whether an angle of one is among those of the other.
func sameAngle(a, b []*take) bool {
	angles := map[string]bool{}
	for _, t := range a {
		for _, s := range t.shots {
			angles[s.angle] = true
		}
	}
	return slices.ContainsFunc(b, func(t *take) bool {
		return slices.ContainsFunc(t.shots, func(s *shot) bool { return angles[s.angle] })
	})
}

// takes is the takes of one reel's shots, a list for each camera that filmed them all.
func (r *reelFilm) takes(shots []*shot) [][]*take {
	if r.turns() > 1 {
		plain := make([]film.Shot, len(shots))
		for i, s := range shots {
			plain[i] = s.Shot
		}
		var takes []*take
		for _, t := range film.Turns(plain, r.turns()) {
			turn := &take{sure: t.Sure}
			for angle, i := range t.Shots {
				if i >= 0 {
					shots[i].angle = r.angles[angle]
					turn.shots = append(turn.shots, shots[i])
				}
			}
			takes = append(takes, turn)
		}
		return [][]*take{takes}
	}
	byAngle := map[string][]*take{}
	var order []string
	for _, s := range shots {
		if byAngle[s.angle] == nil && !slices.Contains(order, s.angle) {
			order = append(order, s.angle)
		}
		if s.Off == "" {
			byAngle[s.angle] = append(byAngle[s.angle], &take{shots: []*shot{s}, sure: true})
		}
	}
	var groups [][]*take
	for _, angle := range order {
		groups = append(groups, byAngle[angle])
	}
	return groups
}

// byNumber puts clips together that name the same play.
func byNumber(shots []*shot) []*take {
	plays := map[int]*take{}
	for _, s := range shots {
		t := plays[s.number]
		if t == nil {
			t = &take{sure: true}
			plays[s.number] = t
		}
		t.shots = append(t.shots, s)
	}
	var takes []*take
	for _, n := range slices.Sorted(maps.Keys(plays)) {
		takes = append(takes, plays[n])
	}
	return takes
}

// together pairs the takes of one camera with those of another, in order: both ran about
// as long on the same play.
func together(a, b []*take) []*take {
	const lone = 0.6 // a play that one camera missed
	pairs := film.Align(len(a), len(b), film.Costs{
		Pair: func(i, j int) float64 {
			s, t := a[i].shown(), b[j].shown()
			allS, tailS := s.seconds()
			allT, tailT := t.seconds()
			return film.Together(s.Shot, t.Shot, allS, allT, tailS, tailT)
		},
		LoneA: func(int) float64 { return lone },
		LoneB: func(int) float64 { return lone },
	})
	var takes []*take
	for _, p := range pairs {
		t := &take{sure: p.Margin >= film.SureMargin}
		if p.A >= 0 {
			t.shots = append(t.shots, a[p.A].shots...)
			t.sure = t.sure && a[p.A].sure
		}
		if p.B >= 0 {
			t.shots = append(t.shots, b[p.B].shots...)
			t.sure = t.sure && b[p.B].sure
		}
		takes = append(takes, t)
	}
	return takes
}

// outline is what was found: plays in order, with the film of each.
type outline struct {
	plays  []outlined
	absent []int // plays that no film shows
	extra  []*take
}

// outlined is one play, and where it is on film.
type outlined struct {
	number int
	play   *tags.Play // as the sheet has it; nil without one
	take   *take
	sure   bool // that the take is of this play
}

// pairUp says which play each take is.
func pairUp(b *base, takes []*take, said orders) *outline {
	found := &outline{}
	if b.game == nil {
		for i, t := range takes {
			n := i + 1
			if t.number() > 0 {
				n = t.number()
			}
			found.plays = append(found.plays, outlined{number: n, take: t, sure: true})
		}
		return found
	}
	rows := b.game.Plays
	add := func(row int, t *take, sure bool) {
		found.plays = append(found.plays, outlined{rows[row].Number, rows[row], t, sure})
	}
	if len(takes) > 0 && !slices.ContainsFunc(takes, func(t *take) bool { return t.number() == 0 }) {
		used := map[int]bool{}
		for row, p := range rows {
			i := slices.IndexFunc(takes, func(t *take) bool { return t.number() == p.Number })
			if i < 0 {
				found.absent = append(found.absent, p.Number)
				continue
			}
			used[i] = true
			add(row, takes[i], true)
		}
		for i, t := range takes {
			if !used[i] {
				found.extra = append(found.extra, t)
			}
		}
		return found
	}
	for _, p := range film.Align(len(rows), len(takes), rowCosts(rows, takes, said)) {
		switch {
		case p.A < 0:
			found.extra = append(found.extra, takes[p.B])
		case p.B < 0:
			found.absent = append(found.absent, rows[p.A].Number)
		default:
			add(p.A, takes[p.B], p.Margin >= film.SureMargin)
		}
	}
	return found
}

// rowCosts is what it costs to say that a row of the sheet and a take are one play, or
// that either stands alone.
func rowCosts(rows []*tags.Play, takes []*take, said orders) film.Costs {
	const (
		pinned = 1000
		absent = 1.2 // a play of the sheet that is on no film
		noPlay = 0.8 // of which there is often none
	)
	playOf := map[int]int{}
	for p, n := range said.pins {
		if n != notFilmed {
			playOf[n] = p
		}
	}
	return film.Costs{
		Pair: func(row, i int) float64 {
			for _, s := range takes[i].shots {
				switch p, ok := playOf[s.id]; {
				case ok && p == rows[row].Number:
					return -pinned
				case ok:
					return pinned
				}
			}
			return takes[i].shown().Unlike()
		},
		LoneA: func(row int) float64 {
			n, ok := said.pins[rows[row].Number]
			switch {
			case ok && n == notFilmed:
				return -pinned
			case rows[row].Type == "no-play":
				return noPlay
			default:
				return absent
			}
		},
		LoneB: func(i int) float64 { return takes[i].shown().Lone() },
	}
}
