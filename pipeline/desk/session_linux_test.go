package desk_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/invent"
)

var sessionReps = flag.Int("session", 0, "how many reps TestSession tags; none is no session")

// TestSession says what a long session takes of the machine: in a game of so many reps each gets
// a letter and a saved word, and every tenth is looked at on film of 1080 lines. make bench asks
// for it. What ffmpeg takes for stills, in processes of its own, is none of it.
func TestSession(t *testing.T) {
	if *sessionReps == 0 {
		t.Skip("-session says for how many reps")
	}
	t.Setenv(session.CacheVariable, filepath.Join(t.TempDir(), "cache"))
	folder := t.TempDir()
	id, text := invent.Game(1, 0, *sessionReps)
	game := filepath.Join(folder, id+tags.Suffix)
	parsed, _ := tags.ParseGame(game, text, vocabulary(t))
	for _, ref := range parsed.Files() {
		if err := os.MkdirAll(filepath.Dir(ref.File), 0o777); err != nil {
			t.Fatal(err)
		}
		out, err := exec.CommandContext(t.Context(), "ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=1920x1080:r="+ntsc, "-frames:v", "900",
			"-c:v", "libx264", "-preset", "ultrafast", "-g", "300", "-pix_fmt", "yuv420p", "-movflags", "+faststart", "file:"+ref.File).CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	if err := os.WriteFile(game, text, 0o666); err != nil {
		t.Fatal(err)
	}
	cmd, address := child(t, game)
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
	v := visit(t, address)
	page := map[string]string{"Origin": v.base, "Content-Type": "application/json"}
	var at struct {
		Desk json.RawMessage
		View struct{ Angles []struct{ Film string } }
	}
	act := func(desk, act string) {
		t.Helper()
		status, said, _ := v.ask("POST", "/act", fmt.Sprintf(`{"desk":%s,"act":{%s,"at":{"angle":"","frame":0}}}`, desk, act), page)
		if err := json.Unmarshal([]byte(said), &at); status != 200 || err != nil {
			t.Fatalf("%d, %v: %.300s", status, err, said)
		}
	}
	var letters, words []time.Duration
	var lettersCPU, wordsCPU time.Duration
	timed := func(list *[]time.Duration, cpu *time.Duration, do func()) {
		start, before := time.Now(), cpuOf(t, cmd.Process.Pid)
		do()
		*list = append(*list, time.Since(start))
		*cpu += cpuOf(t, cmd.Process.Pid) - before
	}
	n := 0
	for _, p := range parsed.Plays {
		for _, rep := range p.Reps {
			desk := fmt.Sprintf(`{"pass":"reps","play":%d,"rep":%q}`, p.Number, rep.Rusher.ID)
			act(desk, `"do":"key","key":";"`)
			timed(&letters, &lettersCPU, func() { act(string(at.Desk), `"do":"key","key":"s"`) })
			timed(&words, &wordsCPU, func() {
				act(desk, fmt.Sprintf(`"do":"take","field":"point","text":"number %d"`, n))
			})
			if n%10 == 0 && len(at.View.Angles) > 0 {
				if status, said, _ := v.ask("GET", fmt.Sprintf("/%s/stills/%d.jpg?width=1280&view=a&at=%d", at.View.Angles[0].Film, n*7%900, n*7%900), "", nil); status != 200 {
					t.Fatalf("a still: %d %.200s", status, said)
				}
			}
			n++
		}
	}
	slices.Sort(letters)
	slices.Sort(words)
	t.Logf("%d reps: at most %d MB; a letter %.1f ms of CPU, %v of wall in the median; a saved word %.1f ms, %v", n, peak(t, cmd.Process.Pid),
		lettersCPU.Seconds()*1000/float64(n), letters[n/2].Round(100*time.Microsecond), wordsCPU.Seconds()*1000/float64(n), words[n/2].Round(100*time.Microsecond))
}

// peak is how many MB of memory a process had at most.
func peak(t *testing.T, pid int) int {
	t.Helper()
	for line := range strings.Lines(read(t, fmt.Sprintf("/proc/%d/status", pid))) {
		if kb, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			n, err := strconv.Atoi(strings.Fields(kb)[0])
			if err != nil {
				t.Fatal(err)
			}
			return n / 1024
		}
	}
	t.Fatal("the system does not tell")
	return 0
}

// cpuOf is what a process has used of processors, without its children, to a hundredth.
func cpuOf(t *testing.T, pid int) time.Duration {
	t.Helper()
	_, after, _ := strings.Cut(read(t, fmt.Sprintf("/proc/%d/stat", pid)), ") ")
	fields := strings.Fields(after)
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}
