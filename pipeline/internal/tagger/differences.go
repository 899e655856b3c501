package tagger

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

// Differences is what two games do not say alike, in order. Times may be as far apart as given,
// and alike, where it is not nil, may take two values of a field for the same.
func Differences(want, got mark.Look, apart tags.Time, alike func(key, want, got string) bool) []string {
	var wrong []string
	a, b := said(want), said(got)
	for key, was := range a {
		now := b[key]
		x, errX := tags.ParseInstant(was)
		y, errY := tags.ParseInstant(now)
		switch {
		case was == now, errX == nil && errY == nil && max(x.N-y.N, y.N-x.N) <= int64(apart):
		case alike != nil && alike(key, was, now):
		default:
			wrong = append(wrong, fmt.Sprintf("%s is %q, want %q", key, now, was))
		}
	}
	for key, now := range b {
		if _, ok := a[key]; !ok {
			wrong = append(wrong, fmt.Sprintf("%s is %q, want nothing", key, now))
		}
	}
	slices.Sort(wrong)
	return wrong
}

// said is all that a game says in fields, by play, rep and field.
func said(l mark.Look) map[string]string {
	all := map[string]string{}
	note := func(play int, rep string, f mark.Field) {
		if v, _ := l.Value(play, rep, f); v != "" {
			all[strings.Join(strings.Fields(fmt.Sprint(play, " ", rep, " ", f)), " ")] = v
		}
	}
	for _, p := range l.Game.Plays {
		all[fmt.Sprint(p.Number)] = "play"
		for _, pf := range tags.PlayFields[1:] {
			note(p.Number, "", mark.Field(pf.FileKey()))
		}
		for _, film := range l.Game.Films {
			for _, key := range []string{"in", "out", "snap"} {
				note(p.Number, "", mark.Field("angles."+film.Angle+"."+key))
			}
		}
		for key := range p.Extra {
			note(p.Number, "", mark.Field("extra."+key))
		}
		for _, r := range p.Reps {
			all[fmt.Sprint(p.Number, " ", r.Rusher.ID)] = "rep"
			for _, f := range []mark.Field{"move", "counter", "in", "out", "draw"} {
				note(p.Number, r.Rusher.ID, f)
			}
			for _, rf := range tags.RepFields {
				note(p.Number, r.Rusher.ID, mark.Field(strings.TrimPrefix(rf.Under+"."+rf.FileKey(), ".")))
			}
			for _, film := range l.Game.Films {
				note(p.Number, r.Rusher.ID, mark.Field("spot."+film.Angle))
			}
		}
		for _, m := range tags.AllMarks {
			note(p.Number, "", mark.Field("marks."+string(m)))
			for _, r := range p.Reps {
				note(p.Number, r.Rusher.ID, mark.Field("marks."+string(m)))
			}
		}
	}
	return all
}
