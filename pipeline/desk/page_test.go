package desk_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/browser"
)

// outside is every address that a browser fetched which is none of the server's.
func outside(asked []string, base string) []string {
	var foreign []string
	for _, address := range asked {
		if !strings.HasPrefix(address, base+"/") && !strings.HasPrefix(address, "blob:"+base) && address != "about:blank" {
			foreign = append(foreign, address)
		}
	}
	return foreign
}

// By a mouse alone a rep is tagged; it asks nobody but the server; and what somebody types
// into the file meanwhile is on the page and stays.
func TestByMouse(t *testing.T) {
	game := season(t, demoGame(t), demoFilms(t))
	s := serve(t, desk.Request{Game: game})
	b := sit(t, s)
	b.click("#pass-reps")
	b.Wait("desk().at.frame === 122") // the pass was changed before the first frame was there
	b.click("#tab-plays")
	b.click(`#plays button[data-play="13"]`)
	b.click("#tab-form")
	b.click(`[data-do="who"]`)
	b.click(`#offered [data-take="marlow"]`)
	b.click(`#offered [data-key="Escape"]`)
	b.click(`[data-film="snap"]`)
	b.Wait("desk().at.frame === 1356") // 0:00:45.242 of the end zone
	for range 6 {
		b.click(`[data-film="on"]`)
	}
	b.Wait("desk().at.frame === 1362")
	b.click(`[data-do="mark getoff"]`)
	b.click(`[data-for="reps"] [data-do="form"]`)
	b.click(`#offered [data-take="ghost"]`)
	b.click(`#offered [data-take="jump"]`)
	b.click(`#offered [data-take="lost"]`)
	b.click(`#offered [data-take="no-factor"]`)
	want := `    reps:
      - rusher: marlow
        align: 7
        side: right
        blocker: {who: hp72, set: jump}
        move: [ghost]
        marks: {getoff: +0.20s}
        battle: lost
        outcome: no-factor
`
	text := read(t, game)
	if !strings.Contains(text, want) {
		b.Picture("desk-mouse.png")
		t.Fatalf("the file does not hold\n%s\nthe page says %q", want, b.now().Desk.Said)
	}

	// Somebody else at the same file.
	theirs := strings.Replace(text, "move: [ghost]", "move: [ghost] # looked again\n        saw: [sat]", 1)
	if err := os.WriteFile(game, []byte(theirs), 0o666); err != nil {
		t.Fatal(err)
	}
	b.Wait(`[...document.querySelectorAll("#fields dd")].some((e) => e.textContent === "sat")`)
	b.key("h")
	b.key("l")
	b.key("o")
	if text = read(t, game); !strings.Contains(text, "# looked again\n        saw: [sat]\n") || !strings.Contains(text, "set: jump, hands: low}") {
		t.Errorf("theirs or ours is lost:\n%s", text)
	}
	b.click("#undo")
	if text = read(t, game); text != theirs {
		t.Errorf("taken back, the file is not theirs:\n%s", text)
	}
	if foreign := outside(b.Asked, strings.TrimSuffix(s.Address()[:strings.Index(s.Address(), "?")], "/")); len(foreign) > 0 {
		t.Errorf("the page asks outside: %v", foreign)
	}
}

func read(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// A note of two lines that is opened and left stays as it is, and so does what somebody else
// wrote there meanwhile.
func TestNoteLeft(t *testing.T) {
	text := strings.Replace(demoGame(t), "note: Outside arm free the whole way. This is the picture of it.", `note: "Stay low.\nFinish."`, 1)
	game := season(t, text, demoFilms(t))
	b := sit(t, serve(t, desk.Request{Game: game}))
	b.key("R")
	b.key("w")
	box := ""
	if b.Eval(`document.getElementById("text").value`, &box); box != "Stay low.\nFinish." {
		t.Errorf("the box holds %q", box)
	}
	b.key("Enter")
	if now := b.now(); now.Desk.Open != "" || now.Desk.Wrong || read(t, game) != text {
		t.Errorf("%+v, and the file is\n%s", now.Desk, read(t, game))
	}
	b.key("w")
	theirs := strings.Replace(text, "Finish.", "Bend.", 1)
	if err := os.WriteFile(game, []byte(theirs), 0o666); err != nil {
		t.Fatal(err)
	}
	b.Wait(`[...document.querySelectorAll("#fields dd")].some((e) => e.textContent === "Stay low. Bend.")`)
	b.key("Enter")
	if now := b.now(); now.Desk.Open != "" || read(t, game) != theirs {
		t.Errorf("%+v, and the file is\n%s", now.Desk, read(t, game))
	}
}

// Two pages at one game see what the other does.
func TestTwoPages(t *testing.T) {
	game := season(t, demoGame(t), demoFilms(t))
	s := serve(t, desk.Request{Game: game})
	b := sit(t, s)
	other := visit(t, s.Address())
	page := map[string]string{"Origin": other.base, "Content-Type": "application/json"}
	status, said, _ := other.ask("POST", "/act", `{"desk":{"pass":"plays","play":3},"act":{"do":"take","field":"front","text":"under","at":{"angle":"","frame":0}}}`, page)
	if status != 200 {
		t.Fatalf("status %d, %s", status, said)
	}
	b.Wait(`[...document.querySelectorAll("#fields dd")].some((e) => e.textContent === "under")`)
}

// Where a film cannot be read any more the page says so over the picture that stays, and shows it
// once it is back.
func TestFilmGone(t *testing.T) {
	game := season(t, demoGame(t), demoFilms(t))
	b := sit(t, serve(t, desk.Request{Game: game}))
	b.Wait("desk().at.frame === 122")
	path := filepath.Join(filepath.Dir(game), "film", "wk1-harbor-endzone.mp4")
	if err := os.Rename(path, path+".away"); err != nil {
		t.Fatal(err)
	}
	b.key("PageDown")
	b.Wait(`document.querySelector("#stage .told").textContent.startsWith("Not shown: ")`)
	if err := os.Rename(path+".away", path); err != nil {
		t.Fatal(err)
	}
	b.press("End")
	b.Wait(`document.querySelector("#stage .told").hidden && desk().at.frame > 122`)
}

// Who only looks changes nothing.
func TestReadOnly(t *testing.T) {
	game := season(t, demoGame(t), demoFilms(t))
	before := read(t, game)
	b := sit(t, serve(t, desk.Request{Game: game, ReadOnly: true}))
	b.key("s")
	b.key("o")
	if now := b.now(); !now.Desk.Wrong || !now.View.ReadOnly || !strings.Contains(now.Desk.Said, "--read-only") {
		t.Errorf("the page says %+v", now.Desk)
	}
	if read(t, game) != before {
		t.Error("the file was changed")
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(game), ".marking")); err == nil {
		t.Error("a journal was begun")
	}
}

// axeVersion is of axe-core, which judges whether a page can be read by everybody.
const axeVersion = "4.14.1"

// The page has nothing against which axe-core knows a rule, in both passes, with a field, a
// drawing and the reel's panel open, with the list of keys and where something is not done; all
// of it stands on a laptop's screen and on a tablet's, where what is tapped is as large as a
// finger.
func TestForEverybody(t *testing.T) {
	axe := fetchAxe(t)
	game := season(t, demoGame(t), demoFilms(t))
	b := sit(t, serve(t, desk.Request{Game: game}))
	b.Must("Page.setBypassCSP", map[string]any{"enabled": true}, nil)
	b.Must("Page.reload", nil, nil)
	b.Wait("window.desk && desk().view && document.querySelector('#stage canvas')")
	b.Eval(string(axe)+";0", nil)
	for name, keys := range map[string][]string{
		"plays": {"Escape", "P"}, "a field": {"Escape", "P", ";"}, "reps": {"Escape", "R", "PageDown"}, "a move": {"Escape", "R", ";", "m", "o", "v"},
		"a text": {"Escape", "R", "m"}, "keys": {"Escape", "?"}, "clearing": {"Escape", "x"}, "not done": {"Escape", "R", "z"},
	} {
		for _, key := range keys {
			b.key(key)
		}
		b.judged(name)
		b.fits(name, 1366, 768)
		b.Picture(fmt.Sprintf("desk-%s.png", strings.ReplaceAll(name, " ", "-")))
	}
	b.key("Escape")
	for _, tab := range []string{"plays", "todo", "counts", "reel", "form"} {
		b.click("#tab-" + tab)
		b.judged(tab)
	}

	b.Must("Emulation.setTouchEmulationEnabled", map[string]any{"enabled": true}, nil)
	for _, c := range []struct {
		name          string
		width, height int
		keys          []string
	}{
		{"tablet, plays", 1024, 768, []string{"Escape", "P"}},
		{"tablet, a move", 1024, 768, []string{"Escape", "R", "PageDown", ";", "m", "o", "v"}},
		{"tablet upright, a move", 820, 1180, []string{"Escape", "R", ";", "m", "o", "v"}},
	} {
		b.Must("Emulation.setDeviceMetricsOverride", map[string]any{"width": c.width, "height": c.height, "deviceScaleFactor": 1, "mobile": true}, nil)
		for _, key := range c.keys {
			b.key(key)
		}
		b.judged(c.name)
		b.fits(c.name, c.width, c.height)
		var small []string
		b.Eval(`[...document.querySelectorAll("button, input, select")].filter((e) => e.offsetParent && !e.matches("input[type=checkbox]")).
			map((e) => [e.textContent.trim() || e.id, e.getBoundingClientRect()]).filter(([, r]) => r.width < 40 || r.height < 40).map(([name, r]) => name + " " + r.width + "×" + r.height)`, &small)
		for _, button := range small {
			t.Errorf("%s: too small for a finger: %s", c.name, button)
		}
		var film struct{ Width, Top, Bottom float64 } // the part of the screen for the film, and where what is offered ends
		b.Eval(`(() => {
			const film = document.querySelector("#stage").getBoundingClientRect();
			return {width: Math.min(film.width, film.height * 16 / 9), top: film.top, bottom: document.querySelector("#typing").getBoundingClientRect().bottom};
		})()`, &film)
		if film.Width < float64(c.width)/2 || film.Top < 0 || film.Bottom > float64(c.height) {
			t.Errorf("%s: the film is %v wide from %v on, what is offered ends at %v", c.name, film.Width, film.Top, film.Bottom)
		}
		b.Picture(fmt.Sprintf("desk-%s.png", strings.NewReplacer(", ", "-", " ", "-").Replace(c.name)))
	}
	b.Must("Emulation.setTouchEmulationEnabled", map[string]any{"enabled": false}, nil)
}

// judged has axe-core, which was loaded, judge the page as it is.
func (b *sitting) judged(name string) {
	b.t.Helper()
	var found struct {
		Passes     int
		Violations []string
	}
	b.Eval(`axe.run(document).then((r) => ({passes: r.passes.length, violations: r.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.html.slice(0, 120) + " " + (n.any[0]?.message ?? "")))}))`, &found)
	if found.Passes < 15 {
		b.t.Errorf("%s: axe looked at %d rules only", name, found.Passes)
	}
	for _, v := range found.Violations {
		b.t.Errorf("%s: %s", name, v)
	}
}

// fits holds the page to a screen.
func (b *sitting) fits(name string, width, height int) {
	b.t.Helper()
	var size struct{ Width, Height int }
	if b.Eval("({width: document.documentElement.scrollWidth, height: document.documentElement.scrollHeight})", &size); size.Width > width || size.Height > height {
		b.t.Errorf("%s: the page is %d by %d, larger than the screen", name, size.Width, size.Height)
	}
}

// The board of the intake has nothing either against which axe-core knows a rule.
func TestIntakeForEverybody(t *testing.T) {
	axe := fetchAxe(t)
	request := untagged(t)
	s := serve(t, desk.Request{Game: request.File, Intake: request})
	b := &sitting{browser.Start(t), t}
	b.Must("Page.setBypassCSP", map[string]any{"enabled": true}, nil)
	b.Open(s.Address(), 1366)
	b.Must("Emulation.setDeviceMetricsOverride", laptop, nil)
	b.Wait("window.board && board() && board().rows && !board().looking")
	b.Eval(string(axe)+";0", nil)
	for _, tab := range []string{"sheet", "unused", "rows"} {
		b.click("#tab-" + tab)
		b.judged("intake, " + tab)
		if tab == "sheet" { // what a column may be is offered
			b.click("#sheet [data-column]")
			b.Wait(`document.querySelector("#sheet select")`)
			b.judged("intake, a column")
			b.press("Escape")
		}
		b.fits("intake, "+tab, 1366, 768)
	}
	b.Eval(`document.querySelector('.shot[data-shot="2"]').focus()`, nil)
	b.press("Enter", "ArrowDown")
	b.judged("a shot in hand")
}

// fetchAxe is the script of axe-core, or skips where npm cannot fetch it.
func fetchAxe(t *testing.T) []byte {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("no npm here: axe-core does not judge the page")
	}
	dir := t.TempDir()
	cmd := exec.CommandContext(t.Context(), npm, "install", "--no-audit", "--no-fund", "--ignore-scripts", "axe-core@"+axeVersion)
	cmd.Dir = dir
	cmd.WaitDelay = time.Second
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Skipf("npm cannot fetch axe-core: %v\n%.300s", err, out)
	}
	data, err := os.ReadFile(filepath.Join(dir, "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}
