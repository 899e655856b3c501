package query

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// persons is everybody whom a fact names in the season, in the order of the games; one whom
// games name or number otherwise comes as often.
func (r *Registry) persons(f Fact) []*tags.Person {
	if known, ok := r.named[f.Name]; ok {
		return known
	}
	seen := map[tags.Person]bool{}
	var persons []*tags.Person
	note := func(g *tags.Game, value any, ok bool) {
		names, is := value.([]string)
		if !ok || !is {
			return
		}
		p, ok := g.People[names[0]]
		if !ok {
			return
		}
		key := *p
		key.Pos, key.Runs, key.Position = tags.Pos{}, false, ""
		if !seen[key] {
			seen[key] = true
			persons = append(persons, p)
		}
	}
	for _, p := range r.season.Plays() {
		if f.OfPlay {
			value, ok := f.OfPlayAlone(p)
			note(p.Game, value, ok)
			continue
		}
		for _, rep := range p.Reps {
			value, ok := f.OfRep(rep)
			note(p.Game, value, ok)
		}
	}
	r.named[f.Name] = persons
	return persons
}

// who is the ids of the one whom text means, by id, number or name, among those a fact
// names; or what is wrong, where that is nobody or more than one. Games may know one player
// by several ids, if his name and number are the same.
func (r *Registry) who(f Fact, text string) (ids []string, what, hint string) {
	found := tags.WhoIs(text, r.persons(f))
	if found == nil {
		return nil, fmt.Sprintf("no %s goes by %q", f.Name, text), tags.DidYouMean(text, r.Values(f))
	}
	var said []string
	for i, p := range found {
		if !slices.Contains(ids, p.ID) {
			ids = append(ids, p.ID)
		}
		if !slices.ContainsFunc(found[:i], func(q *tags.Person) bool { return samePlayer(p, q) }) {
			said = append(said, named(p))
		}
	}
	if len(said) > 1 {
		var terms []string
		for _, id := range ids {
			terms = append(terms, tags.TermOf(f.Name, id))
		}
		all := strings.Join(said, " and ")
		if len(said) == 2 {
			all = "both " + all
		}
		return nil, fmt.Sprintf("%s %q is %s", f.Name, text, all), "want " + tags.Either(terms)
	}
	return ids, "", ""
}

// samePlayer reports whether two games speak of one player.
func samePlayer(p, q *tags.Person) bool {
	return p.ID == q.ID || p.Name != "" && p.Name == q.Name && p.Jersey == q.Jersey
}

// named is a person as a list of those who may be meant tells him from the others.
func named(p *tags.Person) string {
	said := p.Shown()
	if p.Team != "" && p.Team != "us" {
		said += " of " + p.Team
	}
	return said
}
