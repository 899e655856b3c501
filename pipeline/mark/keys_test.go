package mark_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/internal/tagger"
	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

// demoGame is the text of one of the demo's games.
func demoGame(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "templates", "demo", name+tags.Suffix))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func vocabulary(t testing.TB) *tags.Vocabulary {
	t.Helper()
	v, faults, err := tags.LoadVocabulary(tags.StaffFiles{})
	if err := errors.Join(err, faults.Err()); err != nil {
		t.Fatal(err)
	}
	return v
}

// opened is a document over text whose film is taken to have a rate and no end.
func opened(t testing.TB, text string, rates map[string]tags.Rate) (*mark.Document, map[string]tags.Clock) {
	t.Helper()
	return openedWith(t, text, rates, nil)
}

func openedWith(t testing.TB, text string, rates map[string]tags.Rate, keys []mark.Key) (*mark.Document, map[string]tags.Clock) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "wk1"+tags.Suffix)
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	v := vocabulary(t)
	game, faults := tags.ParseGame(path, []byte(text), v)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	extents, clocks := map[string]tags.Extent{}, map[string]tags.Clock{}
	for _, f := range game.Films {
		clocks[f.Angle] = tags.Clock{Rate: rates[f.Angle]}
		extents[f.File] = tags.Extent{Clock: clocks[f.Angle], Frames: 1 << 20}
	}
	d, err := mark.Open(path, v, mark.Options{Films: extents, Keys: keys})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.Close)
	return d, clocks
}

var demoRates = map[string]map[string]tags.Rate{
	"wk1-harbor":  {"endzone": {Num: 30000, Den: 1001}, "sideline": {Num: 30000, Den: 1001}},
	"wk2-granite": {"endzone": {Num: 30000, Den: 1001}, "sideline": {Num: 25, Den: 1}},
}

// The demo's games, tagged by keys alone from empty lists of plays, say what the demo says:
// every word the same and every time within a frame. What a rep costs is what DEVELOPERS.md
// says of it.
func TestDemoByKeys(t *testing.T) {
	typicalKeys, reps, markKeys := 0, 0, 0
	var each []int
	for _, name := range []string{"wk1-harbor", "wk2-granite"} {
		text := demoGame(t, name)
		whole, _ := opened(t, text, demoRates[name])
		head, _, _ := strings.Cut(text, "plays:\n")
		d, clocks := opened(t, head+"plays: []\n", demoRates[name])
		want := tagger.Wanted{
			Game: whole.Look().Game, Clock: func(angle string) tags.Clock { return clocks[angle] },
			Value: func(play int, rep string, f mark.Field) string {
				v, _ := whole.Look().Value(play, rep, f)
				return v
			},
		}
		tag := tagger.New(d)
		if err := tag.Plays(want); err != nil {
			t.Fatal(err)
		}
		if err := tag.Reps(want); err != nil {
			t.Fatal(err)
		}
		for _, wrong := range tagger.Differences(whole.Look(), d.Look(), tags.Second/25, nil) {
			t.Errorf("%s: %s", name, wrong)
		}
		if faults := d.Look().Faults; faults.Grave() > 0 {
			t.Errorf("%s has faults: %v", name, faults)
		}
		counts := map[string]int{}
		for _, s := range tag.Steps {
			if s.Rep != "" && s.Kind == tagger.Facts {
				counts[s.Rep]++
				typicalKeys++
			}
			if s.Rep != "" && s.Kind == tagger.Marks {
				markKeys++
			}
		}
		reps += len(counts)
		for _, n := range counts {
			each = append(each, n)
		}
	}
	slices.Sort(each)
	t.Logf("%d reps: keys a rep %.1f, median %d, most %d; with marks %.1f", reps, float64(typicalKeys)/float64(reps), each[len(each)/2], each[len(each)-1], float64(typicalKeys+markKeys)/float64(reps))
	if median := each[len(each)/2]; median > 10 {
		t.Errorf("a typical rep costs %d keys, want 10 at most", median)
	}
	if all := float64(typicalKeys+markKeys) / float64(reps); all > 15 {
		t.Errorf("a rep with its marks costs %.1f keys, want 15 at most", all)
	}
}
