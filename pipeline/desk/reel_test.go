package desk_test

import (
	"bufio"
	"encoding/json"
	"image/png"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/render"
)

// previewed is a take as the page gets it.
type previewed struct {
	Play    int
	Rep     string
	Angle   string
	In, Out int
	Drawn   string
	Seconds float64
}

// The page plays the chosen reps before a reel is made, in its order, and makes the reel beside
// the game, telling the page and the terminal how far it is.
func TestReel(t *testing.T) {
	game := season(t, demoGame(t), demoFilms(t))
	var told atomic.Int64
	s := serve(t, desk.Request{Game: game, Events: func(render.Event) { told.Add(1) }})
	v := visit(t, s.Address())
	page := map[string]string{"Origin": v.base, "Content-Type": "application/json"}
	var got struct {
		Takes       []previewed
		Title, Said string
	}
	ask := func(body string) {
		t.Helper()
		status, said, _ := v.ask("POST", "/preview", body, page)
		got.Takes, got.Title, got.Said = nil, "", ""
		if err := json.Unmarshal([]byte(said), &got); status != http.StatusOK || err != nil {
			t.Fatalf("status %d, %v: %s", status, err, said)
		}
	}
	ask(`{"terms":"inside-counter"}`)
	var plays, slates []int
	for i, take := range got.Takes {
		if take.Seconds > 0 {
			slates = append(slates, i)
			continue
		}
		plays = append(plays, take.Play)
		if take.Angle != "endzone" || take.Out <= take.In || take.Rep == "" {
			t.Errorf("a take is %+v", take)
		}
	}
	if want := []int{5, 12, 25, 32, 48, 57}; !slices.Equal(plays, want) {
		t.Errorf("the takes are of plays %v, want %v: %s", plays, want, got.Said)
	}
	if len(slates) < 2 || slates[0] != 0 {
		t.Errorf("slates are the takes %v of %d, want one first and one last at least", slates, len(got.Takes))
	}
	status, picture, head := v.ask("GET", "/"+got.Takes[0].Drawn, "", nil)
	if slate, err := png.Decode(strings.NewReader(picture)); status != http.StatusOK || err != nil || slate.Bounds().Dx() < 640 {
		t.Errorf("the slate is %d %v %v", status, head, err)
	}
	var over []struct {
		Picture             string
		X, Y, Width, Height float64
		In, Out             int
	}
	film := got.Takes[slices.IndexFunc(got.Takes, func(take previewed) bool { return take.Seconds == 0 })]
	_, list, _ := v.ask("GET", "/"+film.Drawn, "", nil)
	if err := json.Unmarshal([]byte(list), &over); err != nil || len(over) == 0 {
		t.Fatalf("what lies over the film is %s (%v)", list, err)
	}
	for _, o := range over {
		if o.X < 0 || o.Y < 0 || o.X+o.Width > 1 || o.Y+o.Height > 1 || o.In < film.In || o.Out > film.Out+1 || o.In >= o.Out {
			t.Errorf("drawn over frames %d to %d: %+v", film.In, film.Out, o)
		}
		if status, picture, _ := v.ask("GET", "/"+o.Picture, "", nil); status != http.StatusOK || !strings.HasPrefix(picture, "\x89PNG") {
			t.Errorf("%s is answered by %d", o.Picture, status)
		}
	}
	for _, none := range []string{"/drawn/99/0.png", "/drawn/1/999.png", "/drawn/1/-1.png", "/drawn/1/0-0.png", "/drawn/1/x"} {
		if status, _, _ := v.ask("GET", none, "", nil); status != http.StatusNotFound {
			t.Errorf("%s is answered by %d", none, status)
		}
	}
	for body, want := range map[string]string{
		`{"terms":"outcom=sack"}`:                                 `did you mean "outcome"?`,
		`{"terms":"play=999"}`:                                    "nothing tagged meets",
		`{"terms":"inside-counter","recipe":"../../secret.yaml"}`: "there is no recipe",
	} {
		if ask(body); len(got.Takes) > 0 || !strings.Contains(got.Said, want) {
			t.Errorf("%s: %d takes, %q, want %q", body, len(got.Takes), got.Said, want)
		}
	}

	b := sit(t, s)
	b.click("#tab-reel")
	b.click("#reel-terms")
	b.Must("Input.insertText", map[string]any{"text": "play=5 rusher=91"}, nil)
	b.key("Enter")
	b.Wait(`document.querySelector("#stage .slate")?.naturalWidth >= 640`)
	b.Picture("desk-slate.png")
	b.Wait(`document.querySelectorAll("#reel-list li").length === 3 && desk().at.frame > 430 && document.querySelector("#stage canvas").hidden && [...document.querySelectorAll("#stage .drawn:not([hidden])")].some((e) => e.firstChild.naturalWidth > 0 && e.getBoundingClientRect().width > 20)`) // it plays
	var clock string
	if b.Eval(`document.querySelector("#clock").textContent`, &clock); !regexp.MustCompile(`^\d\d:\d\d:\d\d  plays$`).MatchString(clock) {
		t.Errorf("while it plays the clock says %q, which is more than the browser knows", clock)
	}
	b.Picture("desk-labels.png")
	b.Wait(`desk().at.frame > 640 && [...document.querySelectorAll("#stage .drawn:not([hidden]) img")].some((e) => e.naturalHeight > 400 && e.style.top !== "0%")`) // the rush clock runs
	b.Picture("desk-clock.png")
	b.click("#reel-preview")
	b.Wait(`document.querySelector("#stage .slate")`)
	b.click("#tab-form") // whoever goes on with the game is shown no slate
	b.Wait(`!document.querySelector("#stage .slate") && !document.querySelector("#reel-list [aria-current]")`)
	b.click("#tab-reel")
	b.click("#reel-title")
	b.Must("Input.insertText", map[string]any{"text": "One rush"}, nil)
	b.click("#reel-make")
	b.Wait(`!document.querySelector("#reel-made").hidden || document.querySelector("#reel-said").classList.contains("wrong")`)
	var said string
	if b.Eval(`document.querySelector("#reel-said").textContent`, &said); !strings.HasPrefix(said, "one-rush.mp4: 2 clips, ") {
		t.Errorf("the page says %q", said)
	}
	if told.Load() == 0 {
		t.Error("the terminal was told nothing")
	}
	reel, err := os.ReadFile(filepath.Join(filepath.Dir(game), "one-rush.mp4"))
	if err != nil {
		t.Fatal(err)
	}
	if status, served, _ := v.ask("GET", "/made/one-rush.mp4", "", nil); status != http.StatusOK || !strings.HasPrefix(string(reel), served) || served == "" {
		t.Errorf("status %d, %d bytes, want the reel's %d", status, len(served), len(reel))
	}
	if status, _, _ := v.ask("GET", "/made/wk1.game.yaml", "", nil); status != http.StatusNotFound {
		t.Errorf("a file that is no reel made here is answered by %d", status)
	}
}

// Who only looks makes no reel.
func TestReelReadOnly(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	s := serve(t, desk.Request{Game: game, ReadOnly: true})
	v := visit(t, s.Address())
	status, said, _ := v.ask("POST", "/make", `{"terms":"play=5"}`, map[string]string{"Origin": v.base, "Content-Type": "application/json"})
	if status != http.StatusConflict || !strings.Contains(said, "--read-only") {
		t.Errorf("status %d, %s", status, said)
	}
}

// Where the farm at which reels are to be cut does not answer, the page says so and makes none.
func TestNoFarm(t *testing.T) {
	game := season(t, `trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor State}
film: {endzone: {file: film/end.mp4}}
people: {marlow: {team: us, jersey: 91}}
plays: [{play: 5, type: dropback, in: f5, out: f50, marks: {snap: f20}, reps: [91 9 spin short won]}]
`, map[string]string{"end.mp4": film(t, 60, ntsc)})
	place, err := farm.ParsePlace("nats://127.0.0.1:9", "")
	if err != nil {
		t.Fatal(err)
	}
	s := serve(t, desk.Request{Game: game, At: &place})
	v := visit(t, s.Address())
	if status, said, _ := v.ask("POST", "/make", `{"terms":"play=5"}`, map[string]string{"Origin": v.base, "Content-Type": "application/json"}); status != http.StatusNoContent {
		t.Fatalf("status %d: %s", status, said)
	}
	changes, err := v.Get(v.base + "/changes")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = changes.Body.Close() }()
	var made struct {
		Said, Made   string
		Ended, Wrong bool
	}
	for lines := bufio.NewScanner(changes.Body); !made.Ended && lines.Scan(); {
		if data, ok := strings.CutPrefix(lines.Text(), "data: {"); ok {
			if err := json.Unmarshal([]byte("{"+data), &made); err != nil {
				t.Fatal(err)
			}
		}
	}
	if !made.Wrong || made.Made != "" || !strings.Contains(made.Said, "no farm answers") {
		t.Errorf("it ended with %+v", made)
	}
}
