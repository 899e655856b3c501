package desk_test

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/render"
)

// The page plays the chosen reps before a reel is made, in its order, and makes the reel beside
// the game, telling the page and the terminal how far it is.
func TestReel(t *testing.T) {
	game := season(t, demoGame(t), demoFilms(t))
	var told atomic.Int64
	s := serve(t, desk.Request{Game: game, Events: func(render.Event) { told.Add(1) }})
	v := visit(t, s.Address())
	page := map[string]string{"Origin": v.base, "Content-Type": "application/json"}
	var got struct {
		Takes []struct {
			Play    int
			Rep     string
			Angle   string
			In, Out int
		}
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
	var plays []int
	for _, take := range got.Takes {
		plays = append(plays, take.Play)
		if take.Angle != "endzone" || take.Out <= take.In || take.Rep == "" {
			t.Errorf("a take is %+v", take)
		}
	}
	if want := []int{5, 12, 25, 32, 48, 57}; !slices.Equal(plays, want) {
		t.Errorf("the takes are of plays %v, want %v: %s", plays, want, got.Said)
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
	b.Wait(`document.querySelectorAll("#reel-list li").length === 1 && desk().at.frame > 450`) // it plays
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
