package desk_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/tagger"
	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

// demoGame is the text of the demo's first game.
func demoGame(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "templates", "demo", "wk1-harbor"+tags.Suffix))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

const ntsc = "30000/1001"

var ntscRate = tags.Rate{Num: 30000, Den: 1001}

// demoFilms is film of the length and rate of the demo's.
func demoFilms(t *testing.T) map[string]string {
	t.Helper()
	path := film(t, 4600, ntsc)
	return map[string]string{"wk1-harbor-endzone.mp4": path, "wk1-harbor-sideline.mp4": path}
}

func vocabulary(t *testing.T) *tags.Vocabulary {
	t.Helper()
	v, faults, err := tags.LoadVocabulary(tags.StaffFiles{})
	if err := errors.Join(err, faults.Err()); err != nil {
		t.Fatal(err)
	}
	return v
}

// written is the keys that tag the demo's first plays from an empty list of plays, and what
// is to come of them.
func written(t *testing.T, plays int) (empty string, steps []tagger.Step, want *mark.Document) {
	t.Helper()
	head, list, _ := strings.Cut(demoGame(t), "plays:\n")
	items := strings.SplitAfterN(list, "\n\n", plays+1)
	whole := head + "plays:\n" + strings.Join(items[:min(plays, len(items))], "")
	empty = head + "plays: []\n"
	open := func(text string) *mark.Document {
		path := filepath.Join(t.TempDir(), "wk1"+tags.Suffix)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		extents := map[string]tags.Extent{}
		for _, angle := range []string{"endzone", "sideline"} {
			extents[filepath.Join(filepath.Dir(path), "film", "wk1-harbor-"+angle+".mp4")] = tags.Extent{Clock: tags.Clock{Rate: ntscRate}, Frames: 4600}
		}
		d, err := mark.Open(path, vocabulary(t), mark.Options{Films: extents})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(d.Close)
		return d
	}
	want = open(whole)
	tag := tagger.New(open(empty))
	wanted := tagger.Wanted{
		Game: want.Look().Game, Clock: func(string) tags.Clock { return tags.Clock{Rate: ntscRate} },
		Value: func(play int, rep string, f mark.Field) string {
			v, _ := want.Look().Value(play, rep, f)
			return v
		},
	}
	if err := errors.Join(tag.Plays(wanted), tag.Reps(wanted)); err != nil {
		t.Fatal(err)
	}
	return empty, tag.Steps, want
}

// The demo's first plays, tagged in a browser by keys alone from an empty list of plays, say
// what the demo says: every word the same, every time within a frame.
func TestDemoInBrowser(t *testing.T) {
	const plays = 4
	empty, steps, want := written(t, plays)
	game := season(t, empty, demoFilms(t))
	b := sit(t, serve(t, desk.Request{Game: game}))
	// What a key takes of the page and its server, until all that it does is shown.
	b.Eval(`window.walls = []; document.addEventListener("keydown", () => { const start = performance.now(); void atRest().then(() => walls.push(performance.now() - start)); }); 0`, nil)
	shown := mark.At{}
	for i, step := range steps {
		if step.At != shown && step.At.Angle != "" {
			var at mark.At
			if b.Eval(fmt.Sprintf("showFrame(%q, %d)", step.At.Angle, step.At.Frame), &at); at != step.At {
				t.Fatalf("the page shows %+v, want %+v", at, step.At)
			}
			shown = step.At
		}
		switch {
		case step.Spot != nil:
			b.spot(*step.Spot)
		case step.Text != "":
			b.Must("Input.insertText", map[string]any{"text": step.Text}, nil)
			b.key("Enter")
		default:
			b.key(step.Key)
		}
		now := b.now()
		if now.Desk.Wrong || now.Gone {
			b.Picture("desk-wrong.png")
			t.Fatalf("step %d, %+v: %s", i, step, now.Desk.Said)
		}
		if now.Desk.Play != 0 && step.Key == "PageDown" { // the page goes to the play by itself
			shown = mark.At{}
			b.Eval("new Promise((done) => setTimeout(done, 100))", nil)
		}
	}
	b.Picture("desk-tagged.png")
	var walls []float64
	b.Eval("walls.sort((a, b) => a - b)", &walls)
	sum := 0.0
	for _, wall := range walls {
		sum += wall
	}
	reps := 0
	for _, p := range want.Look().Game.Plays {
		reps += len(p.Reps)
	}
	t.Logf("%d keys for %d plays of %d reps: %.0f ms of wall each in the median, %.0f in nine of ten, %.1f s together", len(walls), plays, reps,
		walls[len(walls)/2], walls[len(walls)*9/10], sum/1000)
	data, err := os.ReadFile(game)
	if err != nil {
		t.Fatal(err)
	}
	parsed, faults := tags.ParseGame(game, data, vocabulary(t))
	if err := faults.Err(); err != nil {
		t.Errorf("%v\n%s", err, data)
	}
	if len(parsed.Plays) != plays {
		t.Errorf("%d plays, want %d", len(parsed.Plays), plays)
	}
	got, err := mark.Open(game, vocabulary(t), mark.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, wrong := range tagger.Differences(want.Look(), got.Look(), ntscRate.Duration(1), spotsNear) {
		t.Error(wrong)
	}
}

// spot clicks on the man in the large picture.
func (b *sitting) spot(at tags.Point) {
	b.t.Helper()
	var box struct{ Left, Top, Width, Height float64 }
	b.Eval(`(({left, top, width, height}) => ({left, top, width, height}))(document.querySelector("#stage .pane").getBoundingClientRect())`, &box)
	scale := min(box.Width/320, box.Height/180)
	b.clickAt(box.Left+(box.Width-320*scale)/2+at.X*320*scale, box.Top+(box.Height-180*scale)/2+at.Y*180*scale)
}

// spotsNear reports whether a field is a spot and two values of it are a hundredth of the
// picture apart at most: a mouse hits to a pixel.
func spotsNear(key, a, b string) bool { return strings.Contains(key, " spot.") && near(a, b) }

func near(a, b string) bool {
	var x, y, u, v float64
	_, errA := fmt.Sscanf(a, "%f\n%f", &x, &y)
	_, errB := fmt.Sscanf(b, "%f\n%f", &u, &v)
	return errA == nil && errB == nil && max(x-u, u-x, y-v, v-y) <= 0.01
}
