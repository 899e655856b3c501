package report

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// Refuse refuses tables of how rushes ended, or of what a mark says, where reps are chosen, or
// broken down, by that: all who won did win. Its error is a [tags.RequestError].
func Refuse(tables []Definition, q *query.Query, by []query.Fact) error {
	if err := RefuseMeasured(tables, q, by); err != nil {
		return err
	}
	var refused, others []string
	for _, d := range tables {
		if d.ofEnds {
			refused = append(refused, d.Name)
		}
	}
	if len(refused) == 0 {
		return nil
	}
	for _, d := range Definitions() {
		if !d.ofEnds {
			others = append(others, d.Name)
		}
	}
	if err := RefuseChoice(q); err != nil {
		return tags.WrongRequest(fmt.Errorf("%w, or ask for the table %s", err, tags.Either(others)))
	}
	for _, f := range by {
		if f.GroupsByResult() {
			return tags.WrongRequest(fmt.Errorf("%s tells how reps ended, so of groups by it the table %s would only say how they were made: break down by what was there before, or ask for the table %s; find --by counts",
				f.Name, refused[0], tags.Either(others)))
		}
	}
	return nil
}

// RefuseMeasured refuses tables of what a mark says where reps are chosen, or broken down, by that.
// Its error is a [tags.RequestError].
func RefuseMeasured(tables []Definition, q *query.Query, by []query.Fact) error {
	for _, d := range tables {
		if of := d.measures; of != "" && (q.AsksFor(of) || slices.ContainsFunc(by, func(f query.Fact) bool { return f.Includes(of) })) {
			return tags.WrongRequest(fmt.Errorf("the table %s is made of %s, so of reps chosen or broken down by that it would only say what was chosen: leave %[2]s out, or ask for other tables", d.Name, of))
		}
	}
	return nil
}

// RefuseChoice refuses rates of reps that are chosen by how they ended. Its error is a
// [tags.RequestError].
func RefuseChoice(q *query.Query) error {
	asked := q.ResultTerms()
	if asked == nil {
		return nil
	}
	choose := "chooses"
	if len(asked) > 1 {
		choose = "choose"
	}
	said := strings.Join(asked, " and ")
	return tags.WrongRequest(fmt.Errorf("%s %s reps by how they ended, so rates of them would only say what was chosen: leave %s out", said, choose, said))
}
