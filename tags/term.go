package tags

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Term is one condition as a file writes it, which the query language gives its meaning.
type Term struct {
	Pos   Pos
	Text  string
	exact bool // Pos is where Text begins, and Text stands there as it is
}

// At is where character n of the term stands, or the term where that cannot be told.
func (t Term) At(n int) Pos {
	pos := t.Pos
	if t.exact {
		pos.Column += n
	}
	return pos
}

// Choice is terms under one name, all of which must hold.
type Choice struct {
	Pos   Pos
	Terms []Term
}

func (c Choice) String() string {
	texts := make([]string, len(c.Terms))
	for i, t := range c.Terms {
		texts[i] = t.Text
	}
	return strings.Join(texts, " ")
}

// TermOf is the term that asks for one value of a key, quoted where it must be.
func TermOf(key, value string) string { return key + "=" + QuoteValue(value) }

// QuoteValue is a value as a term holds it: as it is, or in double quotes where it holds a
// comma, a space, a quote or an operator, or nothing at all. A quote within the quotes is
// written twice.
func QuoteValue(value string) string {
	if value != "" && !strings.ContainsAny(value, `,"=<>!`) && !strings.ContainsFunc(value, unicode.IsSpace) {
		return value
	}
	return `"` + strings.ReplaceAll(value, `"`, `""`) + `"`
}

// TermValue is one of the values of a term.
type TermValue struct {
	Text   string // without its quotes
	Offset int    // where it begins in what was read, in bytes
}

// The faults of quoted values.
var (
	ErrOpenQuote   = errors.New(`the quote is not closed: want " at its end, and "" for a quote within it`)
	ErrBehindQuote = errors.New("something stands behind the quoted value: want a comma, or nothing")
)

// TermValues reads what stands behind the operator of a term: values with commas between
// them, each of which may be quoted as [QuoteValue] does it. On an error the values are
// those before the one at fault, and that one, as it stands, is the last.
func TermValues(text string) ([]TermValue, error) {
	var values []TermValue
	for at := 0; ; {
		rest := text[at:]
		if !strings.HasPrefix(rest, `"`) {
			value, _, more := strings.Cut(rest, ",")
			values = append(values, TermValue{value, at})
			if !more {
				return values, nil
			}
			at += len(value) + 1
			continue
		}
		end := quoteEnd(rest)
		switch {
		case end < 0:
			return append(values, TermValue{rest, at}), ErrOpenQuote
		case end < len(rest) && rest[end] != ',':
			return append(values, TermValue{rest, at}), ErrBehindQuote
		}
		values = append(values, TermValue{strings.ReplaceAll(rest[1:end-1], `""`, `"`), at})
		if end == len(rest) {
			return values, nil
		}
		at += end + 1
	}
}

// quoteEnd is the byte behind the quoted value that text begins with, or -1 where the quote
// is not closed.
func quoteEnd(text string) int {
	for i := 1; i < len(text); i++ {
		switch {
		case text[i] != '"':
		case i+1 < len(text) && text[i+1] == '"':
			i++
		default:
			return i + 1
		}
	}
	return -1
}

// SplitTerms is the terms of one line, which stand between spaces. A space within a quoted
// value belongs to it.
func SplitTerms(line string) []string {
	var terms []string
	for _, t := range splitTerms(line) {
		terms = append(terms, t.Text)
	}
	return terms
}

func splitTerms(line string) []TermValue {
	var terms []TermValue
	start := -1 // of the term that i is in
	for i := 0; i < len(line); {
		r, size := utf8.DecodeRuneInString(line[i:])
		switch {
		case unicode.IsSpace(r):
			if start >= 0 {
				terms = append(terms, TermValue{line[start:i], start})
			}
			start = -1
		case start < 0:
			start = i
		case r == '"' && strings.IndexByte("=<>,", line[i-1]) >= 0:
			if size = quoteEnd(line[i:]); size < 0 {
				size = len(line) - i
			}
		}
		i += size
	}
	if start >= 0 {
		terms = append(terms, TermValue{line[start:], start})
	}
	return terms
}

// ValueStart is the byte of a term at which the last of its values begins, be it whole or
// still being typed; false where the term has no operator.
func ValueStart(term string) (int, bool) {
	at := strings.IndexAny(term, "=<>")
	if at < 0 {
		return 0, false
	}
	for at++; at < len(term) && term[at] == '='; {
		at++
	}
	values, _ := TermValues(term[at:])
	return at + values[len(values)-1].Offset, true
}

// terms reads one line of terms, or a list of them: in a list a term may hold spaces.
func (d *Decoder) terms(n *yaml.Node, what string) []Term {
	var terms []Term
	if n.Kind == yaml.SequenceNode {
		d.List(n, what, func(n *yaml.Node) {
			if text, ok := d.scalar(n, what); ok && strings.TrimSpace(text) != "" {
				terms = append(terms, d.term(n, 0, text))
			}
		})
		return terms
	}
	text, _ := d.scalar(n, what)
	for _, t := range splitTerms(text) {
		terms = append(terms, d.term(n, utf8.RuneCountInString(text[:t.Offset]), t.Text))
	}
	return terms
}
