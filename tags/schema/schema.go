// Package schema describes the files a staff writes as JSON Schema, so that an editor
// completes and underlines as one types. The words come from the vocabulary, and what
// keys mean from the facts of the query language.
//
// A schema knows one file by itself. What hangs on another place (a rusher who is among
// the people, an angle that is among the film, a word of the staff's own) is for the
// check command to say.
package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// Node is a schema, or a part of one.
type Node map[string]any

const dialect = "https://json-schema.org/draft/2020-12/schema"

// Bytes is the schema as JSON, indented, with its keys in order of name.
func (n Node) Bytes() ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(n); err != nil {
		return nil, fmt.Errorf("write the schema: %w", err)
	}
	return out.Bytes(), nil
}

// writer makes schemas in the words of a vocabulary.
type writer struct {
	v    *tags.Vocabulary
	docs map[string]string // what a fact is, by its name
}

func newWriter(v *tags.Vocabulary) *writer {
	w := &writer{v: v, docs: map[string]string{}}
	for _, f := range query.NewRegistry(v, &tags.Season{Vocabulary: v}).Facts {
		w.docs[f.Name] = f.Doc
	}
	return w
}

// document is a whole file of a kind.
func document(title string, defs map[string]Node, required []string, properties map[string]Node) Node {
	properties["trenchcut"] = described(Node{"enum": []any{tags.Format, strconv.Itoa(tags.Format)}}, "version of the format")
	n := mapping(append([]string{"trenchcut"}, required...), properties)
	n["type"], n["$schema"], n["title"] = "object", dialect, title
	if defs != nil {
		n["$defs"] = defs
	}
	return n
}

func described(n Node, doc string) Node {
	n["description"] = doc
	return n
}

func (w *writer) of(fact string, n Node) Node {
	if doc, ok := w.docs[fact]; ok {
		n["description"] = doc
	}
	return n
}

// mapping is keys with their values; a key written with nothing after it is empty.
func mapping(required []string, properties map[string]Node) Node {
	n := Node{"type": []string{"object", "null"}, "properties": properties, "additionalProperties": false}
	if required != nil {
		n["required"] = required
	}
	return n
}

// named is values under names of one's own.
func named(names *regexp.Regexp, value Node) Node {
	n := Node{"type": []string{"object", "null"}, "additionalProperties": value}
	if names != nil {
		n["propertyNames"] = Node{"pattern": names.String()}
	}
	return n
}

func list(item Node) Node { return Node{"type": []string{"array", "null"}, "items": item} }

// text is any scalar, since a tag file's text is what was written: 091 and yes too.
func text() Node { return Node{"type": []string{"string", "number", "boolean", "null"}} }

// textOrParts is text, or a list of at least one text, each another.
func textOrParts() Node {
	return Node{"anyOf": []Node{text(), {"type": "array", "items": given(), "minItems": 1, "uniqueItems": true}}}
}

// short is text of at most so many characters.
func short(most int) Node {
	n := text()
	n["maxLength"] = most
	return n
}

// given is text that must be there.
func given() Node { return Node{"type": []string{"string", "number", "boolean"}} }

func pattern(p string) Node { return Node{"type": "string", "pattern": p} }

func yesNo() Node { return Node{"enum": []any{"yes", "no", "true", "false", true, false}} }

// wholeOrLess is a whole number up to most, or down to as much below 0.
func wholeOrLess(most int) Node {
	return Node{"anyOf": []Node{
		{"type": "integer", "minimum": -most, "maximum": most},
		pattern(fmt.Sprintf(`^-?[0-9]{1,%d}$`, len(strconv.Itoa(most)))),
	}}
}

// whole is a whole number from least to most, in quotes or not.
func whole(least, most int) Node {
	return Node{"anyOf": []Node{
		{"type": "integer", "minimum": least, "maximum": most},
		pattern(fmt.Sprintf(`^[0-9]{1,%d}$`, len(strconv.Itoa(most)))),
	}}
}

// choice is one of names, or nothing; one that is a number may stand without quotes.
func choice(names []string) Node {
	enum := exactly(names)["enum"].([]any)
	return Node{"enum": append(enum, nil)}
}

// exactly is choice without nothing.
func exactly(names []string) Node {
	var enum []any
	for _, name := range names {
		enum = append(enum, name)
	}
	for _, name := range names {
		if n, err := strconv.Atoi(name); err == nil && strconv.Itoa(n) == name {
			enum = append(enum, n)
		}
	}
	return Node{"enum": enum}
}

// names is every name and alias of a list.
func (w *writer) names(list string) []string {
	var names []string
	for _, word := range w.v.List(list).Words {
		names = append(names, word.Name)
		names = append(names, word.Also...)
	}
	return names
}

func (w *writer) word(key string) Node { return w.of(key, choice(w.names(key))) }

// How times are written; see [tags.ParseInstant].
const (
	clockTime = `(\d{1,3}:[0-5]?\d|\d{1,2}):[0-5]?\d(\.\d{1,9})?`
	seconds   = `\d{1,6}(\.\d{1,9})?s`
	frame     = `f\d{1,9}`
	timecode  = `([01]\d|2[0-3]):[0-5]\d:[0-5]\d[:;]\d{2,3}`

	onFilm   = clockTime + `|` + seconds + `|` + frame + `|` + timecode
	bare     = `[+-]?0*(\d|1[0-5])\.\d{1,9}`
	fromSnap = `[+-](` + clockTime + `|` + seconds + `|` + frame + `)`
)

func filmTime(doc string) Node { return described(pattern(`^(`+onFilm+`)$`), doc) }

func anyTime(doc string) Node { return described(pattern(`^(`+onFilm+`|`+fromSnap+`)$`), doc) }

// markTime is anyTime, or a number with a point, which is seconds from the snap.
func markTime(doc string) Node {
	return described(Node{"anyOf": []Node{
		pattern(`^(` + onFilm + `|` + fromSnap + `|` + bare + `)$`), someSeconds(-16, 16),
	}}, doc)
}

// someSeconds is a number with a point, within bounds that it does not reach.
func someSeconds(over, under int) Node {
	return Node{"type": "number", "exclusiveMinimum": over, "exclusiveMaximum": under, "not": Node{"type": "integer"}}
}

// terms is one line of terms, or a list of them.
func terms() Node {
	return Node{"anyOf": []Node{text(), list(text())}}
}

var word = regexp.MustCompile(`^[\p{L}\p{M}\p{N}][\p{L}\p{M}\p{N}-]*$`)

// oneOf is a regular expression for any of names, the longest first.
func oneOf(names []string) string {
	names = slices.Clone(names)
	slices.SortFunc(names, func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	names = slices.Compact(names)
	for i, name := range names {
		names[i] = regexp.QuoteMeta(name)
	}
	return "(" + strings.Join(names, "|") + ")"
}
