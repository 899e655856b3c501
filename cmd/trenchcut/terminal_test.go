package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
)

func steers(r rune) bool {
	return r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp))
}

// No command lets a tag file or the name of a file steer the terminal.
func TestNothingSteersTheTerminal(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv(session.CacheVariable, filepath.Join(dir, ".cache"))
	const bad = `\x1b]0;x\x07\u009b31m\u202e\u2066`
	game := "trenchcut: 1\ngame: {id: wk1, opponent: \"Har" + bad + "bor\"}\npeople:\n  m: {name: \"Teo" + bad + "\", team: us, jersey: 91}\n" +
		"plays:\n  - {play: 1, call: \"trips" + bad + "\", extra: {look: \"x" + bad + "\"}, reps: [{rusher: m, battle: lost, note: \"n" + bad + "\", point: \"p" + bad + "\"}]}\n"
	name := "wk1\x1b[31m\u202e\u009b\x9b\n.game.yaml"
	players := filepath.Join("players", "m")
	for path, data := range map[string]string{
		name: game, filepath.Join(players, "a\x1b[2J\n\u202e.txt"): "Teo", filepath.Join(players, "b\x1b[2J.7z"): "7z\xbc\xaf\x27\x1c",
	} {
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(data), 0o666); err != nil {
			t.Skipf("no such name can be here: %v", err)
		}
	}
	guarded := 0
	for _, line := range []string{
		"find", "find --csv", "find --json", "find --plays --csv", "find --plays --json", "find --by call", "find rusher=x\x1b[31m",
		"find -g no\x1b[31m\u202e", "stats", "stats --csv -t grades", "stats --json -t grades", "check", "check --json", "check --share players",
		"check --share no\x1b[31m\u202e", "export -o x\x1b[31m.jsonl", "export", "reel --plan", "schema x\x1b[31m", "no\x1b[31m\u202e", "help",
	} {
		var out, errs bytes.Buffer
		run(strings.Split(line, " "), streams{In: strings.NewReader(""), Out: terminal.Guarded(&out), Err: terminal.Guarded(&errs)})
		for of, text := range map[string]string{"output": out.String(), "error output": errs.String()} {
			if i := strings.IndexFunc(text, steers); i >= 0 {
				t.Errorf("%q: %s has %q", line, of, text[max(0, i-20):min(len(text), i+20)])
			}
		}
		guarded += strings.Count(out.String()+errs.String(), "\ufffd")
		if out.Len()+errs.Len() == 0 {
			t.Errorf("%q says nothing", line)
		}
	}
	if guarded < 50 {
		t.Errorf("the commands printed only %d of the letters that steer", guarded)
	}
}
