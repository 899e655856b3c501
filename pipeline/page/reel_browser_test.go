package page_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
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
	for _, width := range []int{1280, 1920, 390, 320} {
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
			[...document.querySelectorAll("[data-take]")].pop().scrollIntoView({block: "end"});
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
	helpers(b)

	// A click shows the first frame of the clip and marks it. Who asked for less motion gets
	// that picture, and starts the film himself.
	motion := func(want string) {
		b.Must("Emulation.setEmulatedMedia", map[string]any{"features": []any{map[string]any{"name": "prefers-reduced-motion", "value": want}}}, nil)
	}
	motion("reduce")
	for _, clip := range []int{3, 1, 5, 4} {
		var got struct {
			At, In float64
			Paused bool
		}
		b.Eval(fmt.Sprintf(`new Promise((done) => {
			const li = [...document.querySelectorAll("[data-take]")].find((e) => JSON.parse(e.dataset.clips)[0].n === %d);
			const clip = li.querySelector(".go"), to = JSON.parse(li.dataset.clips)[0].in;
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
	b.Eval(`cardOf(3).click()`, nil)
	b.Wait(`!film.paused && film.currentTime > clipOf(3).in + .2`)
	current(b, "3")

	// A filter hides what does not meet it, and the film skips it.
	const shown = `[...document.querySelectorAll("[data-take]")].filter((e) => e.checkVisibility()).flatMap((e) => JSON.parse(e.dataset.clips).map((c) => c.n)).join()`
	choose := func(list, option string) {
		b.Eval(fmt.Sprintf(`(() => {
			const list = document.getElementById(%q);
			list.value = [...list.options].find((o) => o.text === %q).value;
			list.dispatchEvent(new Event("change", {bubbles: true}));
		})()`, list, option), nil)
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
	all := func() {
		b.Eval(`document.querySelector("#filter [type=reset]").click()`, nil)
		b.Wait(`document.getElementById("count").textContent === "5 clips"`)
	}
	choose("by-set", "vertical")
	expect("1,2", "2 of 5 clips")
	choose("by-outcome", "sack") // of another rep of that play
	expect("", "0 of 5 clips")
	all()
	expect("1,2,3,4,5", "5 clips")
	choose("by-outcome", "hurry")
	expect("3,5", "2 of 5 clips")
	b.Eval(`(() => { film.currentTime = clipOf(3).out - .3; film.play(); })()`, nil)
	b.Wait(`film.currentTime >= clipOf(5).in`)
	current(b, "5")
	all()
	choose("angles", "endzone only")
	expect("1,2,3,4,5", "4 of 5 clips")
	all()

	// One clip on, and one back, of those that are shown, by the buttons and by a clicker.
	choose("by-rusher", "#91 Teo Marlow") // clips 1, 2, 4 and 5
	b.Eval(`film.pause(); film.currentTime = 0`, nil)
	for _, press := range []struct{ by, want string }{{"after", "1"}, {"PageDown", "2"}, {"after", "4"}, {"PageUp", "2"}, {"after", "4"}, {"PageDown", "5"}, {"after", "5"}} {
		b.Wait("!film.seeking")
		if press.by == "after" {
			b.Eval(`document.getElementById("after").click()`, nil)
		} else {
			b.Key(press.by)
		}
		current(b, press.want)
	}
	all()

	// The keyboard alone will do.
	b.Eval(`film.pause(); document.querySelector(".skip").focus()`, nil)
	b.Key("Enter")
	var at string
	for range 20 {
		b.Key("Tab")
		if b.Eval(`document.activeElement.matches(".go") ? String(JSON.parse(document.activeElement.parentElement.dataset.clips)[0].n) : ""`, &at); at == "3" {
			break
		}
	}
	if at != "3" {
		t.Fatal("the key Tab does not come to clip 3")
	}
	b.Key("Enter")
	b.Wait(`!film.paused && Math.abs(film.currentTime - clipOf(3).in) < 1`)
	current(b, "3")
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

// TestRoom tries what a meeting needs: frames, speeds, a loop, the other angle at the same
// moment, both in step, and drawing on the picture.
func TestRoom(t *testing.T) {
	b := browser.Start(t)
	file, made := written(t)
	rate := made.House.Rate.FPS()
	b.Open(fileURL(file), 1280)
	b.Wait("film.readyState > 1")
	helpers(b)
	frames := func(want float64) {
		t.Helper()
		b.Wait("!film.seeking && film.paused")
		var at float64
		if b.Eval("film.currentTime", &at); math.Floor(at*rate) != want {
			t.Errorf("frame %g is on, want %g", math.Floor(at*rate), want)
		}
	}
	b.Eval("film.pause(); film.currentTime = (200.5) / "+fmt.Sprint(rate), nil)
	frames(200)
	for i := range 5 {
		b.Key("ArrowRight")
		frames(201 + float64(i))
	}
	b.Key("ArrowLeft")
	frames(204)

	// The other angle shows the same moment of the play.
	var before, after struct{ Snap, At float64 }
	now := `(() => { const c = clips().find((c) => film.currentTime >= c.in && film.currentTime < c.out); return {snap: c.snap, at: film.currentTime}; })()`
	b.Eval(now, &before)
	b.Eval(`document.getElementById("angle").click()`, nil)
	b.Wait("!film.seeking")
	b.Eval(now, &after)
	if after.Snap == before.Snap || math.Abs(after.At-after.Snap-before.At+before.Snap) > .5/rate {
		t.Errorf("at %+v, and on the other angle at %+v", before, after)
	}
	b.Eval(`document.getElementById("angle").click()`, nil)
	b.Wait("!film.seeking")

	// Both angles in step, and the next clip is of the next play.
	b.Eval(`document.getElementById("both").click()`, nil)
	b.Wait(`other.readyState > 1 && !other.hidden && !other.seeking && Math.abs(other.currentTime - clipOf(2).snap - film.currentTime + clipOf(1).snap) < 1 / ` + fmt.Sprint(rate))
	b.Screen("room-both.png")
	b.Eval(`document.getElementById("after").click()`, nil)
	current(b, "3")
	b.Eval(`document.getElementById("both").click()`, nil)
	b.Wait("other.hidden")

	// Half speed, and once more for all of it; slowed film is silent.
	var speed struct {
		Rate  float64
		Muted bool
	}
	for _, want := range []float64{.5, 1} {
		b.Eval(`document.getElementById("half").click(); ({rate: film.playbackRate, muted: film.muted})`, &speed)
		if speed.Rate != want || speed.Muted != (want < 1) {
			t.Errorf("the film plays at %+v, want %g", speed, want)
		}
	}

	// A loop goes back to where the clip begins.
	b.Eval(`document.getElementById("loop").click(); film.currentTime = clipOf(3).out - .4; film.play()`, nil)
	b.Wait(`film.currentTime < clipOf(3).in + 1`)
	current(b, "3")
	b.Eval(`document.getElementById("loop").click(); film.pause()`, nil)

	// What is drawn is there until the film goes on.
	b.Eval(`document.getElementById("draw").click()`, nil)
	mouse := func(kind string, x, y int) {
		b.Must("Input.dispatchMouseEvent", map[string]any{"type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1}, nil)
	}
	mouse("mousePressed", 200, 100)
	mouse("mouseMoved", 300, 180)
	mouse("mouseMoved", 400, 160)
	mouse("mouseReleased", 400, 160)
	var inked int
	const ink = `pen.hidden ? -1 : pen.getContext("2d").getImageData(0, 0, pen.width, pen.height).data.filter((v, i) => i % 4 === 3 && v > 0).length`
	if b.Eval(ink, &inked); inked < 500 {
		t.Errorf("%d pixels are drawn", inked)
	}
	b.Screen("room-draw.png")
	b.Eval(`film.play()`, nil)
	b.Wait("pen.hidden")
	b.Eval(`film.pause()`, nil)
}

// A coach writes notes on his screen, and the room sees the film alone: in a window for the wall that
// follows him, and on a full screen.
func TestNotesOnOneScreen(t *testing.T) {
	b := browser.Start(t)
	file, made := written(t)
	rate := made.House.Rate.FPS()
	b.Open(fileURL(file), 1280)
	b.Wait("film.readyState > 1")
	helpers(b)
	b.Eval(`film.pause(); film.currentTime = clipOf(3).seek`, nil)
	current(b, "3")
	b.Eval(`(() => {
		document.querySelector("details.notes").open = true;
		const note = document.getElementById("note");
		note.value = "Ask him why.";
		note.dispatchEvent(new Event("input"));
		document.getElementById("second").click();
	})()`, nil)
	same := func(what, on string) {
		t.Helper()
		var here, there float64
		b.Eval("film.currentTime", &here)
		b.InWindow(func() {
			b.Wait(fmt.Sprintf("%s && !film.seeking && Math.abs(film.currentTime - %f) < 1 / %f", on, here, rate))
			b.Eval("film.currentTime", &there)
		})
		if math.Abs(here-there) > 1/rate {
			t.Errorf("%s: the film is at %f, and on the wall at %f", what, here, there)
		}
	}
	b.InWindow(func() {
		b.Wait(`document.readyState === "complete" && film.readyState > 1 && document.documentElement.classList.contains("wall")`)
		helpers(b)
	})
	same("opened", "film.paused")
	b.InWindow(func() {
		var got struct {
			Shown []string
			Note  string
			Text  string
			Film  []float64
		}
		b.Eval(`({shown: [...document.querySelectorAll("h1, #clips, #numbers, #note, .bar, footer, details")].filter((e) => e.checkVisibility()).map((e) => e.id || e.tagName),
			note: document.getElementById("note").value, text: document.body.innerText.trim(), film: [innerWidth, innerHeight, stage.offsetWidth, stage.offsetHeight]})`, &got)
		if len(got.Shown) > 0 || got.Note != "" || got.Text != "Film" { // the heading of it, for screen readers
			t.Errorf("the wall shows %q, a note %q and %q", got.Shown, got.Note, got.Text)
		}
		if got.Film[0] != got.Film[2] || got.Film[1] != got.Film[3] {
			t.Errorf("the film does not fill the wall: %v", got.Film)
		}
		b.Screen("wall.png")
		// The clicker is at the wall.
		b.Key("PageDown")
	})
	current(b, "4")
	same("a clip on", "film.paused")
	b.Eval(`film.play()`, nil)
	b.InWindow(func() { b.Wait(`!film.paused && film.muted && film.currentTime > clipOf(4).in`) })
	b.Eval(`film.pause(); film.playbackRate = .5`, nil)
	same("paused", "film.paused && film.playbackRate === .5")
	b.Eval(`(() => {
		document.getElementById("draw").click();
		for (const [kind, x, y] of [["pointerdown", 200, 100], ["pointermove", 400, 160], ["pointerup", 400, 160]])
			pen.dispatchEvent(new PointerEvent(kind, {clientX: x, clientY: y, pointerId: 1}));
	})()`, nil)
	b.InWindow(func() {
		b.Wait(`!pen.hidden && pen.getContext("2d").getImageData(0, 0, pen.width, pen.height).data.filter((v, i) => i % 4 === 3 && v > 0).length > 300`)
	})
	b.Eval(`document.getElementById("draw").click()`, nil)
	b.InWindow(func() { b.Wait("pen.hidden") })

	// A full screen is the film, with neither list nor notes, and the clicker works on it.
	b.Eval(`document.getElementById("full").click()`, nil)
	b.Wait(`document.fullscreenElement === stage`)
	var seen struct {
		Over []string
		Wide bool
	}
	b.Eval(`(() => {
		const over = [];
		for (let x = 5; x < innerWidth; x += innerWidth / 9) for (let y = 5; y < innerHeight; y += innerHeight / 9) {
			const e = document.elementFromPoint(x, y);
			if (e && !stage.contains(e)) over.push(e.id || e.tagName);
		}
		return {over, wide: stage.offsetWidth === innerWidth && stage.offsetHeight === innerHeight};
	})()`, &seen)
	if len(seen.Over) > 0 || !seen.Wide {
		t.Errorf("a full screen shows %q; it is filled: %v", seen.Over, seen.Wide)
	}
	b.Key("PageUp")
	current(b, "3")
	b.Screen("room-full.png")
	b.Eval(`document.exitFullscreen()`, nil)
	var kept string
	if b.Eval(`document.getElementById("note").value`, &kept); kept != "Ask him why." {
		t.Errorf("the note is %q", kept)
	}
}

// TestPhone tries what a thumb does: a tap plays, a second one slows, a swipe is the next clip.
func TestPhone(t *testing.T) {
	b := browser.Start(t)
	file, _ := written(t)
	b.Open(fileURL(file), 390)
	b.Wait("film.readyState > 1")
	helpers(b)
	touch := func(x0, x1 int) {
		b.Eval(fmt.Sprintf(`for (const [kind, x] of [["pointerdown", %d], ["pointerup", %d]])
			film.dispatchEvent(new PointerEvent(kind, {pointerType: "touch", clientX: x, clientY: 100, bubbles: true}))`, x0, x1), nil)
	}
	b.Eval(`film.controls = false; film.pause(); film.currentTime = clipOf(1).seek`, nil)
	current(b, "1")
	touch(300, 100)
	current(b, "2")
	touch(100, 300)
	b.Wait("!film.seeking")
	touch(200, 202)
	b.Wait("!film.paused && film.playbackRate === 1")
	touch(200, 202)
	b.Wait("film.playbackRate === .25")
	b.Eval(`film.pause()`, nil)
	var small []string // a thumb needs 24 pixels (WCAG 2.2, 2.5.8), and these have more
	b.Eval(`[...document.querySelectorAll("button, select, summary")].filter((e) => e.checkVisibility() && (e.offsetHeight < 44 || e.offsetWidth < 44)).map((e) => e.id || e.textContent)`, &small)
	if len(small) > 0 {
		t.Errorf("too small for a thumb: %q", small)
	}
}

// The script of the page is small enough to be read.
func TestScriptIsSmall(t *testing.T) {
	script, err := os.ReadFile("reel.js")
	if err != nil || len(script) > 40<<10 {
		t.Errorf("the script has %d bytes, want 40 kB at most (%v)", len(script), err)
	}
}

// helpers puts into the page what the tests look clips up by.
func helpers(b *browser.Browser) {
	b.T.Helper()
	b.Eval(`
		window.clips = () => [...document.querySelectorAll("[data-take]")].flatMap((li) => JSON.parse(li.dataset.clips).map((c) => ({...c, li})));
		window.clipOf = (n) => clips().find((c) => c.n === n);
		window.cardOf = (n) => clipOf(n).li.querySelector(".go");
		0`, nil)
}

// current holds the page to the one clip that it marks, for eyes and for screen readers.
func current(b *browser.Browser, want string) {
	b.T.Helper()
	b.Wait(fmt.Sprintf(`document.getElementById("now").textContent.startsWith("Clip %s of ") && document.querySelector("[aria-current]")?.parentElement === clipOf(%s).li && document.querySelectorAll("[aria-current]").length === 1`, want, want))
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
		b.Eval(`document.querySelectorAll(".go")[1].click(); film.pause()`, nil)
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
