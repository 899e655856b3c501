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
	note := func(p *tags.Person) {
		if p == nil {
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
			note(f.who(subject{p, nil}))
			continue
		}
		for _, rep := range p.Reps {
			note(f.who(subject{p, rep}))
		}
	}
	r.named[f.Name] = persons
	return persons
}

// known is those whom a fact names and who go by text: ours where there are any.
func (r *Registry) known(f Fact, text string) []*tags.Person {
	found := tags.WhoIs(text, r.persons(f))
	if ours := slices.DeleteFunc(slices.Clone(found), func(p *tags.Person) bool { return !p.OurSide() }); len(ours) > 0 {
		return ours
	}
	return found
}

// who returns the keys of the person whom text means, by id, number or name, among those whom a
// fact names; ours come before others. A player whom games know by several ids has several keys, if
// his name and number are the same. Where text means nobody or more than one, what says so.
func (r *Registry) who(f Fact, text string) (keys []string, what, hint string) {
	found := r.known(f, text)
	if found == nil {
		return nil, fmt.Sprintf("no %s goes by %q", f.Name, text), tags.DidYouMean(text, r.Values(f))
	}
	var said []string
	for i, p := range found {
		if !slices.Contains(keys, p.Key()) {
			keys = append(keys, p.Key())
		}
		if !slices.ContainsFunc(found[:i], func(q *tags.Person) bool { return tags.SamePlayer(p, q) }) {
			said = append(said, named(p))
		}
	}
	if len(said) > 1 {
		var terms []string
		for _, key := range keys {
			terms = append(terms, tags.TermOf(f.Name, key))
		}
		all := strings.Join(said, " and ")
		if len(said) == 2 {
			all = "both " + all
		}
		return nil, fmt.Sprintf("%s %q is %s", f.Name, text, all), "want " + tags.Either(terms)
	}
	return keys, "", ""
}

// named is a person as a list of those who may be meant tells him from the others.
func named(p *tags.Person) string {
	said := p.Called()
	if said == p.Shown() && p.Team != "" && p.Team != "us" {
		said += " of " + p.Team
	}
	return said
}
