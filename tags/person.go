package tags

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// WhoIs returns the people whom text means, in order of id: those of that key, else of that id,
// else of that number (#91 is 91), else of that name, else those with text as a part of the name,
// such as the last name. Names are compared without regard to capitals and marks on letters.
func WhoIs(text string, people []*Person) []*Person {
	name := foldName(text)
	for _, means := range []func(*Person) bool{
		func(p *Person) bool { return p.Key() == text },
		func(p *Person) bool { return p.ID == text },
		func(p *Person) bool { return p.Jersey != "" && p.Jersey == strings.TrimPrefix(text, "#") },
		func(p *Person) bool { return name != "" && foldName(p.Name) == name },
		func(p *Person) bool {
			return name != "" && strings.Contains(" "+foldName(p.Name)+" ", " "+name+" ")
		},
	} {
		var found []*Person
		for _, p := range people {
			if means(p) {
				found = append(found, p)
			}
		}
		if found != nil {
			slices.SortFunc(found, func(a, b *Person) int { return strings.Compare(a.ID, b.ID) })
			return found
		}
	}
	return nil
}

// foldName is a name in small letters, with no marks on them and one space between words.
func foldName(name string) string {
	letters := strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r), strings.ContainsRune("'`.\u2018\u2019\u02bb\u02bc", r):
			return -1
		case r == '-':
			return ' '
		}
		return unicode.ToLower(r)
	}, norm.NFD.String(name))
	return strings.Join(strings.Fields(letters), " ")
}

// bothOf is people as a fault lists them: "both #91 Teo Marlow (marlow) and #91 (oke)".
func bothOf(people []*Person) string {
	shown := make([]string, len(people))
	for i, p := range people {
		shown[i] = p.ID
		if said := p.Shown(); said != p.ID {
			shown[i] = said + " (" + p.ID + ")"
		}
	}
	switch n := len(shown); n {
	case 1:
		return shown[0]
	case 2:
		return "both " + shown[0] + " and " + shown[1]
	default:
		return strings.Join(shown[:n-1], ", ") + " and " + shown[n-1]
	}
}

// OnSide divides people of g into those of a side, ours or theirs, and the others. Where
// everybody is of one side, as in practice, that is the side. People of no team are on a side
// where nobody else among them is.
func (g *Game) OnSide(ours bool, people []*Person) (there, elsewhere []*Person) {
	var teamless []*Person
	for _, p := range people {
		switch us := p.Team == "us" || p.Team != "" && p.Team == g.Us; {
		case p.Team == "":
			teamless = append(teamless, p)
		case us == ours || g.Practised():
			there = append(there, p)
		default:
			elsewhere = append(elsewhere, p)
		}
	}
	if there == nil {
		there = teamless
	}
	return there, elsewhere
}
