package mark

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// kind is how a field is typed.
type kind int

const (
	notTyped kind = iota // it is marked on the film
	aWord                // letters until one word is left
	words                // the same, several times
	number
	clock
	person
	free // any text
)

// kind is how a field of the pass is typed.
func (f *form) kind(field Field) kind {
	if f.rep() != "" || f.Pass == RepsPass {
		if field == "move" {
			return words
		}
		if field == "counter" {
			return aWord
		}
		rf, ok := repField[field]
		if !ok {
			return notTyped
		}
		return kindOf(rf.Kind)
	}
	pf, ok := playField[field]
	if !ok {
		return notTyped
	}
	return kindOf(pf.Kind)
}

func kindOf(k tags.Kind) kind {
	switch k {
	case tags.KindWord, tags.KindYesNo:
		return aWord
	case tags.KindWords:
		return words
	case tags.KindWhole:
		return number
	case tags.KindClock:
		return clock
	case tags.KindPerson:
		return person
	default:
		return free
	}
}

// Choice is one thing that a field can hold.
type Choice struct {
	Value string `json:"value"`
	Shown string `json:"shown"`
	// Key is what is typed for it: the letters after which nothing else is meant; empty where
	// there are none.
	Key   string   `json:"key,omitempty"`
	names []string // all that may be typed for it
}

// choices is all that a field of the pass can hold, in the staff's order.
func (f *form) choices(field Field) []Choice {
	var all []Choice
	switch f.kind(field) {
	case person:
		for _, p := range f.people(field) {
			all = append(all, Choice{Value: p.ID, Shown: p.Shown(), names: append([]string{p.Jersey, p.ID}, strings.Fields(p.Name)...)})
		}
	case number:
		pf := playField[field]
		for n := pf.Least; n <= min(pf.Most, 11); n++ {
			all = append(all, Choice{Value: strconv.Itoa(n), Shown: strconv.Itoa(n)})
		}
		return all
	case aWord, words:
		list := f.list(field)
		if list == "" {
			all = []Choice{{Value: "yes", Shown: "yes", names: []string{"yes"}}, {Value: "no", Shown: "no", names: []string{"no"}}}
			break
		}
		for _, w := range f.v.List(list).Words {
			all = append(all, Choice{Value: w.Name, Shown: f.v.Label(list, w.Name), names: append([]string{w.Name}, w.Also...)})
		}
	}
	for i := range all {
		all[i].Key = shortest(all, i)
	}
	return all
}

// list is the vocabulary's list for a field; empty where it holds yes or no.
func (f *form) list(field Field) string {
	if field == "move" {
		return "move"
	}
	if f.Pass == RepsPass {
		if rf, ok := repField[field]; ok {
			return rf.WordList()
		}
		return ""
	}
	if pf, ok := playField[field]; ok {
		return pf.WordList()
	}
	return ""
}

// people is who a field may name: ours where it is the rusher, else theirs, in order of
// number.
func (f *form) people(field Field) []*tags.Person {
	var all []*tags.Person
	for _, p := range f.look.Game.People {
		if f.look.Game.Practised() || f.look.Game.Ours(p) == (field == "rusher") {
			all = append(all, p)
		}
	}
	slices.SortFunc(all, func(a, b *tags.Person) int {
		x, _ := strconv.Atoi(a.Jersey)
		y, _ := strconv.Atoi(b.Jersey)
		if x != y {
			return x - y
		}
		return strings.Compare(a.ID, b.ID)
	})
	return all
}

// shortest returns the fewest first letters of the i-th choice's name that mean no other choice;
// empty where there are none.
func shortest(all []Choice, i int) string {
	name := all[i].names[0]
	if short := initials(name); short != "" {
		if found := meant(all, short); len(found) == 1 && found[0].Value == all[i].Value {
			return firstOnly(all, name, short)
		}
	}
	for n := 1; n <= len(name); n++ {
		if decided(meant(all, name[:n]), name[:n]) && meant(all, name[:n])[0].Value == all[i].Value {
			return strings.ToLower(name[:n])
		}
	}
	return ""
}

// firstOnly returns the fewest first letters that decide for a name, where they are no more than
// its initials, short; else it returns short.
func firstOnly(all []Choice, name, short string) string {
	for n := 1; n <= len(short); n++ {
		if decided(meant(all, name[:n]), name[:n]) {
			return strings.ToLower(name[:n])
		}
	}
	return short
}

// meant returns the choices that typed letters may mean, in this order: those of that name, those
// whose first name begins with the letters, those of which another name does. Where there are none
// it returns those with these initials: sr is speed-rip.
func meant(all []Choice, typed string) []Choice {
	typed = strings.ToLower(typed)
	var by [3][]Choice
	for _, c := range all {
		rank := -1
		for i, name := range c.names {
			name = strings.ToLower(name)
			switch {
			case name == "":
			case name == typed:
				rank = 0
			case !strings.HasPrefix(name, typed) || rank == 0:
			case i == 0:
				rank = 1
			case rank < 0:
				rank = 2
			}
		}
		if rank >= 0 {
			by[rank] = append(by[rank], c)
		}
	}
	if found := slices.Concat(by[0], by[1], by[2]); len(found) > 0 || typed == "" {
		return found
	}
	return slices.DeleteFunc(slices.Clone(all), func(c Choice) bool {
		return len(c.names) == 0 || !strings.HasPrefix(initials(c.names[0]), typed)
	})
}

// initials is the first letters of the parts of a name; empty where it has one part.
func initials(name string) string {
	parts := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == '-' || r == ' ' })
	if len(parts) < 2 {
		return ""
	}
	var s strings.Builder
	for _, part := range parts {
		s.WriteString(part[:1])
	}
	return s.String()
}

// decided reports whether what is typed can mean only the first of the choices: it is the only one,
// or typed is its first name and begins the first name of no other.
func decided(offered []Choice, typed string) bool {
	if len(offered) == 1 {
		return true
	}
	return len(offered) > 1 && strings.EqualFold(offered[0].names[0], typed) &&
		!slices.ContainsFunc(offered[1:], func(c Choice) bool { return strings.HasPrefix(strings.ToLower(c.names[0]), strings.ToLower(typed)) })
}

// offered is what the open field offers for what is typed, the picked one first to be taken.
func (f *form) offered() []Choice {
	typed := f.Typed
	if f.Ask == AskWho {
		return meant(f.whoChoices(), typed)
	}
	if f.Ask == AskField {
		return meant(f.fieldChoices(), typed)
	}
	if f.Ask == AskClear {
		return f.clearChoices()
	}
	switch f.Open {
	case "":
		return nil
	case "draw":
		return drawChoices
	}
	if name, path, ok := strings.Cut(typed, "/"); ok && f.Open == "move" {
		var all []Choice
		for _, c := range meant(f.choices("move"), name)[:min(1, len(meant(f.choices("move"), name)))] {
			for _, w := range f.v.List("path").Words {
				if strings.HasPrefix(w.Name, strings.ToLower(path)) {
					all = append(all, Choice{Value: c.Value + "/" + w.Name, Shown: c.Shown + ", " + w.Name})
				}
			}
		}
		return all
	}
	all := f.choices(f.Open)
	if f.kind(f.Open) == number {
		return slices.DeleteFunc(all, func(c Choice) bool { return !strings.HasPrefix(c.Value, typed) })
	}
	return meant(all, typed)
}

// clearChoices is all that the key that clears can clear.
func (f *form) clearChoices() []Choice {
	what := "the whole rep"
	if f.Pass == PlaysPass {
		what = "the whole play"
	}
	var all []Choice
	for _, k := range f.doc.keys {
		switch {
		case k.Pass != "" && k.Pass != f.Pass:
		case k.Group == groupMarks:
			all = append(all, Choice{Value: k.Do, Shown: k.Marks(), Key: shownKey(k.Key)})
		case k.Do == "clear":
			all = append(all, Choice{Value: k.Do, Shown: what, Key: shownKey(k.Key)})
		}
	}
	return all
}

// whoChoices is the rushers that a number may mean.
func (f *form) whoChoices() []Choice {
	var all []Choice
	for _, p := range f.people("rusher") {
		all = append(all, Choice{Value: p.ID, Shown: p.Shown(), names: append([]string{p.Jersey, p.ID}, strings.Fields(p.Name)...)})
	}
	for i := range all {
		all[i].Key = shortest(all, i)
	}
	return all
}

// fieldChoices is every field that can be opened in the pass.
func (f *form) fieldChoices() []Choice {
	fields := playFields(f.look.Game)
	if f.Pass == RepsPass {
		fields = repFields(f.look.Game)
	}
	var all []Choice
	for _, field := range fields {
		if field != "rusher" && f.kind(field) != notTyped {
			all = append(all, Choice{Value: string(field), Shown: field.Spoken(), names: []string{field.Spoken()}})
		}
	}
	for i := range all {
		all[i].Key = shortest(all, i)
	}
	return all
}

// whole reports whether no digit more can be typed into a whole number.
func whole(typed string, most int) bool {
	n, err := strconv.Atoi(typed)
	return err == nil && n*10 > most
}

// clockForm is a game clock as it is typed: with its colon, or digits alone.
var clockForm = regexp.MustCompile(`^([0-9]{1,2}):?([0-9]{2})$`)

// asClock is what is typed as a game clock: 1132 is 11:32.
func asClock(typed string) (string, error) {
	parts := clockForm.FindStringSubmatch(typed)
	if parts == nil {
		return "", fmt.Errorf("clock %q: want minutes and two digits of seconds, such as 11:32 or 1132", typed)
	}
	return parts[1] + ":" + parts[2], nil
}
