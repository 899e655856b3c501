package query

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"trenchcut/tags"
)

// TermError is what is wrong with one term, or with the text of --where.
type TermError struct {
	Term   string
	Offset int // of the character that is wrong, from 0
	What   string
	Hint   string
	err    error // which of the errors below it is, where it is one
}

// errUnknownKey is a name that is no fact's.
type errUnknownKey string

func (e errUnknownKey) Error() string { return fmt.Sprintf("unknown key %q", string(e)) }

var errLoop = errors.New("the choice stands for itself")

func (e TermError) Error() string {
	s := e.What
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s + "\n" + strings.TrimSuffix(tags.Snippet(e.Term, e.Offset+1), "\n")
}

// Errors is everything wrong with the terms of one call.
type Errors []TermError

func (es Errors) Error() string {
	parts := make([]string, len(es))
	for i, e := range es {
		parts[i] = e.Error()
	}
	return strings.Join(parts, "\n")
}

// term is one condition a rep must meet.
type term struct {
	text  string // as the user wrote it
	words string // as a room says it; empty of a CEL expression, which has no such words
	cel   string
	ofRep bool // it needs a rep to judge

	unseen string // a hint where the season has no such value
}

// operators is every operator, the longer before those they begin with.
var operators = []string{"!=", ">=", "<=", "=", ">", "<"}

// parseTerm reads key=value and its kin, a yes-or-no key by itself, or a named choice.
func (r *Registry) parseTerm(text string) (term, *TermError) { return r.parseTermIn(text, nil) }

// parseTermIn is parseTerm within choices, where a person may be named whom no game that
// was read knows: the choice is for every game.
func (r *Registry) parseTermIn(text string, within []string) (term, *TermError) {
	at := strings.IndexAny(text, "=!<>")
	if at < 0 {
		return r.parseWord(text, within)
	}
	key, op := text[:at], ""
	for _, o := range operators {
		if strings.HasPrefix(text[at:], o) {
			op = o
			break
		}
	}
	if op == "" {
		return term{}, wrongAt(text, at, "", "%q is no operator: want =, !=, >, <, >= or <=", text[at:at+1])
	}
	f, ok := r.Find(key)
	if !ok {
		err := wrongAt(text, 0, r.didYouMeanKey(key), "unknown key %q", key)
		err.err = errUnknownKey(key)
		return term{}, err
	}
	start := at + len(op)
	if start < len(text) && text[start] == '=' {
		return term{}, wrongAt(text, start, "", "one = too many")
	}
	values, err := tags.TermValues(text[start:])
	if err != nil {
		return term{}, wrongAt(text, start+values[len(values)-1].Offset, "", "%v", err)
	}
	if op == "=" || op == "!=" {
		return r.parseEqual(f, text, op, start, values, within)
	}
	return r.parseOrder(f, text, op, at, values)
}

func wrongAt(text string, at int, hint, format string, args ...any) *TermError {
	return &TermError{Term: text, Offset: utf8.RuneCountInString(text[:at]), What: fmt.Sprintf(format, args...), Hint: hint}
}

// orderWords is the operators that order, in words.
var orderWords = map[string]string{">=": "at least", "<=": "at most", ">": "over", "<": "under"}

// parseOrder reads key>=value; at is the byte of its operator.
func (r *Registry) parseOrder(f Fact, text, op string, at int, values []tags.TermValue) (term, *TermError) {
	if !f.ordered() {
		return term{}, wrongAt(text, at, "use = or !=, with commas between words", "%s is no number, so %s means nothing", f.Name, op)
	}
	start := at + len(op)
	value := values[0].Text
	if len(values) > 1 {
		value = text[start:]
	}
	lit, what, hint := r.literal(f, value)
	if what != "" {
		return term{}, wrongAt(text, start, hint, "%s", what)
	}
	return term{
		text: text, ofRep: !f.OfPlay,
		cel:   fmt.Sprintf("%s %s %s", f.CEL(), op, lit),
		words: roomOrder(f, orderWords[op]+" "+value),
	}, nil
}

// parseEqual reads key=value,value and key!=value,value; start is the byte of the first
// value.
func (r *Registry) parseEqual(f Fact, text, op string, start int, values []tags.TermValue, within []string) (term, *TermError) {
	t := term{text: text, ofRep: !f.OfPlay}
	var alternatives, shown []string
	for _, value := range values {
		lits, what, hint := r.literals(f, value.Text, within != nil)
		if what != "" {
			return term{}, wrongAt(text, start+value.Offset, cmp.Or(r.wantsQuotes(f, text[start:], values), hint), "%s", what)
		}
		for _, lit := range lits {
			alternative := f.CEL() + " == " + lit
			if f.many() {
				alternative = lit + " in " + f.CEL()
			}
			alternatives = append(alternatives, alternative)
		}
		shown = append(shown, r.roomValue(f, value.Text))
		if t.unseen == "" {
			t.unseen = r.unseen(f, value.Text)
		}
	}
	t.unseen = cmp.Or(r.wantsQuotes(f, text[start:], values), t.unseen)
	t.cel = strings.Join(alternatives, " || ")
	t.words = roomWords(f, strings.Join(shown, " or "))
	switch {
	case f.Name == "job" && passRush(values) && op == "=":
		t.words = "pass rush"
	case f.Kind == YesNo && len(shown) == 1 && (shown[0] == "yes") == (op == "="):
		t.words = tags.Spoken(f.Name)
	case f.Kind == YesNo && len(shown) == 1:
		t.words = "not " + tags.Spoken(f.Name)
	case op == "!=" && f.Name == "battle": // "not won" asks of holds that he drew, too
		t.words = roomWords(f, "not "+strings.Join(shown, " or "))
	case op == "!=" && t.words == "no help":
		t.words = "with help"
	case op == "!=":
		t.words = "not " + t.words
	}
	if op == "!=" {
		t.cel = "!(" + t.cel + ")"
	}
	return t, nil
}

// wantsQuotes is a hint where values with commas between them are, together, one value
// that occurs in the season: the shell takes quotes off that nothing protects.
func (r *Registry) wantsQuotes(f Fact, text string, values []tags.TermValue) string {
	if len(values) < 2 || r.words(f) != nil || f.Kind != Word && f.Kind != List && f.Kind != Person {
		return ""
	}
	if !slices.Contains(r.Values(f), text) {
		return ""
	}
	return fmt.Sprintf("did you mean '%s'?", tags.TermOf(f.Name, text))
}

// literals is value as one CEL literal, or a person as one for each id he has; anybody is
// whether a person may be named whom the season does not know.
func (r *Registry) literals(f Fact, value string, anybody bool) (lits []string, what, hint string) {
	if f.Kind != Person || value == "" {
		lit, what, hint := r.literal(f, value)
		return []string{lit}, what, hint
	}
	ids, what, hint := r.who(f, value)
	if ids == nil && anybody {
		return []string{quote(value)}, "", ""
	}
	for _, id := range ids {
		lits = append(lits, quote(id))
	}
	return lits, what, hint
}

// literal is value as a CEL literal of the fact's kind, or what is wrong with it.
func (r *Registry) literal(f Fact, value string) (lit, what, hint string) {
	if value == "" {
		return "", f.Name + " has no value here", oneOf(r.Values(f))
	}
	switch f.Kind {
	case Number, Seconds:
		n, ok := parseNumber(strings.TrimSuffix(value, "s"))
		if !ok || f.Kind == Number && strings.HasSuffix(value, "s") {
			return "", fmt.Sprintf("%s %q is not a number", f.Name, value), ""
		}
		if f.whole {
			if n != float64(int64(n)) {
				return "", fmt.Sprintf("%s %q is not a whole number", f.Name, value), ""
			}
			return strconv.FormatInt(int64(n), 10), "", ""
		}
		lit = strconv.FormatFloat(n, 'f', -1, 64)
		if !strings.Contains(lit, ".") {
			lit += ".0" // CEL keeps whole numbers and others apart
		}
		return lit, "", ""
	case Clock:
		seconds, ok := parseClock(value)
		if !ok {
			return "", fmt.Sprintf("clock %q is not minutes and seconds", value), "write it as 2:00"
		}
		return strconv.FormatInt(seconds, 10), "", ""
	case YesNo:
		if value != "yes" && value != "no" {
			return "", fmt.Sprintf("%s %q is not yes or no", f.Name, value), ""
		}
		return strconv.FormatBool(value == "yes"), "", ""
	default:
		word, ok := r.word(f, value)
		if !ok {
			return "", fmt.Sprintf("unknown %s %q", f.Name, value), r.didYouMeanWord(f, value)
		}
		value = word
	}
	return quote(value), "", ""
}

// unseen is a hint where value is one that nothing in the season has, of a fact that the
// vocabulary does not list the words of.
func (r *Registry) unseen(f Fact, value string) string {
	if (f.Kind != Word && f.Kind != List) || r.words(f) != nil {
		return ""
	}
	seen := r.Values(f)
	if slices.Contains(seen, value) {
		return ""
	}
	return tags.DidYouMean(value, seen)
}

// quote is text as a CEL string. Go escapes what CEL understands, in valid UTF-8.
func quote(text string) string { return strconv.Quote(strings.ToValidUTF8(text, "\ufffd")) }

// didYouMeanWord guesses which of a fact's words was meant.
func (r *Registry) didYouMeanWord(f Fact, value string) string {
	if _, ok := r.vocabulary.Lists[f.list]; ok {
		return r.vocabulary.DidYouMean(f.list, value)
	}
	return tags.DidYouMean(value, r.words(f))
}

// shown is a value as a room reads it: people by number and name, words by their names.
func (r *Registry) shown(f Fact, value string) string {
	if f.Kind != Person {
		if word, ok := r.word(f, value); ok && f.list != "" {
			return word
		}
		return value
	}
	found := r.known(f, value)
	if len(found) == 0 {
		return value
	}
	return found[0].Shown()
}

// parseWord reads a term of one word: a choice that the vocabulary names, or else a
// yes-or-no key, which then is yes, either in the plural too; or else who rushed, by number,
// name or id.
func (r *Registry) parseWord(text string, within []string) (term, *TermError) {
	for _, said := range append([]string{text}, tags.Singulars(text)...) {
		if choice, ok := r.vocabulary.Choices[said]; ok {
			return r.parseChoice(said, choice, within)
		}
		if f, ok := r.Find(said); ok && f.Kind == YesNo {
			return term{text: text, words: tags.Spoken(f.Name), cel: f.CEL() + " == true", ofRep: !f.OfPlay}, nil
		}
	}
	if rusher, ok := r.Find("rusher"); ok && text != "" {
		ids, what, hint := r.who(rusher, text)
		others := r.termsOf(text)
		switch {
		case ids != nil && others == nil:
			return r.parseTermIn(tags.TermOf(rusher.Name, text), within)
		case ids != nil:
			return term{}, wrongAt(text, 0, "write which is meant", "%q may be %s", text, tags.Either(append([]string{tags.TermOf(rusher.Name, text)}, others...)))
		case len(tags.WhoIs(text, r.persons(rusher))) > 1 && others == nil:
			return term{}, wrongAt(text, 0, hint, "%s", what)
		}
	}
	return term{}, wrongAt(text, 0, r.didYouMeanChoice(text), "%q is neither key=value nor a named choice", text)
}

// termsOf is the terms that ask for a word of the vocabulary, one of each list that has it.
func (r *Registry) termsOf(text string) []string {
	var terms []string
	var lists []string
	for _, f := range r.Facts {
		if f.list == "" || slices.Contains(lists, f.list) {
			continue
		}
		if word, ok := r.word(f, text); ok {
			terms = append(terms, tags.TermOf(f.Name, word))
			lists = append(lists, f.list)
		}
	}
	return terms
}

// parseChoice reads a named choice; within holds the choices it stands in, since they
// may name one another.
func (r *Registry) parseChoice(text string, choice tags.Choice, within []string) (term, *TermError) {
	if slices.Contains(within, text) {
		err := wrongAt(text, 0, "", "the choice %q of the vocabulary stands for itself", text)
		err.err = errLoop
		return term{}, err
	}
	whole := term{text: text, words: tags.Spoken(text)}
	var parts []string
	for _, part := range choice.Terms {
		t, err := r.parseTermIn(part.Text, append(within, text))
		if err != nil {
			err.What = fmt.Sprintf("in the vocabulary's choice %q: %s", text, err.What)
			return term{}, err
		}
		parts = append(parts, "("+t.cel+")")
		whole.ofRep = whole.ofRep || t.ofRep
	}
	whole.cel = strings.Join(parts, " && ")
	if whole.cel == "" {
		whole.cel = "true"
	}
	return whole, nil
}

// keysHint is for a key that is like none.
const keysHint = "trenchcut find --keys lists them"

func (r *Registry) didYouMeanKey(key string) string {
	if near := tags.DidYouMean(key, r.Names()); near != "" {
		return near
	}
	return keysHint
}

// didYouMeanChoice guesses what a lone word was meant to be: a choice, a key without
// its value, or a value without its key.
func (r *Registry) didYouMeanChoice(text string) string {
	if f, ok := r.Find(text); ok {
		value := "…"
		if values := r.Values(f); len(values) > 0 {
			value = tags.QuoteValue(values[0])
		}
		return "want a value: " + text + "=" + value
	}
	if terms := r.termsOf(text); terms != nil {
		return fmt.Sprintf("did you mean %s?", tags.Either(terms))
	}
	choices := slices.Sorted(maps.Keys(r.vocabulary.Choices))
	alone := slices.Clone(choices)
	for _, f := range r.Facts {
		if f.Kind == YesNo {
			alone = append(alone, f.Name)
		}
	}
	if near, ok := tags.Nearest(text, alone); ok {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return oneOf(choices)
}

func oneOf(words []string) string {
	const most = 12
	switch {
	case len(words) == 0:
		return ""
	case len(words) > most:
		return "such as " + strings.Join(words[:most], ", ") + " …"
	default:
		return "want one of " + strings.Join(words, ", ")
	}
}
