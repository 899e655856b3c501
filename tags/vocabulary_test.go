package tags

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// staff lays vocabulary files, given as text, over the templates'.
func staff(t testing.TB, texts ...string) (*Vocabulary, Faults) {
	t.Helper()
	return staffOf(t, VocabularySuffix, texts)
}

func staffOf(t testing.TB, suffix string, texts []string) (*Vocabulary, Faults) {
	t.Helper()
	dir := t.TempDir()
	var files []string
	for i, text := range texts {
		files = append(files, filepath.Join(dir, string(rune('a'+i))+suffix))
		if err := os.WriteFile(files[i], []byte("trenchcut: 1\n"+text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	of := StaffFiles{Vocabulary: files}
	if suffix == ReadsSuffix {
		of = StaffFiles{Reads: files}
	}
	v, faults, err := LoadVocabulary(of)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range faults {
		faults[i].Pos.File, faults[i].What = filepath.Base(f.Pos.File), strings.ReplaceAll(f.What, dir+"/", "")
	}
	return v, faults
}

func TestStaffAddsAndRenames(t *testing.T) {
	before := vocabulary(t)
	v, faults := staff(t, `
limit: 2.4s
words:
  move:
    - stab: {also: [long-arm, jab], label: Stab}
    - euro-step: {family: finesse, path: inside}
    - bull: {path: inside}
    - rip: {also: [club-rip]}
  stunt: [twist]
  outcome: [knockdown, {hurry: {also: [bother], label: Bother}}]
  align: [10]
order: {outcome: [sack, hurry]}
choices:
  inside-counter: counter=yes path=inside set=short
  ends: [rusher=Teo Marlow, "align=5,9"]
`)
	if faults != nil {
		t.Fatal(faults)
	}
	if v.Limit != 2400*Millisecond {
		t.Errorf("limit is %s", v.Limit)
	}
	for text, want := range map[string]string{
		"stab": "stab power outside Stab", "jab": "stab power outside Stab", "long-arm": "stab power outside Stab",
		"euro-step": "euro-step finesse inside euro step",
		"bull":      "bull power inside bull", "bull-rush": "bull power inside bull",
		"club-rip": "rip hands outside rip", "rip": "rip hands outside rip",
	} {
		w, ok := v.List("move").Find(text)
		if got := fmt.Sprint(w.Name, " ", w.Family, " ", w.Path, " ", v.Label("move", w.Name)); !ok || got != want {
			t.Errorf("%s is %q, want %q", text, got, want)
		}
	}
	// What is renamed keeps its place, what is new comes last, and nothing else moves.
	want := slices.Clone(before.List("move").Names())
	want[slices.Index(want, "long-arm")] = "stab"
	i, j := slices.Index(want, "club-rip"), slices.Index(want, "rip")
	want[i] = "rip" // two words that are one from now on stand where the first did
	want = append(slices.Delete(want, j, j+1), "euro-step")
	if diff := cmp.Diff(want, v.List("move").Names()); diff != "" {
		t.Error(diff)
	}
	if got := v.List("stunt").Names(); got[0] != "twist" || !slices.Contains(v.List("stunt").Words[0].Also, "tackle-end") {
		t.Errorf("stunts are %q", got)
	}
	outcomes := v.List("outcome").Names()
	if outcomes[0] != "sack" || outcomes[1] != "hurry" || outcomes[2] != "strip-sack" || outcomes[len(outcomes)-1] != "knockdown" {
		t.Errorf("outcomes are %q", outcomes)
	}
	if v.List("outcome").Rank("bother") != 1 || v.Label("outcome", "hurry") != "Bother" {
		t.Error("an alias does not rank as its word, or the label is lost")
	}
	if len(outcomes) != len(before.List("outcome").Names())+1 {
		t.Errorf("there are %d outcomes", len(outcomes))
	}
	if got := v.Choices["inside-counter"].String(); got != "counter=yes path=inside set=short" {
		t.Errorf("the staff's choice is %q", got)
	}
	if got := v.Choices["ends"].Terms; len(got) != 2 || got[0].Text != "rusher=Teo Marlow" {
		t.Errorf("a list of terms reads as %v", got)
	}
	if _, ok := v.Choices["third-down"]; !ok {
		t.Error("a choice of the templates is gone")
	}
	if got := v.Families(); !slices.Contains(got, "finesse") || len(got) != len(before.Families())+1 {
		t.Errorf("families are %q", got)
	}
	g, faults := ParseGame("x.game.yaml", []byte("trenchcut: 1\ngame: {id: x}\npeople: {oke: {team: us, jersey: 91}}\nplays: [{play: 1, reps: [91 long-arm>euro-step bother]}]"), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	r := g.Plays[0].Reps[0]
	if got := r.Sequence() + " " + r.Outcome + " " + r.Path(); got != "stab>euro-step hurry inside" {
		t.Errorf("the rep reads as %q", got)
	}
	if pressure, known := r.Pressure(); !pressure || !known {
		t.Error("a hurry by another name is no pressure")
	}
}

// Every word that rules hang on is in a list whose words keep their names.
func TestFixedLists(t *testing.T) {
	v := vocabulary(t)
	for _, key := range fixed {
		if len(v.List(key).Names()) == 0 {
			t.Errorf("%s is fixed, but no list", key)
		}
	}
	for key, words := range map[string][]string{
		"did": {"half-sack"}, "job": {"rush", "penetrator", "looper", "run-fit"},
		"battle": {"won", "stalemate", "lost"}, "penalty": {"drew-hold", "offside"}, "help": {"none"}, "block": {"double"},
		"type": {"dropback", "run"}, "path": {"inside"}, "taken": {"yes", "no", "not-his-job"}, "kind": {"game"},
	} {
		for _, word := range words {
			if w, ok := v.List(key).Find(word); !ok || w.Name != word || !keepsName(key) {
				t.Errorf("%s %s may be renamed, or is not there", key, word)
			}
		}
	}
}

// Two files that agree are as good as one, whatever their order.
func TestStaffFilesInAnyOrder(t *testing.T) {
	texts := []string{
		"limit: 2.4s\nwords: {move: [{stab: {also: [long-arm]}}], set: [{soft: {label: Soft}}]}\norder: {battle: [lost]}\n",
		"limit: 0:02.4\nwords: {move: [{stab: {also: [long-arm, jab], label: Stab}}, euro-step], set: [soft]}\norder: {battle: lost}\n",
		"words: {move: [{stab: {path: inside}}]}\n",
	}
	var want map[string]string
	for _, order := range [][]int{{0, 1, 2}, {2, 1, 0}, {1, 0, 2}} {
		v, faults := staff(t, texts[order[0]], texts[order[1]], texts[order[2]])
		if faults != nil {
			t.Fatalf("order %v: %v", order, faults)
		}
		got := map[string]string{}
		for _, key := range []string{"move", "set", "battle"} {
			for _, w := range v.List(key).Words {
				slices.Sort(w.Also)
				got[key+" "+w.Name] = fmt.Sprint(w.Also, w.Family, w.Path, w.Label, v.List(key).Rank(w.Name))
			}
		}
		if want == nil {
			want = got
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("order %v:\n%s", order, diff)
		}
	}
}

func TestStaffVocabularyFaults(t *testing.T) {
	_, faults := staff(t, `limit: 2.4s
words:
  move: [{stab: {also: [long-arm]}}, {euro-step: {path: inside, family: finesse}}, {spin: {label: Spin!}}]
order: {outcome: [sack, hit]}
choices: {soft: set=short}
`, `limit: 2.6s
words:
  move: [{poke: {also: [long-arm]}}, {euro-step: {path: outside}}, {fade: {path: outsid}}, {spin: {label: Spin}}]
  battle: [{beat: {also: [won]}}, {won: {also: [even]}}]
  did: [{part-sack: {also: [half-sack]}}]
  sets: [soft]
  set: [short, soft, short]
order: {outcome: [hit, sack], battle: [won, wonn, won], set: [soft], moves: []}
choices:
  soft: set=short,jump
  two words: set=short
`, "words: {move: [{plod: {path: outsid}}]\n")
	golden(t, "staff.golden", faults.Error()+"\n")
}

func TestFindStaffFiles(t *testing.T) {
	dir := t.TempDir()
	game := write(t, dir, "season/wk1.game.yaml", "")
	top := write(t, dir, "season/cedar.vocabulary.yaml", "")
	reads := write(t, dir, "season/cedar.reads.yaml", "")
	below := write(t, dir, "season/wk2/b.vocabulary.yaml", "")
	write(t, dir, "season/.old/c.vocabulary.yaml", "")
	write(t, dir, "season/.d.vocabulary.yaml", "")
	write(t, dir, "above.vocabulary.yaml", "")
	for _, c := range []struct {
		paths []string
		want  StaffFiles
	}{
		{[]string{filepath.Join(dir, "season")}, StaffFiles{[]string{top, below}, []string{reads}, nil}},
		{[]string{game}, StaffFiles{[]string{top}, []string{reads}, nil}},
		{[]string{game, filepath.Join(dir, "season"), game}, StaffFiles{[]string{top, below}, []string{reads}, nil}},
		{[]string{filepath.Join(dir, "season", "wk2")}, StaffFiles{[]string{below}, nil, nil}},
	} {
		got, err := FindStaffFiles(c.paths)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%q: %s", c.paths, diff)
		}
	}
	if _, err := FindStaffFiles([]string{filepath.Join(dir, "no such")}); err == nil {
		t.Error("a path that does not exist is no error")
	}
	t.Chdir(filepath.Join(dir, "season", "wk2"))
	if got, err := FindStaffFiles(nil); err != nil || !cmp.Equal(got.Vocabulary, []string{"b.vocabulary.yaml"}) {
		t.Errorf("the current folder gives %+v, %v", got, err)
	}
	// From further up, the words of the folders between hold too, and nothing above.
	write(t, dir, "season/wk2/wk2.game.yaml", "")
	t.Chdir(filepath.Join(dir, "season"))
	for _, path := range []string{"wk2/wk2.game.yaml", "wk2", filepath.Join(dir, "season", "wk2"), "../season/wk2/wk2.game.yaml"} {
		got, err := FindStaffFiles([]string{path})
		for i := range got.Vocabulary {
			got.Vocabulary[i] = abs(got.Vocabulary[i])
		}
		if err != nil || !cmp.Equal(got.Vocabulary, []string{top, below}) || !cmp.Equal(got.Reads, []string{"cedar.reads.yaml"}) {
			t.Errorf("%s gives %+v, %v", path, got, err)
		}
	}
	if got, err := FindStaffFiles([]string{".."}); err != nil || slices.Contains(got.Reads, "cedar.reads.yaml") {
		t.Errorf("the folder above gives %+v, %v", got, err)
	}
	if _, _, err := LoadVocabulary(StaffFiles{Vocabulary: []string{"none"}, Reads: []string{"nor this"}}); err == nil || !strings.Contains(err.Error(), "nor this") {
		t.Errorf("files that are not there give %v", err)
	}
}

// A term knows where its characters stand, as far as that can be told.
func TestTermPlaces(t *testing.T) {
	v, faults := staff(t, `choices:
  plain: set=short  battle=won
  quoted: "set=short battle=won"
  list: [set=short, 'rusher=Teo Marlow']
  wide: front=ʻo set=short
  folded:
    set=short
    battle=won
  block: |
    set=short battle=won
`)
	if faults != nil {
		t.Fatal(faults)
	}
	for name, want := range map[string]string{
		"plain":  "3:14 3:25",
		"quoted": "4:16 4:26",
		"list":   "5:14 5:26",
		"wide":   "6:13 6:22",
		"folded": "8:9 8:5", // the second stands on another line, so the value is pointed at
		"block":  "10:10 10:10",
	} {
		var got []string
		for _, term := range v.Choices[name].Terms {
			pos := term.At(4)
			got = append(got, fmt.Sprintf("%d:%d", pos.Line, pos.Column))
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: character 4 of each stands at %q, want %s", name, got, want)
		}
	}
}

// What a move is and what it is practised by may be said in a staff's own words, one without
// the other; every move of the templates says what it is.
func TestTechniques(t *testing.T) {
	before := vocabulary(t)
	for _, w := range before.List("move").Words {
		if w.What == "" || len([]rune(w.What)) > mostWhat || !strings.HasSuffix(w.What, ".") {
			t.Errorf("the text of %s is %q", w.Name, w.What)
		}
	}
	v, faults := staff(t, `
words:
  move:
    - spin: {drills: [Bag turn, "Mirror, half speed"]}
    - stab: {also: [long-arm], what: "One  arm,\n straight."}
`)
	if faults != nil {
		t.Fatal(faults)
	}
	spin, _ := v.List("move").Find("spin")
	was, _ := before.List("move").Find("spin")
	if spin.What != was.What || !slices.Equal(spin.Drills, []string{"Bag turn", "Mirror, half speed"}) {
		t.Errorf("spin is %q with drills %q", spin.What, spin.Drills)
	}
	for _, wrong := range []string{"words: {set: [{short: {what: He sits.}}]}", "words: {set: [{short: {drills: [Mirror]}}]}", "words: {move: [{spin: {what: " + strings.Repeat("turn ", 80) + "}}]}"} {
		if _, faults := staff(t, wrong); faults.Grave() != 1 {
			t.Errorf("%.60s: %v, want a fault", wrong, faults)
		}
	}
	if stab, _ := v.List("move").Find("long-arm"); stab.What != "One arm, straight." || stab.Path != "outside" {
		t.Errorf("the staff's own text is %+v", stab)
	}
}

// The caution may be said in other words, but a file that leaves it empty or says next to
// nothing is refused, and the templates' stands.
func TestCaution(t *testing.T) {
	ours := vocabulary(t).Caution
	for _, word := range []string{"qualified coaches", "league", "head up", "neck", "passer", "concussion", "clinician"} {
		if !strings.Contains(ours, word) {
			t.Errorf("the caution does not speak of %q: %s", word, ours)
		}
	}
	const own = "Contact is taught by our coaches, head up, and a hurt player sits until he is cleared."
	if v, faults := staff(t, "caution: "+own); faults != nil || v.Caution != own {
		t.Errorf("the staff's caution is %q (%v)", v.Caution, faults)
	}
	for _, text := range []string{
		"caution:", `caution: ""`, `caution: "   "`, "caution: \"\u00a0\u2003\"", "caution: ~", "caution: no", "caution: none of it", `caution: ". . . . . ."`,
		"caution: {}", "caution: " + strings.Repeat("head up ", 51),
	} {
		v, faults := staff(t, text)
		if faults.Grave() == 0 {
			t.Errorf("%q is no fault", text)
		}
		if v.Caution != ours {
			t.Errorf("%q: the caution is %q", text, v.Caution)
		}
	}
	if _, faults := staff(t, "caution: "+own, "caution: "+own+" Really."); faults.Grave() == 0 {
		t.Error("two cautions are no fault")
	}
}
