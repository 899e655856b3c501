package desk_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/outline"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

const intakeSheet = `No.,Down,To go,Yard line,Hash
4,1,10,own 20,left
5,2,8,own 22,right
6,3,3,own 27,middle
7,1,10,own 31,left
`

// untagged is a folder with four clips of one camera and a sheet of four plays.
func untagged(t *testing.T) *outline.Request {
	t.Helper()
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("no ffmpeg here: there is no film to tag")
	}
	t.Setenv(session.CacheVariable, filepath.Join(t.TempDir(), "cache"))
	folder := t.TempDir()
	clips := filepath.Join(folder, "ez")
	if err := os.Mkdir(clips, 0o777); err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"a", "b", "c", "d"} {
		source := fmt.Sprintf("color=0x4a6b45:s=320x180:r=30,drawbox=x='mod(t*%d,300)':y=80:w=12:h=12:color=white:t=fill", 40+i)
		out, err := exec.CommandContext(t.Context(), program, "-v", "error", "-f", "lavfi", "-i", source, "-frames:v", "120",
			"-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p", "-movflags", "+faststart", "file:"+filepath.Join(clips, name+".mp4")).CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	sheet := filepath.Join(folder, "plays.csv")
	if err := os.WriteFile(sheet, []byte(intakeSheet), 0o666); err != nil {
		t.Fatal(err)
	}
	footage, err := outline.FindFootage([]string{"endzone=" + clips})
	if err != nil {
		t.Fatal(err)
	}
	return &outline.Request{File: filepath.Join(folder, "wk3"+tags.Suffix), Footage: footage, Sheet: sheet, Vocabulary: vocabulary(t), Floor: tags.Second}
}

// On the board a wrong pairing is mended by a drag and by keys, is taken back, and the tag file
// that is written then is the one that outline writes with those pins.
func TestIntake(t *testing.T) {
	request := untagged(t)
	s := serve(t, desk.Request{Game: request.File, Intake: request})
	b := &sitting{browser.Start(t), t}
	b.Open(s.Address(), 1366)
	b.Must("Emulation.setDeviceMetricsOverride", laptop, nil)
	b.Wait("window.board && board() && board().rows && !board().looking")
	pairs := func() string {
		t.Helper()
		var said string
		b.Eval(`board().rows.map((r) => r.play + ":" + (r.shots ?? []).map((s) => s.shot).join("+")).join(" ")`, &said)
		return said
	}
	if got := pairs(); got != "4:1 5:2 6:3 7:4" {
		t.Fatalf("the board shows %s", got)
	}
	var sheet, row string
	b.Eval(`document.querySelector("#sheet").textContent`, &sheet)
	b.Eval(`document.querySelector('[data-row="6"]').textContent`, &row)
	if !strings.Contains(sheet, "To godistancesure4") || !strings.Contains(row, "own 27, middle hash") {
		t.Errorf("the sheet's panel says %s, the row %s", sheet, row)
	}

	b.dragTo(`.shot[data-shot="2"]`, `[data-row="6"]`)
	b.Wait(`!board().looking && board().pins?.length === 1 && board().rows.find((r) => r.play === 6).shots?.[0].shot === 2`)
	if got := pairs(); !strings.Contains(got, "6:2") {
		t.Errorf("after the drag the board shows %s", got)
	}
	b.click("#undo")
	b.Wait(`!board().looking && !board().pins?.length && board().rows.find((r) => r.play === 6).shots?.[0].shot === 3`)

	b.Eval(`document.querySelector('.shot[data-shot="1"]').focus()`, nil)
	b.press("x") // shot 1 shows no play, so there is a play that no film shows
	b.Wait(`!board().looking && board().leftOut?.length === 1 && board().unused?.length === 1`)
	var absent string // the play that no film shows now still says what the sheet does
	if b.Eval(`document.querySelector("[data-row]:not(:has(.shot))").textContent`, &absent); !strings.Contains(absent, "own ") || !strings.Contains(absent, "on no film") {
		t.Errorf("the row of the play that no film shows says %q", absent)
	}
	b.Eval(`document.querySelector('.shot[data-shot="2"]').focus()`, nil)
	b.press("Enter", "ArrowUp", "ArrowUp", "Enter")
	b.Wait(`!board().looking && board().pins?.length === 1 && board().pins[0].play === 4 && board().rows.find((r) => r.play === 4).shots?.[0].shot === 2`)
	b.Picture("desk-intake.png")
	want := pairs()
	b.click("#write")
	b.Wait("window.desk && desk().view")

	data := read(t, request.File)
	game, faults := tags.ParseGame(request.File, []byte(data), vocabulary(t))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range game.Plays {
		shot := ""
		for _, w := range p.Written() {
			if w.Angle == "endzone" {
				shot = fmt.Sprint(slices.Index([]string{"a.mp4", "b.mp4", "c.mp4", "d.mp4"}, filepath.Base(w.File)) + 1)
			}
		}
		got = append(got, fmt.Sprintf("%d:%s", p.Number, shot))
	}
	if strings.Join(got, " ") != want {
		t.Errorf("the tag file pairs %s, the board %s\n%s", got, want, data)
	}
	if _, err := os.Stat(outline.ContactFile(request.File)); err != nil {
		t.Error(err)
	}
}

// dragTo drags one element over another.
func (b *sitting) dragTo(from, to string) {
	b.t.Helper()
	centre := func(selector string) (at struct{ X, Y float64 }) {
		name, _ := json.Marshal(selector)
		b.Eval(fmt.Sprintf(`(() => { const r = document.querySelector(%s).getBoundingClientRect(); return {x: r.left + r.width / 2, y: r.top + Math.min(r.height, 40) / 2}; })()`, name), &at)
		return at
	}
	a, z := centre(from), centre(to)
	b.drag(a.X, a.Y, z.X, z.Y)
}

// drag drags the mouse.
func (b *sitting) drag(x, y, toX, toY float64) {
	b.t.Helper()
	mouse := func(kind string, x, y float64) {
		b.Must("Input.dispatchMouseEvent", map[string]any{"type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1}, nil)
	}
	mouse("mousePressed", x, y)
	for i := 1.0; i <= 4; i++ {
		mouse("mouseMoved", x+(toX-x)*i/4, y+(toY-y)*i/4)
	}
	mouse("mouseReleased", toX, toY)
}

// Nothing is written that is wrong, and what is no move is refused.
func TestIntakeRefuses(t *testing.T) {
	request := untagged(t)
	s := serve(t, desk.Request{Game: request.File, Intake: request})
	v := visit(t, s.Address())
	page := map[string]string{"Origin": v.base, "Content-Type": "application/json"}
	status, said, _ := v.ask("POST", "/pair", `{"pins":[{"play":4,"shot":1},{"play":4,"shot":2}],"leftOut":[]}`, page)
	if status != http.StatusConflict || !strings.Contains(said, "play 4 is pinned to shot 1 too") {
		t.Errorf("status %d, %s", status, said)
	}
	if status, _, _ := v.ask("POST", "/act", `{}`, page); status != http.StatusNotFound && status != http.StatusMethodNotAllowed {
		t.Errorf("there is nothing to tag yet, and an act is answered by %d", status)
	}
	if _, err := os.Stat(request.File); err == nil {
		t.Error("the tag file was written")
	}
}
