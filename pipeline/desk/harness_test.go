package desk_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// filmFolder holds film that tests share, once one was made.
var filmFolder string

func TestMain(m *testing.M) {
	if game := os.Getenv(childVariable); game != "" {
		serveUntilKilled(game)
	}
	code := m.Run()
	browser.End()
	_ = os.RemoveAll(filmFolder)
	os.Exit(code)
}

// film is a plain film of so many frames; the same is made once.
func film(t *testing.T, frames int, rate string) string {
	t.Helper()
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("no ffmpeg here: there is no film to tag")
	}
	if filmFolder == "" {
		if filmFolder, err = os.MkdirTemp("", "desk-film-"); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(filmFolder, fmt.Sprintf("%d-%s.mp4", frames, filepath.Base(rate)))
	if _, err := os.Stat(path); err == nil {
		return path
	}
	out, err := exec.CommandContext(t.Context(), program, "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=320x180:r="+rate, "-frames:v", fmt.Sprint(frames),
		"-c:v", "libx264", "-preset", "ultrafast", "-g", "60", "-pix_fmt", "yuv420p", "-movflags", "+faststart", "file:"+path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return path
}

// season is a folder with one tag file and its film.
func season(t *testing.T, text string, films map[string]string) (game string) {
	t.Helper()
	t.Setenv(session.CacheVariable, filepath.Join(t.TempDir(), "cache"))
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "film"), 0o777); err != nil {
		t.Fatal(err)
	}
	for name, path := range films {
		if err := os.Link(path, filepath.Join(folder, "film", name)); err != nil {
			t.Fatal(err)
		}
	}
	game = filepath.Join(folder, "wk1"+tags.Suffix)
	if err := os.WriteFile(game, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return game
}

// serve serves the page of a game until the test ends.
func serve(t *testing.T, r desk.Request) *desk.Server {
	t.Helper()
	s, err := desk.Open(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	serving(t, s)
	return s
}

// serving has s serve until the test ends.
func serving(t *testing.T, s *desk.Server) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error)
	go func() { done <- s.Serve(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
		s.Close()
	})
}

// sitting is a desk in a browser.
type sitting struct {
	*browser.Browser
	t *testing.T
}

// laptop is the size of the smallest screen that the page is made for.
var laptop = map[string]any{"width": 1366, "height": 768, "deviceScaleFactor": 1, "mobile": false}

func sit(t *testing.T, s *desk.Server) *sitting {
	t.Helper()
	b := &sitting{browser.Start(t), t}
	b.Open(s.Address(), 1366)
	b.Must("Emulation.setDeviceMetricsOverride", laptop, nil)
	b.Wait("window.desk && desk().view && document.querySelector('#stage canvas')")
	return b
}

// key presses one key, as a keyboard does, and waits until the page is at rest.
func (b *sitting) key(key string) {
	b.t.Helper()
	b.press(key)
	b.Eval("atRest().then(() => 1)", nil)
}

// press presses keys.
func (b *sitting) press(keys ...string) {
	b.t.Helper()
	for _, key := range keys {
		b.pressOne(key)
	}
}

func (b *sitting) pressOne(key string) {
	b.t.Helper()
	press := map[string]any{"type": "keyDown", "key": key}
	if len(key) == 1 {
		press["text"] = key
		if key >= "A" && key <= "Z" {
			press["modifiers"] = 8
		}
	}
	if key == "Enter" {
		press["text"], press["windowsVirtualKeyCode"] = "\r", 13
	}
	b.Must("Input.dispatchKeyEvent", press, nil)
	delete(press, "text")
	press["type"] = "keyUp"
	b.Must("Input.dispatchKeyEvent", press, nil)
}

// now is where the page is.
func (b *sitting) now() (now struct {
	Desk mark.Desk
	View mark.View
	Gone bool
	At   mark.At
},
) {
	b.t.Helper()
	b.Eval("desk()", &now)
	return now
}

// click clicks on the middle of an element.
func (b *sitting) click(selector string) {
	b.t.Helper()
	name, _ := json.Marshal(selector)
	var at struct{ X, Y float64 }
	b.Eval(fmt.Sprintf(`(() => {
		const e = document.querySelector(%s);
		e.scrollIntoView({block: "nearest"});
		const r = e.getBoundingClientRect();
		return {x: r.left + r.width / 2, y: r.top + r.height / 2};
	})()`, name), &at)
	b.clickAt(at.X, at.Y)
}

func (b *sitting) clickAt(x, y float64) {
	b.t.Helper()
	for _, kind := range []string{"mousePressed", "mouseReleased"} {
		b.Must("Input.dispatchMouseEvent", map[string]any{"type": kind, "x": x, "y": y, "button": "left", "clickCount": 1}, nil)
	}
	b.Eval("new Promise((done) => setTimeout(done, 0)).then(() => window.atRest?.()).then(() => 1)", nil)
}
