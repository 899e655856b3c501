package main

import (
	"context"
	"fmt"
	"strconv"

	"trenchcut/tags/stats"
)

func stuntView(_ context.Context, in *statsInput) (statsView, error) {
	result := stats.StuntsOf(in.reps, in.season.Vocabulary)
	v := statsView{
		title:  "what stunts came to",
		who:    stats.StuntsWords,
		result: result,
		sheet:  sheet{heading: append(append([]string{"by", "name", "role", "plays", "reps", "freed-looper"}, rateHeading("won")...), rateHeading("pressure")...)},
	}
	kinds := block{columns: []column{
		{title: "by kind", least: 12},
		{title: "plays", right: true},
		{title: "with pressure", right: true},
		{title: "per 100"},
		{title: "freed the looper", right: true},
		{title: "sample"},
	}}
	roles := groupsBlock(breakdown{Key: "kind and role"})
	roles.columns[0].fold = true
	for _, k := range result.Kinds {
		if k.Plays == 0 {
			continue
		}
		kinds.rows = append(kinds.rows, []string{
			k.Name, strconv.Itoa(k.Plays), k.PlayPressure.String(), rateWords(k.PlayPressure.Count),
			strconv.Itoa(k.FreedLooper), sampleWords(k.PlayPressure.Count),
		})
		v.rates += enough(k.PlayPressure) + groupRates(k.Roles)
		blank := make([]any, 6)
		v.sheet.add(append(append([]any{"kind", k.Name, "by play", k.Plays, nil, k.FreedLooper}, blank...), rateCells(k.PlayPressure)...)...)
		for _, g := range k.Roles {
			v.sheet.add(append(append([]any{"kind", k.Name, g.Name, nil, g.Reps, nil}, rateCells(g.Won)...), rateCells(g.Pressure)...)...)
			g.Name = k.Name + ", " + g.Name
			roles.rows = append(roles.rows, groupRow(g))
		}
	}
	for _, g := range result.Callers {
		v.sheet.add(append(append([]any{"caller", g.Name, nil, nil, g.Reps, nil}, rateCells(g.Won)...), rateCells(g.Pressure)...)...)
	}
	v.rates += groupRates(result.Callers)
	if len(kinds.rows) == 0 {
		v.lead = append(v.lead, "None of the chosen reps counts.")
		return v, nil
	}
	v.blocks = []block{kinds, roles, groupsBlock(breakdown{"caller", result.Callers})}
	v.lead = append(v.lead, fmt.Sprintf("Two rushers of one stunt are two reps of one play: %s in all.", plural(result.Kinds[0].Plays, "play")))
	return v, nil
}
