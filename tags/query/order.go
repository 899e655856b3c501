package query

import (
	"cmp"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Compare orders two values of a fact: words as the vocabulary ranks them, everything
// else by size or as text. A list comes before the one it begins.
func (r *Registry) Compare(f Fact, a, b any) int {
	switch a := a.(type) {
	case bool:
		return cmp.Compare(yesFirst(a), yesFirst(b.(bool)))
	case int64:
		return cmp.Compare(a, b.(int64))
	case float64:
		return cmp.Compare(a, b.(float64))
	case []string:
		b := b.([]string)
		if f.Kind == Person {
			return cmp.Compare(a[0], b[0])
		}
		return slices.CompareFunc(a, b, func(a, b string) int { return r.compareWords(f, a, b) })
	default:
		return r.compareWords(f, a.(string), b.(string))
	}
}

// yesFirst puts yes before no, as the lists of words do.
func yesFirst(yes bool) int {
	if yes {
		return 0
	}
	return 1
}

func (r *Registry) compareWords(f Fact, a, b string) int {
	words := r.words(f)
	x, okX := parseNumber(a)
	y, okY := parseNumber(b)
	byNumber := 0
	if okX && okY {
		byNumber = cmp.Compare(x, y) // as a staff's own column may hold
	}
	return cmp.Or(cmp.Compare(rank(words, a), rank(words, b)), byNumber, cmp.Compare(a, b))
}

// rank is the place of a word among words; others come last.
func rank(words []string, word string) int {
	if i := slices.Index(words, word); i >= 0 {
		return i
	}
	return len(words)
}

// Single is what a value of the fact falls under, one by one: each word of a list, and
// anything else by itself.
func (f Fact) Single(value any) []any {
	words, ok := value.([]string)
	if !ok || f.Kind != List {
		return []any{value}
	}
	single := make([]any, 0, len(words))
	for _, w := range words {
		if one := any([]string{w}); !slices.ContainsFunc(single, func(s any) bool { return s.([]string)[0] == w }) {
			single = append(single, one)
		}
	}
	return single
}

// CompareGroups orders the names of two groups of [Fact.Groups] by a fact that goes in steps,
// such as the quarter, the date or the down: by that, and what is not tagged last. By any
// other fact every two are alike. A crossed fact goes by its first facts, as far as they go in
// steps.
func (f Fact) CompareGroups(a, b string) int {
	if f.crossed != nil {
		as, bs := strings.Split(a, groupSeparator), strings.Split(b, groupSeparator)
		if len(as) != len(f.crossed) || len(bs) != len(f.crossed) {
			return 0 // a name has the separator in it
		}
		for i, part := range f.crossed {
			if c := part.CompareGroups(as[i], bs[i]); c != 0 || !part.stepped() {
				return c
			}
		}
		return 0
	}
	switch {
	case !f.stepped() || a == b:
		return 0
	case a == tags.NotTagged || b == tags.NotTagged:
		return cmp.Compare(yesFirst(a != tags.NotTagged), yesFirst(b != tags.NotTagged))
	case f.steps:
		return cmp.Compare(rank(f.closed, a), rank(f.closed, b))
	}
	x, okX := parseNumber(a)
	y, okY := parseNumber(b)
	if okX && okY {
		return cmp.Compare(x, y)
	}
	return cmp.Or(cmp.Compare(len(a), len(b))*numeric(f), cmp.Compare(a, b))
}

// stepped reports whether the groups by the fact have an order that a reader knows.
func (f Fact) stepped() bool { return f.steps || f.ordered() }

// InSteps reports whether groups by the fact, or by the first of a crossed one, go in steps.
func (f Fact) InSteps() bool {
	if f.crossed != nil {
		return f.crossed[0].stepped()
	}
	return f.stepped()
}
