package exchange

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// bringsPeople reports whether the men of the sheet become the people of the tag file: it has none
// with whom they could be taken for one another. In practice the sheet does not tell of which side
// they are.
func (r *reader) bringsPeople() bool { return len(r.game.People) == 0 && !r.game.Practised() }

// person is the id of the one who is meant by an id, a number or a name on our side or theirs, or
// by a number and a name.
func (r *reader) person(text string, ours bool) (id, want string) {
	if _, there := r.game.People[text]; !there && isNobody(text) {
		return "", "want who rushed, by number or name: without him the row has no rep"
	}
	if r.bringsPeople() {
		return r.newPerson(text, ours)
	}
	return r.known(text, ours, personOf(text, ours))
}

// known is the id of the one among the tag file's people who is meant; as is him if he were new.
func (r *reader) known(text string, ours bool, as passer) (id, want string) {
	if _, ok := r.game.People[text]; ok {
		return text, ""
	}
	all := slices.Collect(maps.Values(r.game.People))
	switch {
	case as.jersey != "" && as.name != "":
		// Of his name, he may be the one of his number, or one whose number the file does not have.
		text = as.name
		numbered := func(jersey string) []*tags.Person {
			return slices.DeleteFunc(slices.Clone(all), func(o *tags.Person) bool { return o.Jersey != jersey })
		}
		if found, _ := r.game.OnSide(ours, tags.WhoIs(text, numbered(as.jersey))); len(found) > 0 {
			all = numbered(as.jersey)
		} else {
			all = numbered("")
		}
	case as.jersey != "":
		text = as.jersey
	}
	meant := tags.WhoIs(text, all)
	if as.name+as.jersey == "" { // a position: of the man nothing else is known
		meant = slices.DeleteFunc(all, func(o *tags.Person) bool { return o.Position != as.pos || o.Name+o.Jersey != "" })
	}
	switch found, _ := r.game.OnSide(ours, meant); len(found) {
	case 0:
		side := "theirs"
		if ours {
			side = "ours"
		}
		if r.game.Practised() {
			as.team = "us"
		}
		want = fmt.Sprintf("want one of %s among the game's people, by id, number or name", side)
		if _, taken := r.game.People[as.id]; as.id != "" && !taken {
			if line, err := yaml.Marshal(as.node(r.game.Opponent)); err == nil {
				want += fmt.Sprintf(": write under people %s: %s", as.id, strings.TrimSpace(string(line)))
			}
		}
		return "", want
	case 1:
		return found[0].ID, ""
	default:
		return "", fmt.Sprintf("it may be %s or %s: write the id", found[0].ID, found[1].ID)
	}
}

// positions is what a sheet may say of a blocker for his number or name (common practice).
var positions = strings.Fields("LT LG C RG RT TE")

// personOf is "72" or "#72 Al" as a person of ours or theirs, and "RT" as theirs of that position;
// no id where none can be made of it.
func personOf(text string, ours bool) passer {
	p := passerOf(text)
	p.team, p.pos = "", ""
	if ours {
		p.team = "us"
	}
	switch {
	case p.jersey != "" && idOf(p.name) == "":
		p.id = map[bool]string{true: "us", false: "them"}[ours] + p.jersey
	case !ours && slices.Contains(positions, strings.ToUpper(text)):
		p.pos, p.name = strings.ToUpper(text), ""
	}
	return p
}

// readNames reads whom the columns of people name, for [reader.whole].
func (r *reader) readNames(l layout) {
	r.named = map[string][]passer{}
	for i, c := range l.columns {
		if !slices.Contains([]string{keyRusher, "blocker", "qb"}, c.key) {
			continue
		}
		for _, cells := range r.sheet.Rows[l.heading+1:] {
			if i >= len(cells) {
				continue
			}
			p := passerOf(plain(cells[i]))
			same := func(o passer) bool { return o.name == p.name && o.jersey == p.jersey }
			if p.name != "" && p.id != "" && !slices.ContainsFunc(r.named[c.key], same) {
				r.named[c.key] = append(r.named[c.key], p)
			}
		}
	}
}

// whole is p, of a column of people, under the whole name that another row has for him, where his is
// a part of one man's there, such as his last name, and their numbers do not differ.
func (r *reader) whole(column string, p passer) (_ passer, want string) {
	var longer []*tags.Person
	for _, o := range r.named[column] {
		if len(o.name) > len(p.name) && !p.isNamed(o.name) && (p.jersey == "" || o.jersey == "" || o.jersey == p.jersey) {
			longer = append(longer, &tags.Person{ID: o.id, Name: o.name, Jersey: o.jersey})
		}
	}
	found := tags.WhoIs(p.name, longer)
	if p.jersey != "" && slices.ContainsFunc(found, func(o *tags.Person) bool { return o.Jersey != "" }) {
		found = slices.DeleteFunc(found, func(o *tags.Person) bool { return o.Jersey == "" })
	}
	found = slices.CompactFunc(found, func(a, b *tags.Person) bool { return a.ID == b.ID })
	switch len(found) {
	case 0:
		return p, ""
	case 1:
		p.id, p.name = found[0].ID, found[0].Name
		return p, ""
	default:
		return p, fmt.Sprintf("it may be %s or %s: write number and name in each row", found[0].Shown(), found[1].Shown())
	}
}

// newPerson is the id that one of ours or theirs goes by in a new tag file. One of a number and a
// name is another man than one of the same number and another name.
func (r *reader) newPerson(text string, ours bool) (id, want string) {
	p := personOf(text, ours)
	if p.id == "" {
		return "", "want the number of one man, or a name with some Latin letters"
	}
	column := "blocker"
	if ours {
		column = keyRusher
	}
	if p, want = r.whole(column, p); want != "" {
		return "", want
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
		if have.id == text || p.name+p.jersey == "" && have.id == p.id && have.pos == p.pos {
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
		return cmp.Or(p.name, p.pos)
	}
	return strings.TrimSpace("#" + p.jersey + " " + p.name)
}

// warnOpponent warns where the sheet brings men of the opponent's and nothing says who that is.
func (r *reader) warnOpponent(l layout, entries []*entry) {
	theirs := slices.ContainsFunc(r.passers, func(p passer) bool { return p.team == "" })
	if theirs && cmp.Or(r.game.Opponent, opponentOf(entries)) == "" {
		r.refused.Warn(r.sheet.at(l.heading, 0), "nothing says whom the game is against: write opponent: and his name under game in the tag file, and their men are his")
	}
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
