package desk_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/outline"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// keysTable is the keys as the README lists them.
func keysTable() string {
	var s strings.Builder
	group := ""
	for _, k := range mark.DefaultKeys {
		if k.Group != group {
			group = k.Group
			fmt.Fprintf(&s, "\n| %s | | name |\n|---|---|---|\n", group)
		}
		shown, name := "`"+k.Shown()+"`", "`"+k.Name+"`"
		if k.Name == "rusher" {
			name = ""
		}
		what := k.What
		if k.Pass != "" {
			what += " (" + string(k.Pass) + ")"
		}
		fmt.Fprintf(&s, "| %s | %s | %s |\n", strings.ReplaceAll(shown, "|", `\|`), what, name)
	}
	return s.String()
}

// The README lists the keys that there are.
func TestReadmeKeys(t *testing.T) {
	text := read(t, filepath.Join("..", "..", "README.md"))
	if table := keysTable(); !strings.Contains(text, table) {
		t.Errorf("the README does not hold the table of keys:\n%s", table)
	}
}

// TestReadmePictures draws the README's pictures of the page, of the demo season in the folder
// that DESK_OF names: make pictures asks for it.
func TestReadmePictures(t *testing.T) {
	demo := os.Getenv("DESK_OF")
	if demo == "" {
		t.Skip("DESK_OF names no demo season: nothing to draw")
	}
	into := filepath.Join("..", "..", "testdata")
	b := sit(t, serve(t, desk.Request{Game: filepath.Join(demo, "wk1-harbor"+tags.Suffix), ReadOnly: true}))
	for _, key := range []string{"R", "PageDown", "PageDown"} { // a play of three reps
		b.key(key)
	}
	b.Wait("desk().view.reps.length > 0")
	b.Eval(`showFrame("endzone", desk().view.angles[0].marks.find((m) => m.mark === "snap").frame + 30)`, nil)
	b.key(";")
	b.key("m")
	b.Wait(`document.querySelector("#second canvas")`)
	b.Eval("new Promise((done) => setTimeout(done, 3000))", nil) // sound and motion come meanwhile
	b.shrunk(filepath.Join(into, "tagging.png"))

	t.Setenv(session.CacheVariable, filepath.Join(t.TempDir(), "cache"))
	folder := t.TempDir()
	footage, err := outline.FindFootage([]string{
		"endzone=" + filepath.Join(demo, "film", "wk2-granite-endzone.mp4"), "sideline=" + filepath.Join(demo, "film", "wk2-granite-sideline.mp4"),
	})
	if err != nil {
		t.Fatal(err)
	}
	sheet := filepath.Join(folder, "plays.csv")
	if err := os.WriteFile(sheet, []byte(graniteSheet(t, demo)), 0o666); err != nil {
		t.Fatal(err)
	}
	request := &outline.Request{
		File: filepath.Join(folder, "wk2"+tags.Suffix), Footage: footage, Sheet: sheet,
		Vocabulary: vocabulary(t), Floor: 5 * tags.Second / 2,
	}
	s := serve(t, desk.Request{Game: request.File, Intake: request})
	b = &sitting{browser.Start(t), t}
	b.Open(s.Address(), 1366)
	b.Must("Emulation.setDeviceMetricsOverride", laptop, nil)
	b.Wait("window.board && board() && board().rows && !board().looking")
	b.Wait(`document.querySelectorAll(".shot img").length > 4 && [...document.querySelectorAll(".shot img")].filter((i) => i.getBoundingClientRect().top < innerHeight).every((i) => i.complete && i.naturalWidth)`)
	b.Wait("at().frame > 0")
	b.shrunk(filepath.Join(into, "board.png"))
}

// graniteSheet is a play sheet of the demo's second game.
func graniteSheet(t *testing.T, demo string) string {
	t.Helper()
	file := filepath.Join(demo, "wk2-granite"+tags.Suffix)
	game, faults := tags.ParseGame(file, []byte(read(t, file)), vocabulary(t))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	var s strings.Builder
	s.WriteString("No.,Quarter,Clock,Down,To go,Yard line,Hash,Type\n")
	for _, p := range game.Plays {
		fmt.Fprintf(&s, "%d,%d,%s,%d,%d,%s,%s,%s\n", p.Number, *p.Quarter, p.Clock, *p.Down, *p.Distance, p.YardLine, p.Hash, p.Type)
	}
	return s.String()
}

// shrunk keeps a picture of the page, 640 wide, all its colours in one palette.
func (b *sitting) shrunk(file string) {
	b.t.Helper()
	b.t.Setenv("PAGE_PICTURES", b.t.TempDir())
	b.Keep("whole.png", "Page.captureScreenshot", nil)
	out, err := exec.CommandContext(b.t.Context(), "ffmpeg", "-v", "error", "-y", "-i", filepath.Join(os.Getenv("PAGE_PICTURES"), "whole.png"),
		"-vf", "scale=640:-2:flags=lanczos,split[a][b];[a]palettegen[p];[b][p]paletteuse=dither=none", "-frames:v", "1", "-update", "1", file).CombinedOutput()
	if err != nil {
		b.t.Fatalf("%v: %s", err, out)
	}
}
