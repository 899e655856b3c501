package exchange

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

var roundTrips = flag.Int("games", 25, "how many games of every field are exported and imported")

// A game with every field of plays and reps in every way of writing it, exported as CSV or XLSX
// and imported as it is, is the same file to the last byte.
func TestImportOfExportChangesNothing(t *testing.T) {
	v := vocabulary(t)
	v.Same = map[string]map[string]string{"front": {"1-10": "-3", "007": "=1+1"}, "Tempo": {"TRUE": "3.0", "two\nlines": "tab\there"}}
	reps, tried := 0, map[string]bool{}
	for seed := range *roundTrips {
		w := &everything{rand.New(rand.NewPCG(uint64(seed), 5)), v}
		data := w.game(t)
		game, faults := tags.ParseGame("wk1.game.yaml", data, v)
		if faults.Err() != nil {
			t.Fatalf("seed %d: an invented game has faults: %v\n%s", seed, faults.Err(), data)
		}
		var all []*tags.Rep
		for _, p := range game.Plays {
			all = append(all, p.Reps...)
			for _, f := range tags.PlayFields {
				tried[f.Name] = tried[f.Name] || f.Text(p) != ""
			}
		}
		for _, r := range all {
			for _, f := range repFields {
				tried[f.key] = tried[f.key] || f.text(r) != ""
			}
		}
		reps += len(all)
		for of, table := range map[string]Table{"plays": playSheet(game.Plays), "reps": RepSheet(all)} {
			for form, s := range sheetForms(t, table) {
				change, err := Merge(t.Context(), "wk1.game.yaml", data, s, nil, v)
				if err != nil {
					t.Fatalf("seed %d: %s as %s: %v\n%s", seed, of, form, err, data)
				}
				if !bytes.Equal(change.Data, data) || change.Lines != nil || change.Added+change.Filled+change.Differs > 0 || grave(change.Faults).Err() != nil {
					t.Errorf("seed %d: %s as %s: %q %v", seed, of, form, change.Lines, grave(change.Faults))
				}
			}
		}
		if t.Failed() {
			t.Logf("%s", data)
			break
		}
	}
	for _, f := range tags.PlayFields {
		if !tried[f.Name] {
			t.Errorf("no play has %s", f.Name)
		}
	}
	for _, f := range repFields {
		if !tried[f.key] {
			t.Errorf("no rep has %s", f.key)
		}
	}
	if reps < *roundTrips {
		t.Errorf("only %d reps", reps)
	}
}

// everything writes games that use every field there is.
type everything struct {
	*rand.Rand
	vocabulary *tags.Vocabulary
}

func (w *everything) of(words ...string) string { return words[w.IntN(len(words))] }

// word is a word of a list, by any of its names.
func (w *everything) word(list string) string {
	words := w.vocabulary.List(list).Words
	word := words[w.IntN(len(words))]
	return w.of(append(slices.Clone(word.Also), word.Name, word.Name)...)
}

// texts is what a spreadsheet may take for something else.
var texts = []string{
	"Bend sooner: now", "=1+1", "-3", "+x", "@home", "'so", "''=x", "007", "1-10", "3.0", "1e5", "12:05", "0:10:00", "10%", "TRUE", "yes", "null",
	"2026-11-30", "a, b", `"quoted" text`, "two\nlines", "tab\there", "Loʻimata Ūnga", "#N/A", "#1", "x; y", "no one", "~", "{a: b}", "100000000000000000001", ".5", "1/2", "N/A", "—",
}

func (w *everything) text() string { return w.of(texts...) }

// scalar is a text as YAML, in quotes of either kind or in none where it needs none.
func (w *everything) scalar(text string) *yaml.Node {
	n := tags.Scalar(text)
	if w.IntN(3) == 0 {
		n.Style = yaml.DoubleQuotedStyle
	}
	return n
}

func (w *everything) seconds() string {
	return w.of("+0.5s", "+1.20s", "+0:00:02.250", "+f12", "-0.25s", "+1.2345s", "+0.001s")
}

// mapping is keys and values of which each is there half of the time.
func (w *everything) mapping(flow bool) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	if flow {
		n.Style = yaml.FlowStyle
	}
	return n
}

func (w *everything) half() bool { return w.IntN(2) == 0 }

func (w *everything) game(t *testing.T) []byte {
	t.Helper()
	var b strings.Builder
	b.WriteString("trenchcut: 1\n# by hand\ngame: {id: wk1, us: Cedar Hollow, opponent: Harbor Point}\n")
	if w.half() {
		b.WriteString("assume: {help: none}\n")
	}
	b.WriteString(`film:
  endzone: {file: ez.mp4}
  sideline: {}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91, pos: DE}
  oke: {name: Ike Oke, team: us, jersey: "091", pos: DT}
  bare: {name: "", team: us}
  twin: {name: Ode Twin, team: us, jersey: 7}
  other: {name: Ulf Twin, team: us, jersey: 7}
  hp72: {team: Harbor Point, jersey: 72, pos: RT}
  hp91: {team: Harbor Point, jersey: 91, pos: LT}
  qb: {name: Abe Ito, team: Harbor Point, jersey: 7, pos: QB}
plays:
`)
	number := 0
	for range 3 + w.IntN(5) {
		number += 1 + w.IntN(3)
		fmt.Fprintf(&b, "  # before %d\n", number)
		text, err := yaml.Marshal(&yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{w.play(number)}})
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString("  " + strings.ReplaceAll(strings.TrimSuffix(string(text), "\n"), "\n", "\n  ") + "\n")
	}
	return []byte(b.String())
}

func (w *everything) play(number int) *yaml.Node {
	n := w.mapping(false)
	put := func(n *yaml.Node, key string, value *yaml.Node) {
		n.Content = append(n.Content, w.scalar(key), value)
	}
	put(n, "play", tags.Bare(fmt.Sprint(number)))
	for _, f := range tags.PlayFields[1:] {
		if !w.half() {
			continue
		}
		put(n, f.FileKey(), w.value(f.Kind, f.WordList(), f.Least, f.Most, w.of("qb", "qb", "hp72")))
	}
	if w.half() {
		extra := w.mapping(w.half())
		for _, key := range []string{"Tempo", "down", "91 move", "rusher", "file", "Box Count", "#", "extra: x", "guess"} {
			if w.IntN(3) == 0 {
				put(extra, key, w.scalar(w.text()))
			}
		}
		if len(extra.Content) > 0 {
			put(n, "extra", extra)
		}
	}
	switch w.IntN(3) {
	case 0:
		put(n, "in", tags.Bare("0:00:01.5"))
		put(n, "out", tags.Bare("9s"))
	case 1:
		angles := w.mapping(false)
		ez, side := w.mapping(true), w.mapping(true)
		put(ez, "in", tags.Bare(w.of("1s", "0:00:01.000", "f30")))
		put(ez, "out", tags.Bare("0:01:00.123456"))
		put(ez, "snap", tags.Bare("4.25s"))
		put(side, "file", w.scalar(fmt.Sprintf("clips/%d, side.mp4", number)))
		put(angles, "endzone", ez)
		put(angles, "sideline", side)
		put(n, "angles", angles)
	}
	reps := &yaml.Node{Kind: yaml.SequenceNode}
	for _, who := range []string{"marlow", "oke", "bare", "twin", "other"} {
		switch w.IntN(4) {
		case 0, 1:
			reps.Content = append(reps.Content, w.rep(who))
		case 2:
			if who == "marlow" {
				reps.Content = append(reps.Content, tags.Bare("91 9 long-arm>up-and-under short sack"))
			}
		}
	}
	if len(reps.Content) > 0 {
		put(n, "reps", reps)
	}
	return n
}

func (w *everything) rep(who string) *yaml.Node {
	n := w.mapping(w.IntN(4) == 0)
	under := map[string]*yaml.Node{}
	put := func(key, within string, value *yaml.Node) {
		into := n
		if within != "" {
			if under[within] == nil {
				under[within] = w.mapping(true)
				n.Content = append(n.Content, tags.Scalar(within), under[within])
			}
			into = under[within]
		}
		into.Content = append(into.Content, tags.Scalar(key), value)
	}
	put("rusher", "", tags.Scalar(who))
	for _, f := range repFields[1:] {
		if !w.half() && f.key != "battle" {
			continue
		}
		switch {
		case f.mark != "":
			put(f.file, f.under, tags.Bare(w.seconds()))
		case f.key == "move":
			moves := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
			for range 1 + w.IntN(3) {
				move := w.word("move")
				if w.IntN(3) == 0 {
					move += "/" + w.word("path")
				}
				moves.Content = append(moves.Content, tags.Scalar(move))
			}
			put(f.file, f.under, moves)
		case f.key == "counter":
			put(f.file, f.under, tags.Scalar(w.of("yes", "no")))
		case f.key == "model":
			put(f.file, f.under, tags.Scalar("wk9-p001-91"))
		default:
			put(f.file, f.under, w.value(f.field.Kind, f.field.WordList(), 0, 0, w.of("hp72", "hp91")))
		}
	}
	return n
}

// value is a value of a kind of field.
func (w *everything) value(kind tags.Kind, list string, least, most int, person string) *yaml.Node {
	switch kind {
	case tags.KindWord:
		return w.scalar(w.word(list))
	case tags.KindClock:
		return w.scalar(fmt.Sprintf("%s%d:%02d", w.of("", "0"), w.IntN(10), w.IntN(60)))
	case tags.KindWhole:
		return tags.Bare(fmt.Sprint(least + w.IntN(most+1-least)))
	case tags.KindYesNo:
		return tags.Scalar(w.of("yes", "no"))
	case tags.KindPerson:
		return tags.Scalar(person)
	case tags.KindWords, tags.KindTexts:
		n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
		for range 1 + w.IntN(2) {
			if kind == tags.KindWords {
				n.Content = append(n.Content, tags.Scalar(w.word(list)))
			} else {
				n.Content = append(n.Content, w.scalar(w.text()))
			}
		}
		return n
	default:
		return w.scalar(w.text())
	}
}
