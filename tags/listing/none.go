package listing

import (
	"fmt"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// None says that nothing matches, and which term it is that nothing meets.
func (l *List) None(q *query.Query, season *tags.Season) (string, error) {
	said := fmt.Sprintf("no %s of %d matches%s", l.Noun, l.Among, strings.Replace(l.Words(), " more", "", 1))
	counts, err := q.ByTerm(season, l.Noun == "play")
	if err != nil {
		return "", err
	}
	var alone []string
	for _, c := range counts {
		if c.N > 0 {
			alone = append(alone, fmt.Sprintf("%s %d", c.Term, c.N))
			continue
		}
		said += fmt.Sprintf("\n%s by itself matches no %s", c.Term, l.Noun)
		if c.Hint != "" {
			said += "; " + c.Hint
		}
	}
	if len(alone) == len(counts) && len(counts) > 1 {
		said += fmt.Sprintf("\n%ss for each term by itself: %s", l.Noun, strings.Join(alone, ", "))
	}
	if l.Noun != "play" {
		if n := len(q.Plays(season).Plays); n > 0 {
			said += fmt.Sprintf("\n--plays finds %s", tags.Count(n, "play"))
		}
	}
	return said, nil
}
