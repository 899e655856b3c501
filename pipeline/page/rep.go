package page

import (
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

const separator = " · "

// together is a space at which no line ends.
const together = "\u00a0"

// rep is a rep in words, its rusher as the plan names him. A model stands without its point.
func (w *walk) rep(r *tags.Rep, model bool, who string) Rep {
	out := Rep{Who: plain(who), meets: map[string][]int{}, of: r}
	out.Line, out.Result = rushed(r, w.season.Vocabulary), result(r, w.season.Vocabulary)
	if !model {
		out.Point = plain(r.Point)
	}
	for _, f := range facts {
		if f.key == "rusher" && plan.Hidden(who) {
			continue
		}
		for _, value := range f.of(r, who) {
			if value != "" {
				out.meets[f.key] = append(out.meets[f.key], w.option(f, w.shownAs(f.key, value)))
			}
		}
	}
	return out
}

// Heard is the heading of a rep's point for its reader: praise or a coaching point.
func (r Rep) Heard() string { return heard(r.of) }

func heard(r *tags.Rep) string {
	if r.Praised() {
		return "Done well"
	}
	return "Coaching point"
}

func what(r *tags.Rep, v *tags.Vocabulary) string {
	return strings.Join(slices.DeleteFunc([]string{rushed(r, v), result(r, v)}, func(s string) bool { return s == "" }), separator)
}

// rushed is how he rushed and what he met.
func rushed(r *tags.Rep, v *tags.Vocabulary) string {
	word := func(key, name string) string { return plain(v.Label(key, name)) }
	var moves, line []string
	for _, m := range r.Moves {
		moves = append(moves, word("move", m.Name))
	}
	if len(moves) > 0 {
		line = append(line, strings.Join(moves, " › "))
	}
	switch {
	case r.Set != "":
		line = append(line, word("set", r.Set)+" set")
	case r.Block != "":
		line = append(line, word("block", r.Block)+" block")
	}
	return strings.Join(line, separator)
}

// result is what became of him against his blocker, and of the play.
func result(r *tags.Rep, v *tags.Vocabulary) string {
	word := func(key, name string) string { return plain(v.Label(key, name)) }
	var result []string
	if battled := strings.Join(plains(plan.Battled(r, v)), together); battled != "" {
		result = append(result, battled)
	}
	if called := plain(plan.Called(r, v)); called != "" {
		result = append(result, called)
	}
	if r.Outcome != "" {
		result = append(result, word("outcome", r.Outcome))
	}
	return strings.Join(result, separator)
}

// fact is one that clips are filtered by.
type fact struct {
	key, label string
	of         func(r *tags.Rep, who string) []string
}

var facts = []fact{
	{"rusher", "Player", func(_ *tags.Rep, who string) []string { return []string{who} }},
	{"move", "Move", func(r *tags.Rep, _ string) []string {
		var names []string
		for _, m := range r.Moves {
			if !slices.Contains(names, m.Name) {
				names = append(names, m.Name)
			}
		}
		return names
	}},
	{"set", "Set", func(r *tags.Rep, _ string) []string { return []string{r.Set} }},
	{"outcome", "Outcome", func(r *tags.Rep, _ string) []string { return []string{r.Outcome} }},
}

// shownAs is a value of a fact in words.
func (w *walk) shownAs(key, value string) string {
	if key == "rusher" {
		return plain(value)
	}
	return w.word(key, value)
}

// option is the number of an option of a filter, which is added where it is new.
func (w *walk) option(f fact, value string) int {
	i := slices.IndexFunc(w.page.Filters, func(have Filter) bool { return have.Key == f.key })
	if i < 0 {
		i = len(w.page.Filters)
		w.page.Filters = append(w.page.Filters, Filter{Key: f.key, Label: f.label})
	}
	have := &w.page.Filters[i]
	n := slices.Index(have.Options, value)
	if n < 0 {
		n = len(have.Options)
		have.Options = append(have.Options, value)
	}
	return n
}

// filters is those that there is a choice in, in the order of facts.
func (w *walk) filters() []Filter {
	var list []Filter
	for _, f := range facts {
		for _, have := range w.page.Filters {
			if have.Key == f.key && len(have.Options) > 1 {
				list = append(list, have)
			}
		}
	}
	return list
}

func (w *walk) word(key, name string) string { return plain(w.season.Vocabulary.Label(key, name)) }
