package query

import (
	"regexp"
	"slices"
	"strings"
)

// results are the facts that tell how a rush ended.
var results = []string{
	"battle", "outcome", "credit", "how", "penalty", "pressure", "sack", "beat-in-time", "time-to-beat", "production",
	"assignment", "technique", "effort",
}

var (
	quoted = regexp.MustCompile(`'(\\.|[^'\\])*'|"(\\.|[^"\\])*"`)
	names  = regexp.MustCompile(`[a-z_][a-z0-9_]*`)
)

// ByResult reports whether q chooses reps by how they ended: of such a choice no rate can
// be told, because it says what was chosen and not what happens.
func (q *Query) ByResult() bool {
	for _, t := range q.terms {
		for _, name := range names.FindAllString(quoted.ReplaceAllString(t.cel, ""), -1) {
			if slices.Contains(results, strings.ReplaceAll(name, "_", "-")) {
				return true
			}
		}
	}
	return false
}
