package query

import "regexp"

var (
	quoted = regexp.MustCompile(`'(\\.|[^'\\])*'|"(\\.|[^"\\])*"`)
	names  = regexp.MustCompile(`[a-z_][a-z0-9_]*`)
)

// ByResult reports whether q chooses reps by how they ended: of such a choice no rate can
// be told, because it says what was chosen and not what happens.
func (q *Query) ByResult() bool {
	return q.asks(func(f Fact) bool { return f.result })
}

// AsksFor reports whether q chooses by a fact.
func (q *Query) AsksFor(name string) bool {
	return q.asks(func(f Fact) bool { return f.Name == name })
}

// asks reports whether is holds of any fact that q chooses by.
func (q *Query) asks(is func(Fact) bool) bool {
	for _, t := range q.terms {
		for _, name := range names.FindAllString(quoted.ReplaceAllString(t.cel, ""), -1) {
			if i, ok := q.registry.byCEL[name]; ok && is(q.registry.Facts[i]) {
				return true
			}
		}
	}
	return false
}
