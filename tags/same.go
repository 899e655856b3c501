package tags

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"gopkg.in/yaml.v3"
)

// sameTexts is what a vocabulary file says that texts of a staff's columns mean the same:
//
//	same: {front: {Odd Mug: [odd-mug, Odd Mugg]}}
type sameTexts struct {
	pos  Pos
	name string // the one that stands for all
}

// same reads the same of a vocabulary file, by key and text.
func (d *Decoder) same(n *yaml.Node) map[string]map[string]sameTexts {
	all := map[string]map[string]sameTexts{}
	d.Each(n, "same", func(key, value *yaml.Node) {
		texts := map[string]sameTexts{}
		all[key.Value] = texts
		d.Each(value, key.Value, func(name, others *yaml.Node) {
			d.List(others, name.Value, func(n *yaml.Node) {
				text := d.Text(n, name.Value)
				if was, ok := texts[text]; ok && was.name != name.Value {
					d.Faults.Add(d.Pos(n), "%q stands for %q too", text, was.name)
				}
				texts[text] = sameTexts{d.Pos(n), name.Value}
			})
		})
	})
	return all
}

// laySame lays what a staff's file says is the same over v.
func (e *extension) laySame(f *vocabularyFile) {
	for _, key := range slices.Sorted(maps.Keys(f.same)) {
		for _, text := range slices.Sorted(maps.Keys(f.same[key])) {
			s := f.same[key][text]
			if !e.say("same "+key+" "+text, s.pos, s.name) {
				continue
			}
			if e.v.Same == nil {
				e.v.Same = map[string]map[string]string{}
			}
			if e.v.Same[key] == nil {
				e.v.Same[key] = map[string]string{}
			}
			e.v.Same[key][text] = s.name
		}
	}
}

// OneText is the text of a play's field, or of a column of the staff's own, that stands for
// all that mean the same.
func (v *Vocabulary) OneText(key, text string) string {
	return cmp.Or(v.Same[key][text], text)
}

// oneTexts gives p's texts their one form.
func (p *Play) oneTexts(v *Vocabulary) {
	if v.Same == nil {
		return
	}
	for _, f := range PlayFields {
		if f.Kind == KindText {
			at := f.At(p).(*string)
			*at = v.OneText(f.Name, *at)
		}
	}
	for key, text := range p.Extra {
		p.Extra[key] = v.OneText(key, text)
	}
}

// TextCount is how many plays have a text.
type TextCount struct {
	Text  string
	Plays int
}

// Alike is texts under one key that probably mean the same, the most frequent first.
type Alike struct {
	Key   string
	Texts []TextCount
	// Letter says that some differ in a letter, and not only in case, space or hyphen.
	Letter bool
}

// String tells of the texts in a sentence.
func (a Alike) String() string {
	said := make([]string, len(a.Texts))
	for i, t := range a.Texts {
		said[i] = fmt.Sprintf("%s (%s)", t.Text, Count(t.Plays, "play"))
	}
	line := fmt.Sprintf("%s: %s is also written %s", a.Key, said[0], strings.Join(said[1:], ", "))
	if a.Letter {
		line += "; a letter differs"
	}
	return line
}

// FindAlike finds the texts of plays, under their fields and the staff's own columns, that
// differ only in case, space or hyphen, or, where one of them is rare, in a letter.
func FindAlike(plays []*Play) []Alike {
	counts := map[string]map[string]int{}
	add := func(key, text string) {
		if text == "" || len(strings.Fields(text)) > 4 || key == GuessKey || key == "unsure" {
			return
		}
		if counts[key] == nil {
			counts[key] = map[string]int{}
		}
		counts[key][text]++
	}
	for _, p := range plays {
		for _, f := range PlayFields {
			if f.Kind == KindText && f.Name != "yard-line" {
				add(f.Name, f.Text(p))
			}
		}
		for key, text := range p.Extra {
			add(key, text)
		}
	}
	var found []Alike
	for _, key := range slices.Sorted(maps.Keys(counts)) {
		found = append(found, alikeOf(key, counts[key])...)
	}
	return found
}

// alikeOf is the groups of texts under a key that are alike.
func alikeOf(key string, counts map[string]int) []Alike {
	groups := map[string]*Alike{} // by folded text
	plays := map[string]int{}
	for text, n := range counts {
		fold := foldText(text)
		if groups[fold] == nil {
			groups[fold] = &Alike{Key: key}
		}
		groups[fold].Texts = append(groups[fold].Texts, TextCount{text, n})
		plays[fold] += n
	}
	// The rarer is laid to the more frequent, if it is rare enough to be a slip.
	folds := slices.SortedFunc(maps.Keys(groups), func(a, b string) int { return cmp.Or(plays[a]-plays[b], strings.Compare(a, b)) })
	for i, rare := range folds {
		for j := len(folds) - 1; j > i; j-- {
			if often := folds[j]; 3*plays[rare] <= plays[often] && oneLetterOff(rare, often) {
				groups[often].Texts = append(groups[often].Texts, groups[rare].Texts...)
				groups[often].Letter = true
				delete(groups, rare)
				break
			}
		}
	}
	var found []Alike
	for _, fold := range slices.Sorted(maps.Keys(groups)) {
		g := groups[fold]
		if len(g.Texts) < 2 {
			continue
		}
		slices.SortFunc(g.Texts, func(a, b TextCount) int { return cmp.Or(b.Plays-a.Plays, strings.Compare(a.Text, b.Text)) })
		found = append(found, *g)
	}
	return found
}

// foldText is a text without case, and without spaces and hyphens; other signs count, as in
// 3+ and -25.
func foldText(text string) string {
	var b strings.Builder
	for i, r := range text {
		if unicode.IsSpace(r) || r == '_' || r == '-' && i > 0 {
			continue
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// leastLetters is how long a text is before one letter of it may be a slip: Over and Under are
// as near as Gun and Run.
const leastLetters = 5

// oneLetterOff reports whether one letter more, less, other or two changed about make a of b.
// Digits are never slips.
func oneLetterOff(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(x) < leastLetters || len(y)-len(x) > 1 {
		return false
	}
	i := 0
	for i < len(x) && x[i] == y[i] {
		i++
	}
	letters := func(rs []rune) bool {
		return !slices.ContainsFunc(rs, func(r rune) bool { return !unicode.IsLetter(r) })
	}
	switch {
	case len(x) < len(y):
		return letters(y[i:i+1]) && slices.Equal(x[i:], y[i+1:])
	case i == len(x):
		return false
	case slices.Equal(x[i+1:], y[i+1:]):
		return letters(x[i:i+1]) && letters(y[i:i+1])
	default:
		return i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && letters(x[i:i+2]) && slices.Equal(x[i+2:], y[i+2:])
	}
}
