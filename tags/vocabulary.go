package tags

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

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
	What   string   // of a move: what it is, in words for a slate
	Drills []string // of a move: what it is practised by
	// Of an outcome: "yes" where it counts as pressure, or as a sack, which is pressure
	// too; "no" where a staff says it does not; empty where nobody says.
	Pressure, Sack string
	first          string // its name before a staff's files gave it another
}

// names is the word's name and its aliases.
func (w Word) names() []string { return append([]string{w.Name}, w.Also...) }

// List is the words one key may hold, in the order the staff ranks them.
type List struct {
	Pos   Pos
	Key   string
	Words []Word
	index map[string]int // names and aliases
}

// Find is the word that text names, by its name or an alias.
func (l *List) Find(text string) (Word, bool) {
	if w := l.find(text); w != nil {
		return *w, true
	}
	return Word{}, false
}

// find is Find without a copy, or nil.
func (l *List) find(text string) *Word {
	if l == nil {
		return nil
	}
	i, ok := l.index[text]
	if !ok {
		return nil
	}
	return &l.Words[i]
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

// reindex makes names and aliases known after Words has changed.
func (l *List) reindex() {
	l.index = make(map[string]int, len(l.Words))
	for i, w := range l.Words {
		for _, name := range w.names() {
			l.index[name] = i
		}
	}
}

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

// Vocabulary is the words of a staff: one list a key, the named choices, the reads, and
// the time within which a blocker must be beaten.
type Vocabulary struct {
	Lists   map[string]*List
	Choices map[string]Choice
	Reads   []Read
	Limit   Time   // beat in time: at most this long after the snap
	Points  Points // production points; empty where there is no table
	Caution string // what stands where technique is taught

	prices []price // what Points was made of
}

// List is the list of a key; a key that has none gives an empty list.
func (v *Vocabulary) List(key string) *List {
	if l, ok := v.Lists[key]; ok {
		return l
	}
	return &List{Key: key}
}

// Families is every family that a move has, in the order of the moves.
func (v *Vocabulary) Families() []string {
	var families []string
	for _, w := range v.List("move").Words {
		if w.Family != "" && !slices.Contains(families, w.Family) {
			families = append(families, w.Family)
		}
	}
	return families
}

// Label is how a word of a list is shown to a room.
func (v *Vocabulary) Label(key, name string) string {
	if w, ok := v.List(key).Find(name); ok && w.Label != "" {
		return w.Label
	}
	return strings.ReplaceAll(name, "-", " ")
}

// Endings of the names of a staff's own files.
const (
	VocabularySuffix = ".vocabulary.yaml"
	ReadsSuffix      = ".reads.yaml"
)

// StaffFiles is the files a staff changes its words and its reads by.
type StaffFiles struct {
	Vocabulary []string
	Reads      []string
}

// FindStaffFiles names the vocabulary and reads files that go with the games at paths:
// those in a folder and below it, those beside a tag file, and those in the folders above
// either, up to the current one, so that a season's words hold whether a game is named or
// found. None is no error. No path at all means the current folder.
func FindStaffFiles(paths []string) (StaffFiles, error) {
	var found StaffFiles
	if len(paths) == 0 {
		paths = []string{"."}
	}
	seen := map[string]bool{}
	add := func(file string) {
		if seen[abs(file)] || strings.HasPrefix(filepath.Base(file), ".") {
			return
		}
		seen[abs(file)] = true
		switch {
		case strings.HasSuffix(file, VocabularySuffix):
			found.Vocabulary = append(found.Vocabulary, file)
		case strings.HasSuffix(file, ReadsSuffix):
			found.Reads = append(found.Reads, file)
		}
	}
	walk := func(root string, deep bool) error {
		err := filepath.WalkDir(root, func(file string, entry fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case !entry.IsDir():
				add(file)
			case file != root && (!deep || strings.HasPrefix(entry.Name(), ".")):
				return filepath.SkipDir
			}
			return nil
		})
		if err != nil {
			return fmt.Errorf("find vocabulary in %s: %w", root, err)
		}
		return nil
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return found, fmt.Errorf("find vocabulary: %w", err)
		}
		root := path
		if !info.IsDir() {
			root = filepath.Dir(path)
		}
		if err := walk(root, info.IsDir()); err != nil {
			return found, err
		}
		for _, folder := range above(root) {
			if err := walk(folder, false); err != nil {
				return found, err
			}
		}
	}
	// The order of new words must not hang on the order in which games were named.
	for _, files := range [][]string{found.Vocabulary, found.Reads} {
		slices.SortFunc(files, func(a, b string) int { return cmp.Compare(abs(a), abs(b)) })
	}
	return found, nil
}

// above is the folders above folder, the nearest first, up to the current one; none where
// folder is not below that.
func above(folder string) []string {
	within, err := filepath.Rel(abs("."), abs(folder))
	if err != nil || !filepath.IsLocal(within) {
		return nil
	}
	var folders []string
	for within != "." {
		within = filepath.Dir(within)
		folders = append(folders, within)
	}
	return folders
}

// DefaultVocabulary is the words and the reads that templates carry.
func DefaultVocabulary() (*Vocabulary, error) {
	v, faults, err := LoadVocabulary(StaffFiles{})
	return v, errors.Join(err, faults.Err())
}

// LoadVocabulary is the words and the reads that templates carry with a staff's own laid
// over them. The faults are all of all files, and the vocabulary holds what could be
// read; whether terms of choices and reads mean something is the query language's to
// say. The error is a file that could not be read at all.
func LoadVocabulary(staff StaffFiles) (*Vocabulary, Faults, error) {
	const words, reads = "vocabulary.yaml", "reads.yaml"
	data, err := templates.FS.ReadFile(words)
	if err != nil {
		return nil, nil, fmt.Errorf("read the vocabulary: %w", err)
	}
	v, err := ParseVocabulary("templates/"+words, data)
	if err != nil {
		return v, nil, err
	}
	var faults Faults
	var files []*vocabularyFile
	var failed []error
	for _, file := range staff.Vocabulary {
		data, err := readFile(file)
		if err != nil {
			failed = append(failed, fmt.Errorf("read the vocabulary: %w", err))
			continue
		}
		f, fs := parseVocabularyFile(file, data)
		files, faults = append(files, f), append(faults, fs...)
	}
	faults = append(faults, v.extend(files)...)
	// Reads name words, so they come after whatever the staff renames.
	if data, err = templates.FS.ReadFile(reads); err != nil {
		return v, nil, fmt.Errorf("read the reads: %w", err)
	}
	own, fs := parseReads("templates/"+reads, data, v)
	v.Reads, faults = own.reads, append(faults, fs...)
	var readsFiles []readsFile
	for _, file := range staff.Reads {
		data, err := readFile(file)
		if err != nil {
			failed = append(failed, fmt.Errorf("read the reads: %w", err))
			continue
		}
		f, fs := parseReads(file, data, v)
		readsFiles, faults = append(readsFiles, f), append(faults, fs...)
	}
	faults = append(faults, v.extendReads(readsFiles)...)
	faults.Sort()
	return v, faults, errors.Join(failed...)
}

// defaultLimit is the usual limit of beat in time: publicly explained, and a staff may set
// its own.
const defaultLimit = 5 * Second / 2

// ParseVocabulary reads a vocabulary file that stands by itself; its error is [Faults].
func ParseVocabulary(file string, data []byte) (*Vocabulary, error) {
	f, faults := parseVocabularyFile(file, data)
	v := &Vocabulary{Lists: f.lists, Choices: f.choices, Limit: defaultLimit, prices: f.prices, Caution: f.caution.Text}
	if f.limit != nil {
		v.Limit = Time(f.limit.N)
	}
	faults = append(faults, v.reorder(f)...)
	faults = append(faults, v.checkWords()...)
	faults.Sort()
	return v, faults.Err()
}

// vocabularyFile is what one vocabulary file says.
type vocabularyFile struct {
	limit   *Instant
	lists   map[string]*List
	orders  map[string]*order
	choices map[string]Choice
	points  Pos // of the table of points; Line 0 where there is none
	prices  []price
	caution Term // Text is empty where there is none
}

// order is words of a list in the order a staff ranks them.
type order struct {
	Pos   Pos
	words []Term
}

func (o *order) String() string { return Choice{Terms: o.words}.String() }

func parseVocabularyFile(file string, data []byte) (*vocabularyFile, Faults) {
	d := &Decoder{File: file}
	src := newSource(data)
	f := &vocabularyFile{lists: map[string]*List{}, orders: map[string]*order{}, choices: map[string]Choice{}}
	d.Document(data, "the vocabulary", Keys{
		"limit": func(n *yaml.Node) {
			switch at := d.Instant(n, "limit"); {
			case at == nil:
			case at.NeedsRate() || at.N <= 0:
				d.Faults.Add(at.Pos, "limit: want seconds from the snap, such as 2.5s")
			default:
				f.limit = at
			}
		},
		"words": func(n *yaml.Node) {
			d.Each(n, "words", func(key, value *yaml.Node) { f.lists[key.Value] = d.list(key, value) })
		},
		"order": func(n *yaml.Node) {
			d.Each(n, "order", func(key, value *yaml.Node) {
				f.orders[key.Value] = &order{d.Pos(key), d.terms(value, "order of "+key.Value, src)}
			})
		},
		"points":  func(n *yaml.Node) { f.points, f.prices = d.Pos(n), d.prices(n) },
		"caution": func(n *yaml.Node) { f.caution = d.caution(n) },
		"choices": func(n *yaml.Node) {
			d.Each(n, "choices", func(key, value *yaml.Node) {
				if !word.MatchString(key.Value) {
					d.Faults.Add(d.Pos(key), "choice %q: want letters, digits and hyphens", key.Value)
					return
				}
				f.choices[key.Value] = Choice{d.Pos(key), d.terms(value, "choice "+key.Value, src)}
			})
		},
	})
	return f, d.Faults
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
			d.Mapping(value, name.Value, Keys{
				"also": func(n *yaml.Node) {
					d.List(n, "also", func(n *yaml.Node) { w.Also = append(w.Also, d.Text(n, "also")) })
				},
				"family": func(n *yaml.Node) { w.Family = d.Text(n, "family") },
				"path":   func(n *yaml.Node) { w.Path = d.Text(n, "path") },
				"label":  func(n *yaml.Node) { w.Label = d.Text(n, "label") },
				// Of moves only.
				"what": func(n *yaml.Node) { w.What = d.words(n, "what", mostWhat) },
				"drills": func(n *yaml.Node) {
					d.List(n, "drills", func(n *yaml.Node) {
						if drill := d.words(n, "drill", mostWhat); drill != "" {
							w.Drills = append(w.Drills, drill)
						}
					})
				},
				// Of outcomes only, which checkWords holds to.
				"pressure": func(n *yaml.Node) { w.Pressure = d.yesNoWord(n, "pressure") },
				"sack":     func(n *yaml.Node) { w.Sack = d.yesNoWord(n, "sack") },
			})
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

// yesNoWord is the scalar n as the word yes or no.
func (d *Decoder) yesNoWord(n *yaml.Node, what string) string {
	if d.YesNo(n, what) {
		return "yes"
	}
	return "no"
}

// checkWords finds what words say that does not hold, once all files are laid over one
// another, and makes the table of points.
func (v *Vocabulary) checkWords() Faults {
	fs := v.checkPaths()
	for _, key := range slices.Sorted(maps.Keys(v.Lists)) {
		for _, w := range v.Lists[key].Words {
			switch {
			case key != "move" && (w.What != "" || w.Drills != nil):
				fs.Add(w.Pos, "%s %s: what and drills are for moves", key, w.Name)
			case key != "outcome" && w.Pressure+w.Sack != "":
				fs.Add(w.Pos, "%s %s: pressure and sack are for words of outcome", key, w.Name)
			case w.Sack == "yes" && w.Pressure == "no":
				fs.Add(w.Pos, "outcome %s is a sack, and a sack is pressure", w.Name)
			}
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
			fs.hint(DidYouMean(w.Path, v.List("path").Names()))
		}
	}
	return fs
}

// fixed is the lists whose words the program counts and judges by. A staff may add to
// them, and give their words aliases, labels and another order, but no other name.
var fixed = []string{
	"kind", "field", "type", "job", "path", "block", "help", "battle", "credit",
	"contain", "penalty", "grade", "taken",
}

// fixedWords is such words of other lists.
var fixedWords = map[string][]string{"outcome": {"out-too-soon"}}

// keepsName reports whether the program counts by a word.
func keepsName(key, word string) bool {
	return slices.Contains(fixed, key) || slices.Contains(fixedWords[key], word)
}

// extend lays a staff's files over v. What two of them say of one thing must agree, so
// that the order of files means nothing.
func (v *Vocabulary) extend(files []*vocabularyFile) Faults {
	e := extension{v: v, said: map[string]saying{}}
	for _, f := range files {
		if f.limit != nil && e.say("limit", f.limit.Pos, Time(f.limit.N).String()) {
			v.Limit = Time(f.limit.N)
		}
		for _, key := range slices.Sorted(maps.Keys(f.lists)) {
			base, ok := v.Lists[key]
			if !ok {
				e.unknownList(f.lists[key].Pos, key)
				continue
			}
			for _, w := range f.lists[key].Words {
				e.word(base, w)
			}
		}
		for _, name := range slices.Sorted(maps.Keys(f.choices)) {
			if c := f.choices[name]; e.say("choice "+name, c.Pos, c.String()) {
				v.Choices[name] = c
			}
		}
	}
	for _, f := range files {
		for _, key := range slices.Sorted(maps.Keys(f.orders)) {
			if o := f.orders[key]; !e.say("order of "+key, o.Pos, o.String()) {
				delete(f.orders, key)
			}
		}
		e.faults = append(e.faults, v.reorder(f)...)
		// What a staff's table leaves out earns nothing: it was added up with no other in mind.
		if f.points.Line > 0 && e.say("points", f.points, pricesText(f.prices)) {
			v.prices = f.prices
		}
		if f.caution.Text != "" && e.say("caution", f.caution.Pos, f.caution.Text) {
			v.Caution = f.caution.Text
		}
	}
	return append(e.faults, v.checkWords()...)
}

// extension is a vocabulary while a staff's files are laid over it.
type extension struct {
	v      *Vocabulary
	said   map[string]saying // by what it is of
	faults Faults
}

// saying is what a staff's file says of a thing, and where.
type saying struct {
	pos  Pos
	text string
}

// say notes what a file says of a thing; it reports false, and a fault, where another
// has said otherwise.
func (e *extension) say(of string, pos Pos, text string) bool {
	if first, ok := e.said[of]; ok && first.text != text {
		e.faults.Add(pos, "%s is %q here, but %q at %s", of, text, first.text, first.pos)
		return false
	}
	e.said[of] = saying{pos, text}
	return true
}

func (e *extension) unknownList(pos Pos, key string) {
	e.faults.Add(pos, "unknown list %q in words", key)
	e.faults.hint(DidYouMean(key, slices.Sorted(maps.Keys(e.v.Lists))))
}

// word adds w to a list, or lays it over the words it names: what it leaves out stays,
// and where it calls a word that is there by another name, that is its name from now on.
func (e *extension) word(l *List, w Word) {
	var hits []int // the word of w's own name first
	for _, name := range w.names() {
		if i, ok := l.index[name]; ok && !slices.Contains(hits, i) {
			hits = append(hits, i)
		}
	}
	if len(hits) == 0 {
		w.first = w.Name
		e.agrees(l.Key, w.first, w)
		l.Words = append(l.Words, w)
		l.reindex()
		return
	}
	was := l.Words[hits[0]]
	if i := slices.IndexFunc(hits, func(i int) bool { return keepsName(l.Key, l.Words[i].Name) }); i >= 0 {
		if was := l.Words[hits[i]]; was.Name != w.Name {
			e.faults.Add(w.Pos, "%s %s keeps its name, because the program counts by it", l.Key, was.Name)
			e.faults.hint(fmt.Sprintf("want %s: {also: [%s]}, and a label for how it is shown", was.Name, w.Name))
			return
		}
		if len(hits) > 1 {
			e.faults.Add(w.Pos, "%s %s stands by itself, because the program counts by it; it is no other name for %s", l.Key, l.Words[hits[1]].Name, w.Name)
			return
		}
	}
	now := w
	now.Also, now.first = nil, was.first
	also := slices.Clone(w.Also)
	for _, i := range hits {
		if !e.agrees(l.Key, l.Words[i].first, w) {
			return
		}
		old := l.Words[i]
		also = append(also, old.names()...)
		now.Family, now.Path, now.Label = cmp.Or(now.Family, old.Family), cmp.Or(now.Path, old.Path), cmp.Or(now.Label, old.Label)
		now.What = cmp.Or(now.What, old.What)
		if now.Drills == nil {
			now.Drills = old.Drills
		}
		now.Pressure, now.Sack = cmp.Or(now.Pressure, old.Pressure), cmp.Or(now.Sack, old.Sack)
	}
	for _, name := range also {
		if name != now.Name && !slices.Contains(now.Also, name) {
			now.Also = append(now.Also, name)
		}
	}
	slices.Sort(hits)
	l.Words[hits[0]] = now
	for _, i := range slices.Backward(hits[1:]) {
		l.Words = slices.Delete(l.Words, i, i+1)
	}
	l.reindex()
}

// agrees notes what w says of the word once called first, and reports whether no other
// file says otherwise.
func (e *extension) agrees(key, first string, w Word) bool {
	ok := true
	for _, part := range []struct{ what, text string }{
		{"name", w.Name},
		{"family", w.Family},
		{"path", w.Path},
		{"label", w.Label},
		{"text", w.What},
		{"drills", strings.Join(w.Drills, "; ")},
		{"pressure", w.Pressure},
		{"sack", w.Sack},
	} {
		if part.text != "" && ok {
			ok = e.say(fmt.Sprintf("the %s of %s %s", part.what, key, first), w.Pos, part.text)
		}
	}
	return ok
}

// reorder puts the words that the file ranks before the others of their lists.
func (v *Vocabulary) reorder(f *vocabularyFile) Faults {
	var fs Faults
	for _, key := range slices.Sorted(maps.Keys(f.orders)) {
		o := f.orders[key]
		l, ok := v.Lists[key]
		if !ok {
			fs.Add(o.Pos, "unknown list %q in order", key)
			fs.hint(DidYouMean(key, slices.Sorted(maps.Keys(v.Lists))))
			continue
		}
		var ranked []Word
		for _, t := range o.words {
			w, ok := l.Find(t.Text)
			switch {
			case !ok:
				fs.Add(t.Pos, "unknown %s %q in its order", key, t.Text)
				fs.hint(DidYouMean(t.Text, l.Names()))
			case slices.ContainsFunc(ranked, func(r Word) bool { return r.Name == w.Name }):
				fs.Add(t.Pos, "%s %q stands twice in its order", key, t.Text)
			default:
				ranked = append(ranked, w)
			}
		}
		for _, w := range l.Words {
			if !slices.ContainsFunc(ranked, func(r Word) bool { return r.Name == w.Name }) {
				ranked = append(ranked, w)
			}
		}
		l.Words = ranked
		l.reindex()
	}
	return fs
}

// source is the lines of a file, as YAML counts them.
type source [][]rune

var lineEnd = regexp.MustCompile("\r\n|[\n\r\u0085\u2028\u2029]")

func newSource(data []byte) source {
	if len(data) > maxFile {
		return nil
	}
	var s source
	for _, line := range lineEnd.Split(strings.TrimPrefix(string(data), "\uFEFF"), -1) {
		s = append(s, []rune(line))
	}
	return s
}

// term is text, which begins at character n of a node's value, with its place.
func (s source) term(d *Decoder, n *yaml.Node, at int, text string) Term {
	t := Term{Pos: d.Pos(n), Text: text}
	if n.Line < 1 || n.Line > len(s) {
		return t
	}
	column := n.Column + at
	if n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		column++
	}
	line := s[n.Line-1]
	if from := column - 1; from >= 0 && from <= len(line) && strings.HasPrefix(string(line[from:]), text) {
		t.Pos.Column, t.exact = column, true
	}
	return t
}

// terms reads one line of terms, or a list of them: in a list a term may hold spaces.
func (d *Decoder) terms(n *yaml.Node, what string, src source) []Term {
	if n.Kind == yaml.SequenceNode {
		var terms []Term
		d.List(n, what, func(n *yaml.Node) {
			if text, ok := d.scalar(n, what); ok && strings.TrimSpace(text) != "" {
				terms = append(terms, src.term(d, n, 0, text))
			}
		})
		return terms
	}
	text, _ := d.scalar(n, what)
	var terms []Term
	at := 0 // characters before rest
	for rest := text; ; {
		begun := strings.TrimLeftFunc(rest, unicode.IsSpace)
		if begun == "" {
			return terms
		}
		at += utf8.RuneCountInString(rest[:len(rest)-len(begun)])
		one := strings.Fields(begun)[0]
		terms = append(terms, src.term(d, n, at, one))
		at += utf8.RuneCountInString(one)
		rest = begun[len(one):]
	}
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
