package exchange

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// person is the id of the one who is meant by an id, a number or a name on our side or theirs, or
// by a number and a name.
func (r *reader) person(text string, ours bool) (id, want string) {
	if _, ok := r.game.People[text]; ok {
		return text, ""
	}
	if isNobody(text) {
		return "", "want who rushed, by number or name: without him the row has no rep"
	}
	if r.game.ID == "" {
		return r.newPerson(text, ours)
	}
	as, all := text, slices.Collect(maps.Values(r.game.People))
	if p := passerOf(text); p.jersey != "" && p.name != "" {
		text = p.name
		all = slices.DeleteFunc(all, func(o *tags.Person) bool { return o.Jersey != p.jersey })
	}
	switch found, _ := r.game.OnSide(ours, tags.WhoIs(text, all)); len(found) {
	case 0:
		side := "theirs"
		if ours {
			side = "ours"
		}
		want = fmt.Sprintf("want one of %s among the game's people, by id, number or name", side)
		if p := personOf(as, ours); p.id != "" {
			if line, err := yaml.Marshal(p.node(r.game.Opponent)); err == nil {
				want += fmt.Sprintf(": write under people %s: %s", p.id, strings.TrimSpace(string(line)))
			}
		}
		return "", want
	case 1:
		return found[0].ID, ""
	default:
		return "", fmt.Sprintf("it may be %s or %s: write the id", found[0].ID, found[1].ID)
	}
}

// personOf is "72" or "#72 Al" as a person of ours or theirs; no id where none can be made of it.
func personOf(text string, ours bool) passer {
	p := passerOf(text)
	p.team, p.pos = "", ""
	if ours {
		p.team = "us"
	}
	if p.jersey != "" && idOf(p.name) == "" {
		p.id = map[bool]string{true: "us", false: "them"}[ours] + p.jersey
	}
	return p
}

// newPerson is the id that one of ours or theirs goes by in a new tag file. One of a number and a
// name is another man than one of the same number and another name.
func (r *reader) newPerson(text string, ours bool) (id, want string) {
	p := personOf(text, ours)
	if p.id == "" {
		return "", "want a number, or a name with some Latin letters"
	}
	var named, numbered []*passer // of his name, of his number
	for i := range r.passers {
		have := &r.passers[i]
		if have.team != p.team {
			if have.id == p.id {
				return "", "the sheet has him on the other side: write the tag file with its people first"
			}
			continue
		}
		if have.id == text {
			return have.id, ""
		}
		if have.isNamed(p.name) {
			named = append(named, have)
		}
		if have.jersey == p.jersey && p.jersey != "" {
			numbered = append(numbered, have)
		}
	}
	for _, have := range named {
		if slices.Contains(numbered, have) {
			return have.id, ""
		}
	}
	bare := slices.IndexFunc(numbered, func(have *passer) bool { return have.name == "" })
	open := named
	switch {
	case len(named) == 0 && len(numbered) == 1 && p.name == "":
		return numbered[0].id, ""
	case len(named) == 0 && bare >= 0 && p.name != "":
		numbered[bare].name = p.name // he keeps his id: rows above name it
		return numbered[bare].id, ""
	case len(named) == 1 && bare < 0 && (p.jersey == "" || named[0].jersey == ""):
		if p.jersey != "" {
			named[0].jersey = p.jersey
		}
		return named[0].id, ""
	case len(named) == 0 && p.name == "":
		open = numbered
	}
	if len(open) > 0 {
		var may []string
		for _, have := range open {
			may = append(may, have.shown())
		}
		return "", fmt.Sprintf("the sheet has %s too, and who is meant is open: write number and name in each row, or the tag file with its people first", strings.Join(may, " and "))
	}
	wanted := p.id
	for n := 2; slices.ContainsFunc(r.passers, func(have passer) bool { return have.id == p.id }); n++ {
		p.id = fmt.Sprintf("%s-%d", wanted, n)
	}
	r.passers = append(r.passers, p)
	return p.id, ""
}

// isNamed reports whether name is his, however it is capitalised and pointed.
func (p passer) isNamed(name string) bool {
	return name != "" && (strings.EqualFold(p.name, name) || idOf(name) != "" && idOf(p.name) == idOf(name))
}

// shown is him as a sheet writes him.
func (p passer) shown() string {
	if p.jersey == "" {
		return p.name
	}
	return strings.TrimSpace("#" + p.jersey + " " + p.name)
}

// warnNumbers warns of numbers that several of one side wear in a new tag file: a number alone is
// taken for the first of them in the rows above the second.
func (r *reader) warnNumbers(l layout) {
	for i, p := range r.passers {
		same := func(o passer) bool { return o.team == p.team && o.jersey == p.jersey && p.jersey != "" }
		if slices.ContainsFunc(r.passers[:i], same) {
			continue
		}
		shown := []string{p.shown()}
		for _, o := range r.passers[i+1:] {
			if same(o) {
				shown = append(shown, o.shown())
			}
		}
		if len(shown) > 1 {
			r.refused.Warn(r.sheet.at(l.heading, 0), "%s wear one number: where they are one man, write him the same in each row", strings.Join(shown, " and "))
		}
	}
}
