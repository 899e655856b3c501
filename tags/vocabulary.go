package tags

import (
	"fmt"
	"regexp"
	"sort"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/templates"
)

// Word is one entry of a vocabulary list.
type Word struct {
	Pos    Pos
	Name   string
	Also   []string // aliases, read as Name
	Family string   // of a move: power, speed, hands or change
	Path   string   // of a move: the path it usually takes
	Label  string   // how it is shown, where that is not its name with spaces
}

// List is the words one key may hold, in the order the staff ranks them.
type List struct {
	Key   string
	Words []Word
	index map[string]int // names and aliases
}

// Find is the word that text names, by its name or an alias.
func (l *List) Find(text string) (Word, bool) {
	if l == nil {
		return Word{}, false
	}
	i, ok := l.index[text]
	if !ok {
		return Word{}, false
	}
	return l.Words[i], true
}

// Rank is the place of a word in its list, from 0; unknown words come last.
func (l *List) Rank(name string) int {
	if i, ok := l.index[name]; ok {
		return i
	}
	return len(l.Words)
}

// Names is every name of the list, in order, without aliases.
func (l *List) Names() []string {
	names := make([]string, len(l.Words))
	for i, w := range l.Words {
		names[i] = w.Name
	}
	return names
}

// Vocabulary is the words of a staff: one list a key, the named choices, and the time
// within which a blocker must be beaten.
type Vocabulary struct {
	Lists   map[string]*List
	Choices map[string][]string // a named choice and the terms it stands for
	Limit   Time                // beat in time: at most this long after the snap
}

// List is the list of a key; a key that has none gives an empty list.
func (v *Vocabulary) List(key string) *List {
	if l, ok := v.Lists[key]; ok {
		return l
	}
	return &List{Key: key}
}

// Label is how a word of a list is shown to a room.
func (v *Vocabulary) Label(key, name string) string {
	if w, ok := v.List(key).Find(name); ok && w.Label != "" {
		return w.Label
	}
	return strings.ReplaceAll(name, "-", " ")
}

// DefaultVocabulary is the vocabulary that templates/vocabulary.yaml carries.
func DefaultVocabulary() (*Vocabulary, error) {
	const name = "vocabulary.yaml"
	data, err := templates.FS.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("read the vocabulary: %w", err)
	}
	return ParseVocabulary("templates/"+name, data)
}

// defaultLimit is the usual limit of beat in time: publicly explained, and a staff may set
// its own.
const defaultLimit = 5 * Second / 2

// ParseVocabulary reads a vocabulary file; its error is [Faults].
func ParseVocabulary(file string, data []byte) (*Vocabulary, error) {
	d := &Decoder{File: file}
	v := &Vocabulary{Lists: map[string]*List{}, Choices: map[string][]string{}, Limit: defaultLimit}
	d.Document(data, "the vocabulary", Keys{
		"limit": func(n *yaml.Node) {
			switch at := d.Instant(n, "limit"); {
			case at == nil:
			case at.NeedsRate() || at.N <= 0:
				d.Faults.Add(at.Pos, "limit: want seconds from the snap, such as 2.5s")
			default:
				v.Limit = Time(at.N)
			}
		},
		"words": func(n *yaml.Node) {
			d.Each(n, "words", func(key, value *yaml.Node) { v.Lists[key.Value] = d.list(key, value) })
		},
		"choices": func(n *yaml.Node) {
			d.Each(n, "choices", func(key, value *yaml.Node) {
				v.Choices[key.Value] = strings.Fields(d.Text(value, "choice "+key.Value))
			})
		},
	})
	for _, w := range v.List("move").Words {
		if _, ok := v.List("path").Find(w.Path); !ok && w.Path != "" {
			d.Faults.Add(w.Pos, "unknown path %q of move %s", w.Path, w.Name)
			d.Faults.hint(DidYouMean(w.Path, v.List("path").Names()))
		}
	}
	d.Faults.Sort()
	return v, d.Faults.Err()
}

// list reads "key: [word, {word: {also: [...], path: ...}}, ...]".
func (d *Decoder) list(key, value *yaml.Node) *List {
	l := &List{Key: key.Value, index: map[string]int{}}
	d.List(value, key.Value, func(n *yaml.Node) {
		if n.Kind != yaml.MappingNode {
			if name, ok := d.scalar(n, key.Value); ok {
				d.addWord(l, n, Word{Name: name})
			}
			return
		}
		d.Each(n, key.Value, func(name, value *yaml.Node) {
			w := Word{Name: name.Value}
			d.Mapping(value, name.Value, Keys{
				"also": func(n *yaml.Node) {
					d.List(n, "also", func(n *yaml.Node) { w.Also = append(w.Also, d.Text(n, "also")) })
				},
				"family": func(n *yaml.Node) { w.Family = d.Text(n, "family") },
				"path":   func(n *yaml.Node) { w.Path = d.Text(n, "path") },
				"label":  func(n *yaml.Node) { w.Label = d.Text(n, "label") },
			})
			d.addWord(l, name, w)
		})
	})
	return l
}

// word is what the one-line form of a rep can hold.
var word = regexp.MustCompile(`^[\pL\pM\pN][\pL\pM\pN-]*$`)

func (d *Decoder) addWord(l *List, n *yaml.Node, w Word) {
	for _, name := range append([]string{w.Name}, w.Also...) {
		if !word.MatchString(name) {
			d.Faults.Add(d.Pos(n), "%s %q: want letters, digits and hyphens", l.Key, name)
		}
		if _, taken := l.index[name]; taken {
			d.Faults.Add(d.Pos(n), "%s %q stands twice", l.Key, name)
		}
		l.index[name] = len(l.Words)
	}
	w.Pos = d.Pos(n)
	l.Words = append(l.Words, w)
}

// Word is the scalar n as a word of v's list key, its alias resolved.
func (d *Decoder) Word(n *yaml.Node, v *Vocabulary, key string) string {
	text := d.Text(n, key)
	if text == "" {
		return ""
	}
	list := v.List(key)
	if w, ok := list.Find(text); ok {
		return w.Name
	}
	d.Faults.Add(d.Pos(n), "unknown %s %q", key, text)
	d.Faults.hint(DidYouMean(text, list.Names()))
	return ""
}

func sorted(s []string) []string {
	sort.Strings(s)
	return s
}
