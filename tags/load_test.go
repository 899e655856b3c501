package tags

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// write makes a file below dir, with the folders it stands in.
func write(t *testing.T, dir, name, text string) string {
	t.Helper()
	file := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func game(id, date string, plays ...string) string {
	text := "trenchcut: 1\ngame: {id: " + id + ", date: " + date + "}\nfilm: {endzone: {file: ez.mp4}}\npeople: {oke: {team: us, jersey: 91}}\n"
	if len(plays) > 0 {
		text += "plays:\n"
	}
	for _, p := range plays {
		text += "  - {play: " + p + ", in: 0:01, out: 0:09, reps: [oke won]}\n"
	}
	return text
}

func TestLoadOrder(t *testing.T) {
	dir := t.TempDir()
	files := []string{
		write(t, dir, "a.game.yaml", game("wk2", "2026-09-12", "3", "1", "2")),
		write(t, dir, "b.game.yaml", game("wk1b", "2026-09-05", "7")),
		write(t, dir, "c.game.yaml", game("wk1a", "2026-09-05")),
	}
	v := vocabulary(t)
	s, faults, err := Load(files, v)
	if err != nil || faults != nil {
		t.Fatal(err, faults)
	}
	var games, plays, reps []string
	for _, g := range s.Games {
		games = append(games, g.ID)
	}
	for _, p := range s.Plays() {
		plays = append(plays, p.Name())
	}
	for _, r := range s.Reps() {
		reps = append(reps, r.Name())
	}
	if want := []string{"wk1a", "wk1b", "wk2"}; !cmp.Equal(games, want) {
		t.Error(cmp.Diff(want, games))
	}
	if want := []string{"wk1b-p007", "wk2-p001", "wk2-p002", "wk2-p003"}; !cmp.Equal(plays, want) {
		t.Error(cmp.Diff(want, plays))
	}
	if want := []string{"wk1b-p007-91", "wk2-p001-91", "wk2-p002-91", "wk2-p003-91"}; !cmp.Equal(reps, want) {
		t.Error(cmp.Diff(want, reps))
	}
	if s.Vocabulary != v {
		t.Error("the season has another vocabulary than it was read with")
	}
}

func TestLoadFaults(t *testing.T) {
	dir := t.TempDir()
	first := write(t, dir, "a.game.yaml", game("wk1", "2026-09-05", "1"))
	second := write(t, dir, "b.game.yaml", game("wk1", "2026-09-12", "2"))
	bad := write(t, dir, "c.game.yaml", "trenchcut: 1\ngame: {id: wk3}\nplys: []\n")
	none := filepath.Join(dir, "none.game.yaml")
	folder := filepath.Join(dir, "folder.game.yaml")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	large := write(t, dir, "large.game.yaml", string(bytes.Repeat([]byte("#\n"), maxFile)))

	s, faults, err := Load([]string{first, none, second, folder, bad, large}, vocabulary(t))
	want := second + `:2:12: game id "wk1" is that of ` + first + " too\n" +
		bad + `:3:1: unknown key "plys" in the tag file; did you mean "plays"?` + "\n" +
		large + ": the tag file is larger than 8 MB"
	if diff := cmp.Diff(want, faults.Error()); diff != "" {
		t.Error(diff)
	}
	if err == nil || !strings.Contains(err.Error(), none) || !strings.Contains(err.Error(), folder) || strings.Contains(err.Error(), second) {
		t.Errorf("error is %v, want one that names the file there is not and the folder", err)
	}
	if len(s.Plays()) != 1 || s.Plays()[0].Name() != "wk1-p001" {
		t.Errorf("the season has %d plays, want that of the first file", len(s.Plays()))
	}
}

func TestFindGames(t *testing.T) {
	dir := t.TempDir()
	a := write(t, dir, "a.game.yaml", "")
	c := write(t, dir, "b/c.game.yaml", "")
	write(t, dir, "b/notes.yaml", "")
	other := write(t, dir, "b/odd-name.yaml", "")
	got, err := FindGames([]string{dir, a, filepath.Join(dir, "b", "..", "a.game.yaml"), other})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{a, c, other}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	empty := t.TempDir()
	for path, want := range map[string]string{
		empty:                         "no tag file (*.game.yaml) in " + empty,
		filepath.Join(dir, "no such"): "no such",
	} {
		if got, err := FindGames([]string{path}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("FindGames(%s) = %q, %v; want an error with %q", path, got, err, want)
		}
	}
	t.Chdir(filepath.Join(dir, "b"))
	got, err = FindGames(nil)
	if want := []string{"c.game.yaml"}; err != nil || !cmp.Equal(got, want) {
		t.Errorf("FindGames of nothing = %q, %v; want those below the current folder, %q", got, err, want)
	}
}
