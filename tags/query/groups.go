package query

import (
	"slices"
	"strings"

	"trenchcut/tags"
)

// Crossed is facts as one, whose groups are every combination of theirs that occurs: the
// first move and the set it was shown to. One fact stays itself. A crossed fact is for
// groups, and can be asked for by no term.
func Crossed(facts ...Fact) Fact {
	if len(facts) == 1 {
		return facts[0]
	}
	c := Fact{Kind: Word, OfPlay: true, crossed: facts, of: func(subject) (any, bool) { return nil, false }}
	var names, docs []string
	for _, f := range facts {
		names, docs = append(names, f.Name), append(docs, f.Doc)
		c.OfPlay = c.OfPlay && f.OfPlay
	}
	c.Name, c.Doc = strings.Join(names, groupSeparator), strings.Join(docs, "; ")
	return c
}

// IsCrossed reports whether the fact is several as one, which has groups and no values.
func (f Fact) IsCrossed() bool { return f.crossed != nil }

// Includes reports whether the fact is the one of a name, or is crossed with it.
func (f Fact) Includes(name string) bool {
	return f.Name == name || slices.ContainsFunc(f.crossed, func(c Fact) bool { return c.Includes(name) })
}

// groupSeparator stands between the names of what is crossed.
const groupSeparator = ", "

// crossedGroups is the combinations of the groups of facts; none where nothing is known.
func crossedGroups(facts []Fact, r *tags.Rep) []string {
	groups := []string{""}
	known := false
	for i, f := range facts {
		own := f.Groups(r)
		known = known || own != nil
		if own == nil {
			own = []string{tags.NotTagged}
		}
		var longer []string
		for _, before := range groups {
			for _, name := range own {
				if i > 0 {
					name = before + groupSeparator + name
				}
				longer = append(longer, name)
			}
		}
		groups = longer
	}
	if !known {
		return nil
	}
	return groups
}

// Groups is the names of the groups that a rep belongs to by f; none where f is not known
// of it. A list that is known to be empty is "none"; a person's is named as he is called.
func (f Fact) Groups(r *tags.Rep) []string {
	if f.crossed != nil {
		return crossedGroups(f.crossed, r)
	}
	if f.who != nil {
		if p := f.who(subject{r.Play, r}); p != nil {
			return []string{p.Called()}
		}
		return nil
	}
	value, ok := f.OfRep(r)
	if !ok {
		return nil
	}
	if list, ok := value.([]string); ok && f.Kind == List {
		if len(list) == 0 {
			return []string{"none"} // which is more than not tagged
		}
		return list
	}
	return []string{f.Format(value)}
}
