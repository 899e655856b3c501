package query

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// Registry is every fact that may be asked of a season: those this program knows, and
// the extra columns its games have.
type Registry struct {
	Facts      []Fact
	vocabulary *tags.Vocabulary
	season     *tags.Season
	reads      *reading
	byName     map[string]int
	byCEL      map[string]int
	named      map[string][]*tags.Person // by fact; see persons
}

// NewRegistry is the facts of a season in the words of v.
func NewRegistry(v *tags.Vocabulary, season *tags.Season) *Registry {
	r := &Registry{vocabulary: v, season: season, byName: map[string]int{}, byCEL: map[string]int{}, named: map[string][]*tags.Person{}}
	r.reads = newReading(r)
	for _, f := range builtin(r.reads) {
		r.add(f)
	}
	for _, f := range extras(season) {
		r.add(f)
	}
	r.add(r.tagged())
	return r
}

func (r *Registry) add(f Fact) {
	// An extra column that is named as a fact already is: the fact keeps the name.
	for _, taken := r.byCEL[f.CEL()]; taken; _, taken = r.byCEL[f.CEL()] {
		f.Name = "extra-" + f.Name
	}
	r.byName[f.Name], r.byCEL[f.CEL()] = len(r.Facts), len(r.Facts)
	r.Facts = append(r.Facts, f)
}

// Find is the fact of a name; a name that is none may be one in the plural.
func (r *Registry) Find(name string) (Fact, bool) {
	for _, said := range append([]string{name}, tags.Singulars(name)...) {
		if i, ok := r.byName[said]; ok {
			return r.Facts[i], true
		}
	}
	return Fact{}, false
}

// Names is the name of every fact.
func (r *Registry) Names() []string {
	names := make([]string, len(r.Facts))
	for i, f := range r.Facts {
		names[i] = f.Name
	}
	return names
}

// tagged is the fact of which facts are known, by which reps that lack one are found.
// Reads are left out: nobody tags them, and asking them all would make it dear.
func (r *Registry) tagged() Fact {
	facts := withoutReads(r.Facts)
	names := make([]string, len(facts))
	for i, f := range facts {
		names[i] = f.Name
	}
	return Fact{
		Name: taggedName, Kind: List, OfPlay: true, closed: names,
		Doc: "every fact that is known: tagged!=set finds reps with no set",
		of: func(s subject) (any, bool) {
			var names []string
			for _, f := range facts {
				if _, ok := f.of(s); ok {
					names = append(names, f.Name)
				}
			}
			return names, true
		},
	}
}

// extras is a fact for each column of a staff's own; one whose every value is a number
// is a number.
func extras(season *tags.Season) []Fact {
	numeric := map[string]bool{}
	for _, p := range season.Plays() {
		for key, value := range p.Extra {
			if value == "" {
				continue
			}
			if _, seen := numeric[key]; !seen {
				numeric[key] = true
			}
			if _, ok := parseNumber(value); !ok {
				numeric[key] = false
			}
		}
	}
	var facts []Fact
	for _, key := range slices.Sorted(maps.Keys(numeric)) {
		f := playWord(kebab(key), "", "the staff's own column "+key, func(p *tags.Play) string { return p.Extra[key] })
		f.OfPlay = true
		if numeric[key] {
			f.Kind = Number
			f.of = func(s subject) (any, bool) {
				n, ok := parseNumber(s.play.Extra[key])
				return n, ok
			}
		}
		facts = append(facts, f)
	}
	return facts
}

// kebab is a column's heading as the name of a fact, and so of a variable in CEL:
// small letters, digits and hyphens, a letter first.
func kebab(heading string) string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		default:
			return '-'
		}
	}, heading)
	name = strings.Trim(name, "-")
	if name == "" || name[0] <= '9' || slices.Contains(reserved, name) {
		name = strings.TrimSuffix("extra-"+name, "-")
	}
	return name
}

// reserved is the words CEL keeps for itself, or gives a meaning of its own.
var reserved = strings.Fields(`as break const continue else false for function if import in let loop
	namespace null package return true var void while
	bool bytes double dyn int list map string timestamp uint duration has size all exists map filter matches`)

// words is the values a fact may have; none where any may stand.
func (r *Registry) words(f Fact) []string {
	switch {
	case f.closed != nil:
		return f.closed
	case f.Kind == YesNo:
		return []string{"yes", "no"}
	case f.list == familyList:
		return r.vocabulary.Families()
	case f.list == readList:
		return r.vocabulary.ReadNames()
	case f.list != "":
		return r.vocabulary.List(f.list).Names()
	default:
		return nil
	}
}

// word is text as a value the fact may have, its alias resolved.
func (r *Registry) word(f Fact, text string) (string, bool) {
	if w, ok := r.vocabulary.List(f.list).Read(text); ok {
		return w.Name, true
	}
	words := r.words(f)
	for _, said := range append([]string{text, strings.ToLower(text)}, tags.Singulars(text)...) {
		if slices.Contains(words, said) {
			return said, true
		}
	}
	return text, words == nil
}

// Values is what may stand after a fact's name: its words where the vocabulary lists
// them, otherwise what occurs in the season, sorted.
func (r *Registry) Values(f Fact) []string {
	if words := r.words(f); words != nil {
		return words
	}
	found := r.counts(f)
	return slices.Sorted(maps.Keys(found))
}

// Occurring is the values of a fact that occur in the season, as the vocabulary ranks
// them or sorted, and how many plays, or reps, have each.
func (r *Registry) Occurring(f Fact) ([]string, map[string]int) {
	found := r.counts(f)
	words := r.words(f)
	return slices.SortedFunc(maps.Keys(found), func(a, b string) int {
		return cmp.Or(cmp.Compare(rank(words, a), rank(words, b)), cmp.Compare(len(a), len(b))*numeric(f), cmp.Compare(a, b))
	}), found
}

// numeric is 1 for facts whose values, as text, sort by their length first.
func numeric(f Fact) int {
	if f.whole || f.Kind == Clock {
		return 1
	}
	return 0
}

// counts is every value of a fact, as text, and how many plays or reps have it.
func (r *Registry) counts(f Fact) map[string]int {
	found := map[string]int{}
	note := func(value any, ok bool) {
		if !ok {
			return
		}
		if names, ok := value.([]string); ok {
			for _, name := range names {
				found[name]++
			}
			return
		}
		found[f.Format(value)]++
	}
	for _, p := range r.season.Plays() {
		if f.OfPlay {
			note(f.OfPlayAlone(p))
			continue
		}
		for _, rep := range p.Reps {
			note(f.OfRep(rep))
		}
	}
	return found
}

// Format is a value of the fact as text: yes or no, seconds to the millisecond, the
// clock as 2:00, a person's id, a list with spaces between.
func (f Fact) Format(value any) string {
	switch v := value.(type) {
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case int64:
		if f.Kind == Clock {
			return fmt.Sprintf("%d:%02d", v/60, v%60)
		}
		return strconv.FormatInt(v, 10)
	case float64:
		if f.Kind == Seconds {
			return strconv.FormatFloat(v, 'f', 3, 64)
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	case []string:
		if f.Kind == Person {
			return v[0]
		}
		return strings.Join(v, " ")
	default:
		return fmt.Sprint(v)
	}
}

func parseNumber(text string) (float64, bool) {
	n, err := strconv.ParseFloat(text, 64)
	plain := strings.Trim(text, "0123456789.+-") == ""
	return n, err == nil && plain
}

// parseClock reads minutes and seconds, such as 11:32.
func parseClock(text string) (int64, bool) {
	seconds, ok := tags.ParseClock(text)
	return int64(seconds), ok
}

// Named is the facts of these names. Its error names the first that there is not, and the
// nearest there is.
func (r *Registry) Named(names ...string) ([]Fact, error) {
	var facts []Fact
	for _, name := range names {
		f, ok := r.Find(name)
		if !ok {
			hint := cmp.Or(tags.DidYouMean(name, r.Names()), "trenchcut find --keys lists them")
			return nil, fmt.Errorf("unknown key %q; %s", name, hint)
		}
		facts = append(facts, f)
	}
	return facts, nil
}
