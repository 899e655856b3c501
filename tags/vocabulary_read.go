package tags

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// defaultLimit is the usual limit of beat in time: publicly explained, and a staff may set
// its own.
const defaultLimit = 5 * Second / 2

// What stands where no vocabulary says otherwise (common practice; staffs differ).
const defaultBallOut = 2 * Second

var defaultDistances = Distances{Short: 2, Long: 7}

// parseVocabulary reads a vocabulary file that stands by itself; its error is [Faults].
func parseVocabulary(file string, data []byte) (*Vocabulary, error) {
	f, faults := parseVocabularyFile(file, data)
	v := &Vocabulary{Lists: f.lists, Choices: f.choices, Limit: defaultLimit, BallOut: defaultBallOut, prices: f.prices, Caution: f.caution.Text}
	v.Distances[0] = defaultDistances
	if f.limit != nil {
		v.Limit = Time(f.limit.N)
	}
	if f.ballOut != nil {
		v.BallOut = Time(f.ballOut.N)
	}
	if f.distances != nil {
		v.lay(f.distances)
	}
	faults = append(faults, v.reorder(f)...)
	faults = append(faults, v.checkWords()...)
	faults.Sort()
	return v, faults.Err()
}

type vocabularyFile struct {
	limit, ballOut *Instant
	distances      *distances // nil where it says nothing of them
	lists          map[string]*List
	orders         map[string]*order
	choices        map[string]Choice
	points         Pos // of the table of points; Line 0 where there is none
	prices         []price
	caution        Term // Text is empty where there is none
	same           map[string]map[string]sameTexts
}

// order is words of a list in the order a staff ranks them.
type order struct {
	Pos   Pos
	words []Term
}

func (o *order) String() string { return Choice{Terms: o.words}.String() }

func parseVocabularyFile(file string, data []byte) (*vocabularyFile, Faults) {
	d := &Decoder{File: file}
	f := &vocabularyFile{lists: map[string]*List{}, orders: map[string]*order{}, choices: map[string]Choice{}}
	d.Document(data, "the vocabulary", Keys{
		"limit":     d.sinceSnap("limit", &f.limit),
		"ball-out":  d.sinceSnap("ball-out", &f.ballOut),
		"distances": func(n *yaml.Node) { f.distances = d.distances(n) },
		"words": func(n *yaml.Node) {
			d.Each(n, "words", func(key, value *yaml.Node) { f.lists[key.Value] = d.list(key, value) })
		},
		"order": func(n *yaml.Node) {
			d.Each(n, "order", func(key, value *yaml.Node) {
				f.orders[key.Value] = &order{d.Pos(key), d.terms(value, "order of "+key.Value)}
			})
		},
		"points":  func(n *yaml.Node) { f.points, f.prices = d.Pos(n), d.prices(n) },
		"caution": func(n *yaml.Node) { f.caution = d.caution(n) },
		"same":    func(n *yaml.Node) { f.same = d.same(n) },
		"choices": func(n *yaml.Node) {
			d.Each(n, "choices", func(key, value *yaml.Node) {
				if !word.MatchString(key.Value) {
					d.Faults.Add(d.Pos(key), "choice %q: want letters, digits and hyphens", key.Value)
					return
				}
				f.choices[key.Value] = Choice{d.Pos(key), d.terms(value, "choice "+key.Value)}
			})
		},
	})
	return f, d.Faults
}

// sinceSnap reads how long after the snap something is.
func (d *Decoder) sinceSnap(key string, into **Instant) func(*yaml.Node) {
	return func(n *yaml.Node) {
		text, ok := d.scalar(n, key)
		if !ok {
			return
		}
		if strings.Contains(text, ".") && bareForm.MatchString(text) {
			text += "s" // a number with a point is seconds, as of a mark
		}
		switch at := d.instantOf(text, n, key); {
		case at == nil:
		case at.NeedsRate() || at.N <= 0:
			d.Faults.Add(at.Pos, "%s: want seconds from the snap, such as 2.5s", key)
		default:
			*into = at
		}
	}
}

// list reads "key: [word, {word: {also: [...], path: ...}}, ...]".
func (d *Decoder) list(key, value *yaml.Node) *List {
	l := &List{Pos: d.Pos(key), Key: key.Value, index: map[string]int{}}
	d.List(value, key.Value, func(n *yaml.Node) {
		if n.Kind != yaml.MappingNode {
			if name, ok := d.scalar(n, key.Value); ok {
				d.addWord(l, n, Word{Name: name})
			}
			return
		}
		d.Each(n, key.Value, func(name, value *yaml.Node) {
			w := Word{Name: name.Value}
			keys := Keys{
				"also": func(n *yaml.Node) {
					d.List(n, "also", func(n *yaml.Node) { w.Also = append(w.Also, d.Text(n, "also")) })
				},
				"family": func(n *yaml.Node) { w.Family = d.Text(n, "family") },
				"path":   func(n *yaml.Node) { w.Path = d.Text(n, "path") },
				"label":  func(n *yaml.Node) { w.Label = d.Text(n, "label") },
				// Of moves only.
				"what": func(n *yaml.Node) { w.What = d.words(n, "what", mostWhat) },
				"fix":  func(n *yaml.Node) { w.Fix = d.words(n, "fix", mostWhat) },
				"drills": func(n *yaml.Node) {
					d.List(n, "drills", func(n *yaml.Node) {
						if drill := d.words(n, "drill", mostWhat); drill != "" {
							w.Drills = append(w.Drills, drill)
						}
					})
				},
			}
			for _, f := range WordFlags {
				keys[f.Name] = func(n *yaml.Node) { *f.at(&w) = d.yesNoWord(n, f.Name) }
			}
			d.Mapping(value, name.Value, keys)
			d.addWord(l, name, w)
		})
	})
	return l
}

// word is what the one-line form of a rep can hold.
var word = regexp.MustCompile(`^[\pL\pM\pN][\pL\pM\pN-]*$`)

func (d *Decoder) addWord(l *List, n *yaml.Node, w Word) {
	for _, name := range w.names() {
		if !word.MatchString(name) {
			d.Faults.Add(d.Pos(n), "%s %q: want letters, digits and hyphens", l.Key, name)
		}
		if _, taken := l.index[name]; taken {
			d.Faults.Add(d.Pos(n), "%s %q stands twice", l.Key, name)
		}
		l.index[name] = len(l.Words)
	}
	w.Pos, w.first = d.Pos(n), w.Name
	l.Words = append(l.Words, w)
}

// How long texts for a slate may be, in characters: so much has room on the smallest.
const (
	mostWhat    = 300
	mostCaution = 400
	leastWords  = 5
)

// words is a text that is shown as it is, of at most so many characters; it may be empty.
func (d *Decoder) words(n *yaml.Node, what string, most int) string {
	text, _ := d.scalar(n, what)
	text = strings.Join(strings.Fields(text), " ")
	if count := utf8.RuneCountInString(text); count > most {
		d.Faults.Add(d.Pos(n), "%s has %d characters: a slate holds at most %d", what, count, most)
		return ""
	}
	return text
}

// caution is the staff's own wording of the caution. It may be said in other words but
// not left out, so it takes more than a word or two.
func (d *Decoder) caution(n *yaml.Node) Term {
	t := Term{Pos: d.Pos(n), Text: d.words(n, "caution", mostCaution)}
	noLetter := func(r rune) bool { return !unicode.IsLetter(r) }
	if len(strings.FieldsFunc(t.Text, noLetter)) < leastWords {
		d.Faults.Add(t.Pos, "caution: it may be said in other words but not left out; want a sentence")
		t.Text = ""
	}
	return t
}

// yesNoWord is the scalar n as the word yes or no; empty, with a fault, where it is neither.
func (d *Decoder) yesNoWord(n *yaml.Node, what string) string {
	before := len(d.Faults)
	switch {
	case d.YesNo(n, what):
		return "yes"
	case len(d.Faults) > before:
		return ""
	default:
		return "no"
	}
}

// Word is the scalar n as a word of v's list key, its alias resolved.
func (d *Decoder) Word(n *yaml.Node, v *Vocabulary, key string) string {
	text := d.Text(n, key)
	if text == "" {
		return ""
	}
	if w, ok := v.List(key).Read(text); ok {
		return w.Name
	}
	d.Faults.Add(d.Pos(n), "unknown %s %q", key, text)
	d.Faults.hint(v.DidYouMean(key, text))
	return ""
}

// checkWords finds what words say that does not hold, once all files are laid over one
// another, and makes the table of points.
func (v *Vocabulary) checkWords() Faults {
	fs := v.checkPaths()
	for _, key := range slices.Sorted(maps.Keys(v.Lists)) {
		for _, w := range v.Lists[key].Words {
			if key != "move" && (w.What != "" || w.Fix != "" || w.Drills != nil) {
				fs.Add(w.Pos, "%s %s: what, fix and drills are for moves", key, w.Name)
			}
			fs = append(fs, w.checkFlags(key)...)
		}
	}
	return append(fs, v.price()...)
}

// checkPaths finds moves whose usual path is none of the paths.
func (v *Vocabulary) checkPaths() Faults {
	var fs Faults
	for _, w := range v.List("move").Words {
		if _, ok := v.List("path").Find(w.Path); !ok && w.Path != "" {
			fs.Add(w.Pos, "unknown path %q of move %s", w.Path, w.Name)
			fs.hint(v.DidYouMean("path", w.Path))
		}
	}
	return fs
}

// fixed is the lists whose words the program counts and judges by. A staff may add to
// them, and give their words aliases, labels and another order, but no other name.
var fixed = []string{
	"kind", "field", "type", "hash", "strength", "job", "side", "path", "block", "help", "battle", "did", "credit",
	"contain", "penalty", "grade", "taken",
}

// keepsName reports whether the program counts by the words of a list.
func keepsName(key string) bool { return slices.Contains(fixed, key) }
