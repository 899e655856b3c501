package desk_test

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand"
	"net/http"
	"os"
	"os/exec"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/browser"
	"trenchcut/tags"
)

var kills = flag.Int("kills", 5, "how often the server is killed")

// childVariable names the game that this test, run again as a program of its own, serves
// until it is killed.
const childVariable = "DESK_TEST_GAME"

// serveUntilKilled prints the address of a game's page and serves it.
func serveUntilKilled(game string) {
	debug.SetMemoryLimit(150 << 20) // as the command does
	s, err := desk.Open(context.Background(), desk.Request{Game: game})
	if err != nil {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
	fmt.Println(s.Address())
	_ = s.Serve(context.Background())
}

// child serves the page of a game in a process of its own.
func child(t *testing.T, game string) (cmd *exec.Cmd, address string) {
	t.Helper()
	cmd = exec.CommandContext(t.Context(), os.Args[0])
	cmd.Env = append(os.Environ(), childVariable+"="+game)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	address, err = bufio.NewReader(out).ReadString('\n')
	if err != nil || !strings.HasPrefix(address, "http://") {
		t.Fatalf("%q, %v", address, err)
	}
	return cmd, strings.TrimSpace(address)
}

// A server that is killed at any moment loses nothing of what a page was told is saved.
func TestServerKilled(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	r := rand.New(rand.NewSource(3))
	saved, n := 0, 0
	for kill := range *kills {
		cmd, address := child(t, game)
		v := visit(t, address)
		var soon *time.Timer // from the first change on, however slow the machine is
		for {
			n++
			said, err := v.act(fmt.Sprintf(`{"desk":{"pass":"reps","play":3,"rep":"marlow"},"act":{"do":"take","field":"point","text":"number %d","at":{"angle":"","frame":0}}}`, n))
			if err != nil {
				break
			}
			if said != "" {
				t.Fatal(said)
			}
			saved = n
			if soon == nil {
				soon = time.AfterFunc(time.Duration(r.Intn(400))*time.Millisecond, func() { _ = cmd.Process.Kill() })
			}
		}
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if soon == nil {
			t.Fatalf("kill %d: it ended before anything was saved", kill)
		}
		parsed, faults := tags.ParseGame(game, []byte(read(t, game)), vocabulary(t))
		if err := faults.Err(); err != nil {
			t.Fatalf("kill %d: %v", kill, err)
		}
		got, _ := strconv.Atoi(strings.TrimPrefix(parsed.Plays[0].Reps[0].Point, "number "))
		if got < saved {
			t.Fatalf("kill %d: the file says %d, but %d was told to be saved", kill, got, saved)
		}
	}
}

var pageKills = flag.Int("pagekills", 2, "how often the page is killed")

// A page that is killed amid typing takes nothing along that it showed as saved.
func TestPageKilled(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	s := serve(t, desk.Request{Game: game})
	r := rand.New(rand.NewSource(5))
	b := &sitting{browser.Start(t), t}
	n := 0
	for kill := range *pageKills {
		b.Open(s.Address(), 1366)
		b.Wait("window.desk && desk().view")
		b.key("Escape")
		b.key("P")
		shown := 0
		for range 2 + r.Intn(6) {
			n++
			b.press(clockKeys(n)...)
			shown = max(shown, b.savedClock())
		}
		b.Crash()
		if got := clockIn(t, game); got < shown {
			t.Fatalf("kill %d: the file says %d, but the page showed %d as saved", kill, got, shown)
		}
	}
}

var bothKills = flag.Int("bothkills", 2, "how often page and server are killed together")

// Page and server that are killed together amid a word, as where the power fails, take nothing
// along that the page showed as saved.
func TestBothKilled(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	r := rand.New(rand.NewSource(7))
	b := &sitting{browser.Start(t), t}
	n := 0
	for kill := range *bothKills {
		cmd, address := child(t, game)
		b.Open(address, 1366)
		b.Wait("window.desk && desk().view")
		b.key("Escape")
		b.key("P")
		shown := 0
		for range 1 + r.Intn(3) {
			n++
			b.press(clockKeys(n)...)
			shown = max(shown, b.savedClock())
		}
		n++
		keys := clockKeys(n)
		b.press(keys[:r.Intn(len(keys)+1)]...)
		shown = max(shown, b.savedClock())
		ended := make(chan struct{})
		delay := time.Duration(r.Intn(10)) * time.Millisecond // a page takes a few to end
		go func() {
			defer close(ended)
			time.Sleep(delay)
			_ = cmd.Process.Kill()
			_ = cmd.Wait()
		}()
		b.Crash()
		<-ended
		if got := clockIn(t, game); got < shown {
			t.Fatalf("kill %d: the file says %d, but the page showed %d as saved", kill, got, shown)
		}
	}
}

// clockKeys is what is pressed to say that the game clock of a play is n seconds.
func clockKeys(n int) []string {
	keys := []string{";", "c", "l"}
	for _, digit := range fmt.Sprintf("%04d", n%60+100*(n/60)) {
		keys = append(keys, string(digit))
	}
	return append(keys, "Enter", "Escape")
}

// savedClock is the clock that the page shows as saved; 0 where it says that something is not.
func (b *sitting) savedClock() int {
	b.t.Helper()
	var now struct{ Saved, Clock string }
	b.Eval(`({saved: document.querySelector("#saved").textContent, clock: desk().view.fields?.find((f) => f.field === "clock")?.value ?? ""})`, &now)
	if now.Saved != "Saved" {
		return 0
	}
	return clockOf(now.Clock)
}

// clockIn is the clock of the game's first play in the file.
func clockIn(t *testing.T, game string) int {
	t.Helper()
	parsed, faults := tags.ParseGame(game, []byte(read(t, game)), vocabulary(t))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return clockOf(parsed.Plays[0].Clock)
}

// clockOf is a game clock as a number of seconds.
func clockOf(text string) int {
	var minutes, seconds int
	_, _ = fmt.Sscanf(text, "%d:%d", &minutes, &seconds)
	return 60*minutes + seconds
}

// act sends one act; said is why it was not done.
func (v *visitor) act(body string) (said string, err error) {
	r, err := http.NewRequest(http.MethodPost, v.base+"/act", strings.NewReader(body))
	if err != nil {
		return "", err
	}
	r.Header.Set("Origin", v.base)
	r.Header.Set("Content-Type", "application/json")
	resp, err := v.Do(r)
	if err != nil {
		return "", err
	}
	data, err := io.ReadAll(resp.Body)
	_ = resp.Body.Close()
	if err != nil {
		return "", err
	}
	var got struct {
		Desk struct {
			Said  string
			Wrong bool
		}
	}
	if err := json.Unmarshal(data, &got); err != nil {
		return "", err
	}
	if got.Desk.Wrong {
		return got.Desk.Said, nil
	}
	return "", nil
}
