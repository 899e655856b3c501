package tags

import (
	"cmp"
	"slices"
	"strings"
)

// Called is how p is named in numbers over a season: as [Person.Shown], with every jersey
// he wore (#91/#90 Teo Marlow). No two people are called the same: those of one name and
// number are told apart by their teams or else by their ids. Outside a season it is Shown.
func (p *Person) Called() string { return cmp.Or(p.called, p.Shown()) }

// player is who a person is over games: one id in one team.
type player struct{ team, id string }

// callPeople settles how the people of games are called.
func callPeople(games []*Game) {
	people := map[player][]*Person{}
	// A game of another staff's has an us of its own.
	us := ""
	for _, g := range games {
		if us == "" && g.Kind != "scout" {
			us = g.Us
		}
	}
	for _, g := range games {
		for _, p := range g.People {
			who := player{p.Team, p.ID}
			if g.Ours(p) {
				who.team = ""
				if g.Kind == "scout" && g.Us != us {
					who.team = g.Us
				}
			}
			people[who] = append(people[who], p)
		}
	}
	called := map[string][]player{}
	for who, as := range people {
		name := calledAs(as)
		called[name] = append(called[name], who)
	}
	for name, all := range called {
		for _, who := range all {
			for _, p := range people[who] {
				p.called = name + apart(who, all)
			}
		}
	}
}

// calledAs is the jerseys and the names that games know one player by.
func calledAs(as []*Person) string {
	var jerseys, names []string
	for _, p := range as {
		if p.Jersey != "" {
			jerseys = append(jerseys, "#"+p.Jersey)
		}
		if p.Name != "" {
			names = append(names, p.Name)
		}
	}
	if len(jerseys)+len(names) == 0 {
		return as[0].ID
	}
	both := func(words []string) string {
		slices.Sort(words)
		return strings.Join(slices.Compact(words), "/")
	}
	return strings.TrimSpace(both(jerseys) + " " + both(names))
}

// apart is what tells who from the others who would be called the same; empty where there
// are none.
func apart(who player, all []player) string {
	if len(all) == 1 {
		return ""
	}
	for _, other := range all {
		if other != who && other.team == who.team {
			return " (" + who.id + ")"
		}
	}
	return " (" + cmp.Or(who.team, "us") + ")"
}
