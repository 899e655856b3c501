package query

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Check finds the choices and the reads of a vocabulary that mean nothing in this
// language. A key that is like none may be a column that the season does not have, so it
// is only a warning there.
func Check(v *tags.Vocabulary, season *tags.Season) (tags.Faults, error) {
	rs := newReading(NewRegistry(v, season))
	var faults tags.Faults
	for _, name := range slices.Sorted(maps.Keys(v.Choices)) {
		choice := v.Choices[name]
		if len(choice.Terms) == 0 {
			faults.Add(choice.Pos, "choice %s has no terms: want %[1]s: counter=yes path=inside", name)
		}
		for _, t := range choice.Terms {
			_, err := rs.registry.parseTermIn(t.Text, []string{name})
			if err == nil || err.Term != t.Text && !errors.Is(err.err, errLoop) {
				continue // what is wrong within a choice that it names is told there
			}
			faults = append(faults, fault(t, *err))
		}
	}
	q := rs.query()
	for _, rd := range v.Reads {
		_, fs, err := q.parseRead(rd)
		if err != nil {
			return faults, err
		}
		faults = append(faults, fs...)
	}
	faults.Sort()
	return faults, nil
}

// parseRead reads the terms and the expression of a read; q knows no reads.
func (q *Query) parseRead(rd tags.Read) ([]term, tags.Faults, error) {
	var terms []term
	var faults tags.Faults
	for _, t := range rd.When {
		parsed, err := q.registry.parseTermIn(t.Text, []string{})
		if err != nil {
			faults = append(faults, fault(t, *err))
		}
		terms = append(terms, parsed)
	}
	if strings.TrimSpace(rd.Where.Text) != "" {
		parsed, errs, err := q.parseWhere(rd.Where.Text)
		if err != nil {
			return nil, nil, err
		}
		for _, e := range errs {
			faults = append(faults, fault(rd.Where, e))
		}
		terms = append(terms, parsed)
	}
	return terms, faults, nil
}

// fault is e as a fault of the file that t stands in.
func fault(t tags.Term, e TermError) tags.Fault {
	f := tags.Fault{Pos: t.At(e.Offset), What: e.What, Hint: e.Hint}
	var unknown errUnknownKey
	if !errors.As(e.err, &unknown) {
		return f
	}
	name := strings.ReplaceAll(string(unknown), "_", "-")
	switch {
	case slices.Contains(readFacts, name):
		f.What, f.Hint = fmt.Sprintf("a read asks about %s, which hangs on the reads", name), "name what he sees instead"
	case e.Hint == "" || e.Hint == keysHint:
		f.What += ", and no game read here has such a column"
		f.Hint, f.Warning = "", true
	}
	return f
}
