package report

import (
	"fmt"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// stuntRow is a kind of stunt by the play, or its reps by role or by who called it.
type stuntRow struct {
	by, kind string
	stunt    *stats.Stunt // by the play
	stats.Group
}

var stuntColumns = append(columns[stuntRow]{
	{Column{Key: "by", Doc: "Whether the row is a kind of stunt by the play, a role in one, or a caller."}, func(r stuntRow) any { return r.by }},
	{Column{Key: "kind", Doc: "The kind of stunt; all is every kind.", Least: 12}, func(r stuntRow) any { return r.kind }},
	{Column{Key: "plays", Kind: Number, Unit: "plays", Doc: "Plays with the stunt."}, ofStunt(func(s stats.Stunt) any { return s.Plays })},
	{Column{Key: "pressure-per-play", Kind: Rate, Unit: "plays", Doc: "Plays with pressure by any of its rushers, chosen or not."}, ofStunt(func(s stats.Stunt) any { return s.PlayPressure })},
	{Column{Key: "freed-looper", Kind: Number, Unit: "reps", Doc: "Reps credited with freeing the looper."}, ofStunt(func(s stats.Stunt) any { return s.FreedLooper })},
	{Column{Key: "kind-role", textOnly: true, Least: 12, Fold: true}, func(r stuntRow) any { return r.kind + ", " + r.Name }},
}, lift(groupColumns.named("group", "name", "The role, or the caller."), func(r stuntRow) stats.Group { return r.Group }).where(func(r stuntRow) bool { return r.stunt == nil })...)

// ofStunt is a value of a stunt by the play; nil in other rows.
func ofStunt(of func(stats.Stunt) any) func(stuntRow) any {
	return given(func(r stuntRow) *stats.Stunt { return r.stunt }, of)
}

func stuntTable(r *Request) (Table, error) {
	stunts := r.scope().StuntsOf(r.Reps, r.Season.Vocabulary)
	var kinds, roles, callers, all []stuntRow
	for _, k := range stunts.Kinds {
		if k.Plays == 0 {
			continue
		}
		kinds = append(kinds, stuntRow{by: "kind", kind: k.Name, stunt: &k})
		all = append(all, kinds[len(kinds)-1])
		for _, g := range k.Roles {
			roles = append(roles, stuntRow{by: "role", kind: k.Name, Group: g})
			all = append(all, roles[len(roles)-1])
		}
	}
	for _, g := range stunts.Callers {
		callers = append(callers, stuntRow{by: "caller", kind: stats.All, Group: g})
	}
	t := Table{Title: "what stunts came to", Who: r.scope().StuntsWords(), Grids: []Grid{stuntColumns.grid("", append(all, callers...))}}
	if len(kinds) == 0 {
		t.Lead = append(t.Lead, noneCount)
		return t, nil
	}
	byRole, byCaller := groupPicks(""), groupPicks("")
	byRole[0] = pick{key: "kind-role", title: "by kind and role"}
	byCaller[0] = pick{key: "name", title: "by caller"}
	t.Blocks = []Block{
		stuntColumns.block(kinds, pick{key: "kind", title: "by kind"}, pick{key: "plays"}, pick{key: "pressure-per-play", title: "with pressure"},
			pick{key: "freed-looper", title: "freed the looper"}, pick{key: "pressure-per-play", as: sample}),
		stuntColumns.block(roles, byRole...),
		stuntColumns.block(callers, byCaller...),
	}
	t.Notes = append(t.Notes, boundsWords(pressurePerPlay, stunts.Kinds[0].PlayPressure)...)
	t.Lead = append(t.Lead, fmt.Sprintf("Two rushers of one stunt are two reps of one play: %s in all.", tags.Count(stunts.Kinds[0].Plays, "play")))
	return t, nil
}
