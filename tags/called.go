package tags

import (
	"cmp"
	"slices"
	"strings"
)

// identity is who a person is over the games of a season.
type identity struct {
	called string
	key    string
	side   string // his team, empty of our own
	taken  uint8  // a bit each for id, number and name that is somebody else's key
}

// Called is how p is named in numbers over a season: as [Person.Shown], with every jersey
// he wore (#91/#90 Teo Marlow). No two people are called the same: those of one name and
// number are told apart by their teams or else by their ids. Outside a season it is Shown.
func (p *Person) Called() string { return cmp.Or(p.over.called, p.Shown()) }

// Key is who p is over the games of a season: his id, with his team where the games know men of
// other teams by it too. Outside a season it is his id.
func (p *Person) Key() string { return cmp.Or(p.over.key, p.ID) }

// GoesBy is every text by which p may be asked for: his key, then his id, number and name where
// they are not somebody else's key.
func (p *Person) GoesBy() []string {
	texts := []string{p.Key()}
	for i, text := range [...]string{p.ID, p.Jersey, p.Name} {
		if text != "" && text != texts[0] && p.over.taken&(1<<i) == 0 {
			texts = append(texts, text)
		}
	}
	return texts
}

// OurSide reports whether p is of our own team, over the games of a season; outside one it says so
// of everybody.
func (p *Person) OurSide() bool { return p.over.side == "" }

// SamePlayer reports whether two games speak of one player, whom they may know by several ids if
// his team, name and number are the same.
func SamePlayer(p, q *Person) bool {
	return p.Key() == q.Key() || p.Name != "" && p.Name == q.Name && p.Jersey == q.Jersey && p.over.side == q.over.side
}

// Theirs reports whether p is of the side that our rushers meet in g: of another team than g's own or,
// over the games of a season, of no team and one who blocks or throws.
func (g *Game) Theirs(p *Person) bool {
	return !g.Ours(p) || p.Team == "" && p.over.side == g.TheirTeam()
}

// player identifies a person over games: an id within a team. Our own team is empty.
type player struct{ team, id string }

// callPeople settles who the people of games are over all of them, and how they are called.
func callPeople(games []*Game) {
	people := map[player][]*Person{}
	// A game of another staff's has an us of its own.
	us := ""
	for _, g := range games {
		if us == "" && !g.Scouted() {
			us = g.Us
		}
	}
	for _, g := range games {
		facing := g.facing()
		for _, p := range g.People {
			who := player{p.Team, p.ID}
			switch {
			case p.Team == "" && facing[p] && !g.Practised():
				who.team = g.TheirTeam()
			case g.Ours(p):
				who.team = ""
				if g.Scouted() && g.Us != us {
					who.team = g.Us
				}
			}
			people[who] = append(people[who], p)
		}
	}
	keyPeople(people)
	called := map[string][]player{}
	for who, as := range people {
		name := calledAs(as)
		called[name] = append(called[name], who)
	}
	for name, all := range called {
		for _, who := range all {
			for _, p := range people[who] {
				p.over.called = name + apart(who, all)
			}
		}
	}
}

// facing is the people of g who block or throw: of the side that our rushers meet.
func (g *Game) facing() map[*Person]bool {
	all := map[*Person]bool{}
	for _, play := range g.Plays {
		if play.Passer != nil {
			all[play.Passer] = true
		}
		for _, r := range play.Reps {
			if r.Blocker != nil {
				all[r.Blocker] = true
			}
		}
	}
	return all
}

// keyPeople gives people their keys.
func keyPeople(people map[player][]*Person) {
	players := map[string]int{} // by id
	for who := range people {
		players[who.id]++
	}
	keys := map[string]player{}
	for who, as := range people {
		key := who.id
		if players[who.id] > 1 && who.team != "" {
			key += " (" + who.team + ")"
		}
		keys[key] = who
		for _, p := range as {
			p.over.key, p.over.side = key, who.team
		}
	}
	for who, as := range people {
		for _, p := range as {
			p.over.taken = 0
			for i, text := range [...]string{p.ID, p.Jersey, p.Name} {
				if other, ok := keys[text]; ok && other != who {
					p.over.taken |= 1 << i
				}
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
