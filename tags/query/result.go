package query

import "regexp"

var (
	quoted = regexp.MustCompile(`'(\\.|[^'\\])*'|"(\\.|[^"\\])*"`)
	names  = regexp.MustCompile(`[a-z_][a-z0-9_]*`)
)

// ByResult reports whether q chooses reps by how they ended: of such a choice no rate can
// be told, because it says what was chosen and not what happens.
func (q *Query) ByResult() bool {
	for _, t := range q.terms {
		for _, name := range names.FindAllString(quoted.ReplaceAllString(t.cel, ""), -1) {
			if i, ok := q.registry.byCEL[name]; ok && q.registry.Facts[i].result {
				return true
			}
		}
	}
	return false
}
