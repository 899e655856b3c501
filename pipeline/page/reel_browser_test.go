package page_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/plan"
)

// filmFolder holds the reel that tests play, once it was made.
var filmFolder string

// written is a page with its reel beside it, under a name that needs escaping.
func written(t *testing.T) (file string, made *plan.Plan) {
	t.Helper()
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("no ffmpeg here: there is no reel for the page to play")
	}
	const video = "week 1 50%#1.mp4"
	p, made := build(t, video, nil)
	for i := range p.Tables {
		p.Tables[i].Chart = chart(t, fmt.Sprint("Rates ", i))
	}
	file = filepath.Join(filmFolder, "reel.html")
	if filmFolder != "" {
		return file, made
	}
	if filmFolder, err = os.MkdirTemp("", "page-film-"); err != nil {
		t.Fatal(err)
	}
	file = filepath.Join(filmFolder, "reel.html")
	film := exec.CommandContext(context.Background(), ffmpeg, "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=320x180:r=25",
		"-frames:v", fmt.Sprint(made.Frames()), "-c:v", "libx264", "-preset", "ultrafast", "-g", "50", "-pix_fmt", "yuv420p", "file:"+filepath.Join(filmFolder, video))
	if out, err := film.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if err := os.WriteFile(file, []byte(html(t, p)), 0o666); err != nil {
		t.Fatal(err)
	}
	return file, made
}

func TestBrowser(t *testing.T) {
	b := browser.Start(t)
	file, made := written(t)
	frame := made.House.Rate.Duration(1).Seconds()
	var state struct {
		Paused bool
		Cues   int
		Font   string
		Scroll int
		Window int
		Below  []string
	}
	const look = `({paused: film.paused, cues: film.textTracks[0].cues?.length ?? -1, scroll: document.documentElement.scrollWidth, window: innerWidth,
		below: [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.outerHTML.slice(0, 80))})`
	for _, width := range []int{1280, 390, 320} {
		b.Open(fileURL(file), width)
		b.Wait("film.readyState > 1 && film.textTracks[0].cues")
		b.Eval(look, &state)
		if !state.Paused {
			t.Errorf("at %d pixels the film starts by itself", width)
		}
		if state.Scroll > width || state.Window > width || len(state.Below) > 0 {
			t.Errorf("at %d pixels the page is %d wide in a window of %d: %s", width, state.Scroll, state.Window, state.Below)
		}
		if state.Cues != 3 {
			t.Errorf("%d captions in the page, want 3", state.Cues)
		}
		b.Picture(fmt.Sprintf("test-%d.png", width))
	}
	// The film stays in sight beside the clips, and covers nothing else.
	for _, width := range []int{1280, 390} {
		b.Open(fileURL(file), width)
		b.Wait("film.readyState > 1")
		var got struct{ Beside, Over bool }
		b.Eval(`(() => {
			document.documentElement.style.scrollBehavior = "auto";
			const box = (id) => document.getElementById(id).getBoundingClientRect();
			document.querySelector("li:last-child").scrollIntoView({block: "end"});
			const beside = box("film").bottom > 100;
			document.getElementById("numbers").scrollIntoView();
			return {beside, over: box("player").bottom > box("numbers").top};
		})()`, &got)
		if !got.Beside || got.Over {
			t.Errorf("at %d pixels: the film is in sight of the last clip: %v; it covers the numbers: %v", width, got.Beside, got.Over)
		}
	}
	b.Open(fileURL(file), 1280)
	b.Wait("film.readyState > 1")

	// A click shows the first frame of the clip and marks it. Who asked for less motion gets
	// that picture, and starts the film himself.
	motion := func(want string) {
		b.Must("Emulation.setEmulatedMedia", map[string]any{"features": []any{map[string]any{"name": "prefers-reduced-motion", "value": want}}}, nil)
	}
	motion("reduce")
	for _, clip := range []int{3, 1, 5, 4, 2} {
		var got struct {
			At, In float64
			Paused bool
		}
		b.Eval(fmt.Sprintf(`new Promise((done) => {
			const clip = document.querySelector('[data-clip="%d"]');
			const to = Number(clip.dataset.in);
			const look = (_, frame) => film.seeking && Math.abs(frame.mediaTime - to) > 1 ? // the picture from before comes late on a busy machine
				film.requestVideoFrameCallback(look) : setTimeout(() => done({at: frame.mediaTime, in: to, paused: film.paused}), 100);
			film.requestVideoFrameCallback(look);
			clip.click();
		})`, clip), &got)
		if got.At < got.In-frame || got.At > got.In+frame {
			t.Errorf("clip %d shows the frame at %f, want the one at %f", clip, got.At, got.In)
		}
		if !got.Paused {
			t.Error("the film starts where less motion is asked for")
		}
		current(b, fmt.Sprint(clip))
	}
	motion("no-preference")
	b.Eval(`document.querySelector('[data-clip="3"]').click()`, nil)
	b.Wait(`!film.paused && film.currentTime > Number(document.querySelector('[data-clip="3"]').dataset.in) + .2`)
	current(b, "3")

	// A filter hides what does not meet it, and the film skips it.
	const shown = `[...document.querySelectorAll("[data-clip]")].filter((e) => e.checkVisibility()).map((e) => e.dataset.clip).join()`
	choose := func(key, option string) {
		b.Eval(fmt.Sprintf(`(() => {
			const list = document.getElementById("by-%s");
			list.value = [...list.options].find((o) => o.text === %q).value;
			list.dispatchEvent(new Event("change", {bubbles: true}));
		})()`, key, option), nil)
	}
	expect := func(want, says string) {
		t.Helper()
		var got, count string
		b.Eval(shown, &got)
		b.Eval(`document.getElementById("count").textContent`, &count)
		if got != want || count != says {
			t.Errorf("shown are %q and it says %q, want %q and %q", got, count, want, says)
		}
	}
	choose("set", "vertical")
	expect("1,2", "2 of 5 clips")
	choose("outcome", "sack") // of another rep of that play
	expect("", "0 of 5 clips")
	b.Eval(`document.querySelector("#filter [type=reset]").click()`, nil)
	b.Wait(`document.getElementById("count").textContent === "5 clips"`)
	expect("1,2,3,4,5", "5 clips")
	choose("outcome", "hurry")
	expect("3,5", "2 of 5 clips")
	b.Eval(`(() => { film.currentTime = Number(document.querySelector('[data-clip="3"]').dataset.out) - .3; film.play(); })()`, nil)
	b.Wait(`film.currentTime >= Number(document.querySelector('[data-clip="5"]').dataset.in)`)
	current(b, "5")
	b.Eval(`document.querySelector("#filter [type=reset]").click()`, nil)

	// One clip on, and one back, of those that are shown.
	choose("rusher", "#91 Teo Marlow") // clips 1, 2, 4 and 5
	b.Eval(`film.pause(); film.currentTime = 0`, nil)
	for _, press := range []struct{ button, want string }{{"after", "1"}, {"after", "2"}, {"after", "4"}, {"before", "2"}, {"after", "4"}, {"after", "5"}, {"after", "5"}} {
		b.Wait("!film.seeking")
		b.Eval(`document.getElementById("`+press.button+`").click()`, nil)
		current(b, press.want)
	}
	b.Eval(`document.querySelector("#filter [type=reset]").click()`, nil)

	// The keyboard alone will do.
	b.Eval(`film.pause(); document.querySelector(".skip").focus()`, nil)
	b.Key("Enter")
	var at string
	for range 20 {
		b.Key("Tab")
		if b.Eval(`document.activeElement.dataset.clip ?? ""`, &at); at == "2" {
			break
		}
	}
	if at != "2" {
		t.Fatal("the key Tab does not come to clip 2")
	}
	b.Key("Enter")
	b.Wait(`!film.paused && Math.abs(film.currentTime - document.activeElement.dataset.in) < 1`)
	current(b, "2")

	for _, url := range b.Asked {
		if !strings.HasPrefix(url, "file:///") && !strings.HasPrefix(url, "data:") {
			t.Errorf("the page asks for %s", url)
		}
	}
	if len(b.Asked) < 2 {
		t.Errorf("only %q were asked for: nobody watched", b.Asked)
	}
	var refused string
	b.Eval(`new Promise((done) => {
		document.addEventListener("securitypolicyviolation", (e) => done(e.effectiveDirective), {once: true});
		new Image().src = "http://127.0.0.1:9/";
		setTimeout(() => done("nothing"), 2000);
	})`, &refused)
	if refused != "img-src" {
		t.Errorf("the page's policy refused %s of a picture from the network", refused)
	}
}

// current holds the page to the one clip that it marks, for eyes and for screen readers.
func current(b *browser.Browser, want string) {
	b.T.Helper()
	b.Wait(fmt.Sprintf(`[...document.querySelectorAll("[aria-current]")].map((e) => e.dataset.clip).join() === %q`, want))
	var mark string
	b.Eval(`[...document.querySelectorAll(".mark")].filter((e) => e.checkVisibility({visibilityProperty: true})).map((e) => e.textContent).join()`, &mark)
	if mark != "▶" {
		b.T.Errorf("the clip is marked by %q", mark)
	}
}

func TestMissingFilm(t *testing.T) {
	b := browser.Start(t)
	p, _ := build(t, "gone.mp4", nil)
	file := filepath.Join(t.TempDir(), "reel.html")
	if err := os.WriteFile(file, []byte(html(t, p)), 0o666); err != nil {
		t.Fatal(err)
	}
	b.Open(fileURL(file), 390)
	b.Wait(`document.getElementById("missing").checkVisibility()`)
}

// On paper it is one sheet of A4.
func TestPaper(t *testing.T) {
	b := browser.Start(t)
	file, _ := written(t)
	printed(b, file, "test.pdf", 1)
}

// printed holds a page to a number of sheets of A4.
func printed(b *browser.Browser, file, name string, sheets int) {
	b.T.Helper()
	b.Open(fileURL(file), 1280)
	pdf := b.Keep(name, "Page.printToPDF", map[string]any{"preferCSSPageSize": true})
	if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(pdf, -1)); n != sheets {
		b.T.Errorf("%s: %d sheets, want %d", name, n, sheets)
	}
	// A4 in points: ISO 216, 210 mm by 297 mm; Chromium rounds up to its pixels.
	m := regexp.MustCompile(`/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]`).FindSubmatch(pdf)
	if m == nil || !strings.HasPrefix(string(m[1]), "59") || !strings.HasPrefix(string(m[2]), "84") {
		b.T.Errorf("%s: the sheet is %s", name, m)
	}
}

// axeVersion is of axe-core, which judges whether a page can be read by everybody.
const axeVersion = "4.14.1"

func TestAxe(t *testing.T) {
	b := browser.Start(t)
	axe := fetchAxe(t)
	file, _ := written(t)
	for _, width := range []int{1280, 390} {
		b.Open(fileURL(file), width)
		b.Wait("film.readyState > 1")
		b.Eval(`document.querySelector('[data-clip="3"]').click(); film.pause()`, nil)
		judge(b, axe, fmt.Sprintf("reel at %d", width))
		for name, file := range sheets(t) {
			b.Open(fileURL(file.path), width)
			judge(b, axe, fmt.Sprintf("%s at %d", name, width))
		}
	}
}

// judge has axe-core look at the page that is open.
func judge(b *browser.Browser, axe []byte, name string) {
	b.T.Helper()
	b.Eval(string(axe)+";0", nil)
	var found struct {
		Passes     []struct{ ID string }
		Violations []struct {
			ID, Impact, Help string
			Nodes            []struct{ HTML string }
		}
	}
	b.Eval(`axe.run(document, {rules: {"color-contrast-enhanced": {enabled: true}}}).then((r) => ({passes: r.passes.map((p) => ({id: p.id})),
		violations: r.violations.map((v) => ({id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.map((n) => ({html: n.html}))}))}))`, &found)
	if len(found.Passes) < 15 {
		b.T.Errorf("%s: axe looked at %d rules only", name, len(found.Passes))
	}
	for _, v := range found.Violations {
		data, _ := json.Marshal(v.Nodes)
		if v.Impact == "serious" || v.Impact == "critical" {
			b.T.Errorf("%s: %s (%s): %s: %s", name, v.ID, v.Impact, v.Help, data)
		} else {
			b.T.Logf("%s: %s (%s): %s: %.300s", name, v.ID, v.Impact, v.Help, data)
		}
	}
}

// fetchAxe is axe-core's script, by npm.
func fetchAxe(t *testing.T) []byte {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("no npm here: axe-core does not judge the page")
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	folder := t.TempDir()
	var out bytes.Buffer
	cmd := exec.CommandContext(ctx, npm, "install", "--prefix", folder, "--no-audit", "--no-fund", "--ignore-scripts", "axe-core@"+axeVersion)
	cmd.Dir, cmd.Stdout, cmd.Stderr = folder, &out, &out
	if err := cmd.Run(); err != nil {
		t.Skipf("npm cannot fetch axe-core, so it does not judge the page: %v: %.300s", err, out.String())
	}
	script, err := os.ReadFile(filepath.Join(folder, "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return script
}
