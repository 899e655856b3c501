package tags

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
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
	s, faults, err := Cache{}.Load(files, v)
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

	s, faults, err := Cache{}.Load([]string{first, none, second, folder, bad, large}, vocabulary(t))
	want := second + `:2:12: game id "wk1" is that of ` + first + " too; if somebody else tagged it, say who with by: NAME\n" +
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

// A second file of one game by somebody else is a second opinion, and counts nowhere else.
func TestLoadSecondOpinions(t *testing.T) {
	by := func(id, date, who string, plays ...string) string {
		return strings.Replace(game(id, date, plays...), "{id: "+id, "{id: "+id+", by: "+who, 1)
	}
	dir := t.TempDir()
	files := []string{
		write(t, dir, "a.game.yaml", by("wk2", "2026-09-12", "Ruiz", "2", "1")),
		write(t, dir, "b.game.yaml", game("wk2", "2026-09-12", "1", "3")),
		write(t, dir, "c.game.yaml", by("wk1", "2026-09-05", "Tam", "1")),
		write(t, dir, "d.game.yaml", by("wk1", "2026-09-05", "Abe", "2")),
		write(t, dir, "e.game.yaml", by("wk1", "2026-09-05", "Lee", "3")),
	}
	cache := Cache{Folder: filepath.Join(t.TempDir(), "tags")}
	for _, from := range []string{"files", "cache"} {
		s, faults, err := cache.Load(files, vocabulary(t))
		if err != nil || faults != nil {
			t.Fatal(err, faults)
		}
		names := func(games []*Game) (list []string) {
			for _, g := range games {
				list = append(list, strings.TrimSpace(g.ID+" "+g.By))
			}
			return list
		}
		// The file without by is first, else the first by name, whatever files are called.
		if diff := cmp.Diff([]string{"wk1 Abe", "wk2"}, names(s.Games)); diff != "" {
			t.Errorf("from %s: %s", from, diff)
		}
		if diff := cmp.Diff([]string{"wk1 Lee", "wk1 Tam", "wk2 Ruiz"}, names(s.Second)); diff != "" {
			t.Errorf("from %s: %s", from, diff)
		}
		if len(s.Reps()) != 3 || len(s.Plays()) != 3 {
			t.Errorf("%d reps in %d plays, want 3 in 3: second opinions count", len(s.Reps()), len(s.Plays()))
		}
		if p := s.Second[2].Plays; p[0].Number != 1 {
			t.Errorf("the second opinion's plays begin with %d", p[0].Number)
		}
	}

	again := write(t, dir, "f.game.yaml", by("wk2", "", "Ruiz"))
	otherDay := write(t, dir, "g.game.yaml", by("wk2", "2026-09-13", "Vik"))
	s, faults, err := Cache{}.Load(append(files, again, otherDay), vocabulary(t))
	want := again + `:2:12: game id "wk2" is that of ` + files[0] + " too; if somebody else tagged it, say who with by: NAME\n" +
		otherDay + `:2:12: game "wk2" is of 2026-09-13 here, but of 2026-09-12 in ` + files[1]
	if err != nil {
		t.Fatal(err)
	}
	got := slices.DeleteFunc(faults, func(f Fault) bool { return strings.HasPrefix(f.What, "date ") }) // "" is none
	if diff := cmp.Diff(want, got.Error()); diff != "" {
		t.Error(diff)
	}
	if len(s.Second) != 4 {
		t.Errorf("%d second opinions, want 4", len(s.Second))
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
