package query

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
)

var (
	quoted = regexp.MustCompile(`'(\\.|[^'\\])*'|"(\\.|[^"\\])*"`)
	names  = regexp.MustCompile(`[a-z_][a-z0-9_]*`)

	oneTagged = regexp.MustCompile(`(?:` + quoted.String() + `)\s+in\s+` + taggedName + `\b`)
)

// ByResult reports whether q chooses reps by how they ended: of such a choice no rate can
// be told, because it says what was chosen and not what happens.
func (q *Query) ByResult() bool { return len(q.ResultTerms()) > 0 }

// ResultTerms is the terms by which q chooses reps by how they ended, and its expression
// where that does, as they were asked for.
func (q *Query) ResultTerms() []string {
	var asked []string
	for _, t := range q.terms {
		if q.registry.names(t, Fact.Result) || q.registry.namesTagged(t, Fact.Result) {
			asked = append(asked, cmp.Or(t.text, t.words))
		}
	}
	return asked
}

// Result reports whether the fact tells how a rush ended, or how it was judged afterwards. A
// crossed fact does where any of its facts does.
func (f Fact) Result() bool { return f.result || slices.ContainsFunc(f.crossed, Fact.Result) }

// GroupsByResult reports whether groups by the fact tell how rushes ended: it does, or it says what
// is tagged, which of some things is so of wins alone.
func (f Fact) GroupsByResult() bool {
	return f.Result() || f.Name == taggedName || slices.ContainsFunc(f.crossed, Fact.GroupsByResult)
}

// During reports whether the fact was decided during the rush, by what the blocker gave, such
// as his last move. A crossed fact was where any of its facts was.
func (f Fact) During() bool { return f.during || slices.ContainsFunc(f.crossed, Fact.During) }

// DuringTerms is the facts that q chooses by and that were decided during the rush, by name.
func (q *Query) DuringTerms() []string {
	var asked []string
	for _, f := range q.registry.Facts {
		if f.during && q.AsksFor(f.Name) {
			asked = append(asked, f.Name)
		}
	}
	return asked
}

// AsksFor reports whether q chooses by a fact.
func (q *Query) AsksFor(name string) bool {
	return slices.ContainsFunc(q.terms, func(t term) bool {
		return q.registry.names(t, func(f Fact) bool { return f.Name == name })
	})
}

// KeysOf is the facts that a term asks about, by name; none where it is no term.
func (r *Registry) KeysOf(text string) []string {
	t, err := r.parseTerm(text)
	if err != nil {
		return nil
	}
	var keys []string
	for _, f := range r.Facts {
		if r.names(t, func(named Fact) bool { return named.Name == f.Name }) {
			keys = append(keys, f.Name)
		}
	}
	return keys
}

// names reports whether a term names any fact of which is holds.
func (r *Registry) names(t term, is func(Fact) bool) bool {
	for _, name := range names.FindAllString(quoted.ReplaceAllString(t.cel, ""), -1) {
		if i, ok := r.byCEL[name]; ok && is(r.Facts[i]) {
			return true
		}
	}
	return false
}

// namesTagged reports whether a term asks if any fact is tagged of which is holds: only of
// wins is a beat marked. One that asks otherwise than by "name" in tagged may ask for any.
func (r *Registry) namesTagged(t term, is func(Fact) bool) bool {
	asked := 0
	for _, name := range names.FindAllString(quoted.ReplaceAllString(t.cel, ""), -1) {
		if name == taggedName {
			asked++
		}
	}
	if asked != len(oneTagged.FindAllString(t.cel, -1)) {
		return true
	}
	if asked == 0 {
		return false
	}
	for _, text := range quoted.FindAllString(t.cel, -1) {
		if f, ok := r.Find(strings.Trim(text, `"'`)); ok && is(f) {
			return true
		}
	}
	return false
}
