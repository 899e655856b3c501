package mark

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"trenchcut/tags/files"
)

const togetherGame = typedHead + `
plays:
  - play: 3
    down: 1
    angles:
      endzone: {in: 0:00:10.000, out: 0:00:20.000, snap: 0:00:14.000}
    reps:
      - 91 9 left bull short lost no-factor # his first
      - rusher: wren
        align: 1
        battle: won

  # a timeout
  - play: 6
    down: 2
    angles:
      endzone: {in: 0:00:30.000, out: 0:00:40.000, snap: 0:00:34.000}
    reps:
      - rusher: marlow
        align: 9
        battle: won
        note: as it was
`

// Whatever a person types into the file while it is being tagged stays, and so does what is
// tagged.
func TestConcurrentEdits(t *testing.T) {
	for trial := range 50 {
		r := rand.New(rand.NewSource(int64(trial)))
		d := opened(t, togetherGame)
		theirs := ""
		for n := range 6 {
			if r.Intn(2) == 0 {
				theirs = fmt.Sprintf("trial %d, %d", trial, n)
				text := onDisk(t, d)
				line := strings.SplitAfter(text, "        note: ")
				text = line[0] + theirs + "\n"
				if r.Intn(2) == 0 {
					text = strings.Replace(text, "  # a timeout", "  # "+theirs+"\n  # a timeout", 1)
				}
				write := files.Write
				if r.Intn(2) == 0 { // as editors do that write in place
					write = func(path string, data []byte) error { return os.WriteFile(path, data, 0o666) }
				}
				if err := write(d.path, []byte(text)); err != nil {
					t.Fatal(err)
				}
			}
			was, _ := d.Look().Value(3, "marlow", "outcome")
			mine := []string{"sack", "hurry"}[n%2]
			if _, err := d.Do(Edit{Verb: Set, Play: 3, Rep: "marlow", Field: "outcome", Was: was, Value: mine}); err != nil {
				t.Fatal(err)
			}
			got := onDisk(t, d)
			if !strings.Contains(got, "# his first") || !strings.Contains(got, "bull short lost "+mine) || theirs != "" && !strings.Contains(got, "note: "+theirs+"\n") {
				t.Fatalf("trial %d: theirs is %q, mine %q:\n%s", trial, theirs, mine, got)
			}
		}
		for d.Look().Undo != "" { // which takes back mine alone
			if _, err := d.Undo(); err != nil {
				t.Fatal(err)
			}
		}
		if got := onDisk(t, d); !strings.Contains(got, "- 91 9 left bull short lost no-factor # his first") || theirs != "" && !strings.Contains(got, "note: "+theirs+"\n") {
			t.Fatalf("trial %d: after undoing all:\n%s", trial, got)
		}
	}
}

// What both change is neither lost nor written over: who comes second is told.
func TestConflict(t *testing.T) {
	d := opened(t, togetherGame)
	for name, c := range map[string]struct {
		old, new string
		edit     Edit
		want     string
	}{
		"a field":         {"note: as it was", "note: theirs", Edit{Verb: Set, Play: 6, Rep: "marlow", Field: "note", Was: "as it was", Value: "mine"}, "note of marlow in play 6 is theirs now: somebody else changed it; look again"},
		"a field cleared": {"        note: as it was\n", "", Edit{Verb: Set, Play: 6, Rep: "marlow", Field: "note", Was: "as it was", Value: "mine"}, "note of marlow in play 6 is clear now: somebody else changed it; look again"},
		"a rep gone":      {"      - rusher: wren\n        align: 1\n        battle: won\n", "", Edit{Verb: Set, Play: 3, Rep: "wren", Field: "battle", Was: "won", Value: "lost"}, "battle of wren in play 3 is clear now: somebody else changed it; look again"},
		"a file broken":   {"plays:", "plays: [", Edit{Verb: Set, Play: 6, Field: "down", Was: "2", Value: "3"}, "the tag file cannot be read now, so nothing is written to it"},
	} {
		text := strings.Replace(togetherGame, c.old, c.new, 1)
		if err := os.WriteFile(d.path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		_, err := d.Do(c.edit)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %s", name, err, c.want)
		}
		if got := onDisk(t, d); got != text {
			t.Errorf("%s: the file was written over:\n%s", name, got)
		}
	}
}

// What would be a fault is refused, in the words of the check, and changes nothing.
func TestRefused(t *testing.T) {
	d := opened(t, togetherGame)
	for name, c := range map[string]struct {
		edit Edit
		want string
	}{
		"no word":         {Edit{Verb: Set, Play: 3, Rep: "wren", Field: "blocker.set", Value: "shrt"}, "unknown set \"shrt\""},
		"no such down":    {Edit{Verb: Set, Play: 3, Field: "down", Was: "1", Value: "5"}, "\"5\" is not a whole number from 1 to 4"},
		"no time":         {Edit{Verb: Set, Play: 3, Rep: "wren", Field: "marks.getoff", Value: "soon"}, "is not a time"},
		"nobody":          {Edit{Verb: Add, Play: 3, Rep: "smith", Values: []Value{{"battle", "won"}}}, "smith is nobody among the game's people"},
		"twice":           {Edit{Verb: Add, Play: 3, Rep: "wren", Values: []Value{{"battle", "won"}}}, "wren in play 3 is there already"},
		"a play twice":    {Edit{Verb: Add, Play: 3}, "play 3 is there already"},
		"no field":        {Edit{Verb: Set, Play: 3, Rep: "wren", Field: "shoes", Value: "red"}, "shoes is nothing that can be set here"},
		"rep of no play":  {Edit{Verb: Add, Play: 4, Rep: "wren"}, "play 4 is not in the file yet"},
		"the play number": {Edit{Verb: Set, Play: 3, Field: "play", Was: "3", Value: "4"}, "play is nothing that can be set here"},
	} {
		_, err := d.Do(c.edit)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %s", name, err, c.want)
		}
		if got := onDisk(t, d); got != togetherGame {
			t.Fatalf("%s: the file was changed:\n%s", name, got)
		}
	}
	readOnly, err := Open(d.path, vocabulary(t), Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := readOnly.Do(Edit{Verb: Set, Play: 3, Field: "down", Was: "1", Value: "2"}); !errors.Is(err, ErrReadOnly) {
		t.Errorf("read-only: %v", err)
	}
}

// Two sessions write to one file at once, and every edit of both is in it.
func TestTwoSessions(t *testing.T) {
	d := opened(t, togetherGame)
	other := reopened(t, d.path)
	var group sync.WaitGroup
	for i, session := range []*Document{d, other} {
		group.Go(func() {
			field := []Field{"point", "note"}[i]
			was, _ := session.Look().Value(3, "marlow", field)
			for n := range 25 {
				next := fmt.Sprintf("number %d", n)
				if _, err := session.Do(Edit{Verb: Set, Play: 3, Rep: "marlow", Field: field, Was: was, Value: next}); err != nil {
					t.Error(err)
				}
				was = next
			}
		})
	}
	group.Wait()
	got := onDisk(t, d)
	if !strings.Contains(got, "note: number 24") || !strings.Contains(got, "point: number 24") || !strings.Contains(got, "# his first") {
		t.Errorf("edits were lost:\n%s", got)
	}
}

// childVariable names the file that this test, run again as a program of its own, is to tag
// until it is killed.
const childVariable = "MARK_TEST_FILE"

func TestMain(m *testing.M) {
	if path := os.Getenv(childVariable); path != "" {
		tagUntilKilled(path)
	}
	os.Exit(m.Run())
}

var kills = flag.Int("kills", 20, "how often whoever tags is killed")

// tagUntilKilled tags one game and says what is saved.
func tagUntilKilled(path string) {
	t := &testing.T{}
	d, err := Open(path, vocabulary(t), Options{})
	if err != nil {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
	r := rand.New(rand.NewSource(time.Now().UnixNano()))
	n := 0
	for who, field := range map[string]Field{"wren": "note", "oke": "point"} {
		last, _ := d.Look().Value(3, who, field)
		before, _ := strconv.Atoi(last)
		n = max(n, before)
	}
	for {
		n++
		e := Edit{Verb: Set, Play: 3, Rep: "wren", Field: "note", Value: strconv.Itoa(n)}
		if r.Intn(3) == 0 {
			e.Rep, e.Field = "oke", "point" // which is begun only
			if _, there := d.Look().Value(3, "oke", ""); !there {
				if _, err := d.Do(Edit{Verb: Add, Play: 3, Rep: "oke"}); err != nil {
					fmt.Println("failed:", err)
					os.Exit(1)
				}
			}
		}
		e.Was, _ = d.Look().Value(3, e.Rep, e.Field)
		if _, err := d.Do(e); err != nil {
			fmt.Println("failed:", err)
			os.Exit(1)
		}
		fmt.Println(e.Rep, e.Value)
	}
}

// Kills at any moment lose nothing that was reported as saved.
func TestKilled(t *testing.T) {
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "wk9.game.yaml")
	if err := os.WriteFile(path, []byte(togetherGame), 0o666); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewSource(7))
	most := map[string]int{}
	for kill := range *kills {
		cmd := exec.Command(program)
		cmd.Env = append(os.Environ(), childVariable+"="+path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		saved := false
		for lines := bufio.NewScanner(out); lines.Scan(); {
			who, n, _ := strings.Cut(lines.Text(), " ")
			value, err := strconv.Atoi(n)
			if err != nil {
				t.Fatalf("kill %d: %s", kill, lines.Text())
			}
			most[who] = max(most[who], value)
			if !saved { // the kill comes soon after the first change, however slow the machine is
				saved = true
				time.AfterFunc(time.Duration(r.Intn(120))*time.Millisecond, func() { _ = cmd.Process.Kill() })
			}
		}
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if !saved {
			t.Fatalf("kill %d: it ended before anything was saved", kill)
		}
		d, err := Open(path, vocabulary(t), Options{})
		if err != nil {
			t.Fatalf("kill %d: %v", kill, err)
		}
		for who, field := range map[string]Field{"wren": "note", "oke": "point"} {
			said, _ := d.Look().Value(3, who, field)
			if n, _ := strconv.Atoi(said); n < most[who] {
				t.Fatalf("kill %d: %s of %s is %q, but %d was saved", kill, field, who, said, most[who])
			}
		}
		if got := onDisk(t, d); !strings.Contains(got, "# his first") || !strings.Contains(got, "  # a timeout\n") {
			t.Fatalf("kill %d: the file is damaged:\n%s", kill, got)
		}
		d.Close()
	}
}
