package query

import (
	"cmp"
	"slices"
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
	return cmp.Or(cmp.Compare(rank(words, a), rank(words, b)), cmp.Compare(a, b))
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
