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
	s, err := desk.Open(context.Background(), desk.Request{Game: game})
	if err != nil {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
	fmt.Println(s.Address())
	_ = s.Serve(context.Background())
}

// A server that is killed at any moment loses nothing of what a page was told is saved.
func TestServerKilled(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	r := rand.New(rand.NewSource(3))
	saved, n := 0, 0
	for kill := range *kills {
		cmd := exec.CommandContext(t.Context(), os.Args[0])
		cmd.Env = append(os.Environ(), childVariable+"="+game)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		address, err := bufio.NewReader(out).ReadString('\n')
		if err != nil || !strings.HasPrefix(address, "http://") {
			t.Fatalf("%q, %v", address, err)
		}
		v := visit(t, strings.TrimSpace(address))
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
			b.press(";", "c", "l")
			for _, digit := range fmt.Sprintf("%04d", n%60+100*(n/60)) {
				b.press(string(digit))
			}
			b.press("Enter", "Escape")
			var now struct{ Saved, Clock string }
			b.Eval(`({saved: document.querySelector("#saved").textContent, clock: desk().view.fields?.find((f) => f.field === "clock")?.value ?? ""})`, &now)
			if now.Saved == "Saved" {
				shown = clockOf(now.Clock)
			}
		}
		b.Crash()
		parsed, faults := tags.ParseGame(game, []byte(read(t, game)), vocabulary(t))
		if err := faults.Err(); err != nil {
			t.Fatalf("kill %d: %v", kill, err)
		}
		if got := clockOf(parsed.Plays[0].Clock); got < shown && shown <= n {
			t.Fatalf("kill %d: the file says %d, but the page showed %d as saved", kill, got, shown)
		}
	}
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
