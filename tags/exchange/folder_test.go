package exchange

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// takenIn is what taking in a folder of theirs does beside ours, and the files that it makes.
func takenIn(t *testing.T, theirs, ours map[string]string) (*Taking, map[string]string) {
	t.Helper()
	dir := t.TempDir()
	for folder, all := range map[string]map[string]string{"stick": theirs, "season": ours} {
		for name, text := range all {
			file := filepath.Join(dir, folder, name)
			if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	f := Folder{From: filepath.Join(dir, "stick"), Into: filepath.Join(dir, "season", "harbor")}
	if faults, err := f.Among([]string{filepath.Join(dir, "season")}, nil); err != nil || faults.Err() != nil {
		t.Fatal(err, faults)
	}
	taking, err := f.Read(t.Context())
	if err != nil || taking.Faults.Err() != nil {
		t.Fatal(err, taking.Faults)
	}
	made := map[string]string{}
	for _, file := range taking.files {
		made[file.Path] = string(file.Data)
	}
	return taking, made
}

const ourGame = `trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor State}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
plays:
  - {play: 2, reps: [91 won]}
`

// A model that a staff chose is the rep of theirs that it was, and none of ours, whatever ids
// their games and people get.
func TestFolderModels(t *testing.T) {
	theirs := func(game, marlow, model, ike, none string) string {
		return strings.NewReplacer("GAME", game, "MARLOW", marlow, "MODEL", model, "IKE", ike, "NONE", none).Replace(`trenchcut: 1
game: {id: GAME, kind: scout, us: Harbor State, opponent: Mesa Verde}
people:
  MARLOW: {name: Bo Marlow, team: us}
  page: {team: us, jersey: 91}
plays:
  - play: 1
    reps:
      - {rusher: page, battle: won, model: MODEL} # the 91 of ours is another
      - {rusher: MARLOW, battle: won, model: "IKE"}
  - play: 2
    reps:
      - 91 won
      - rusher: MARLOW
        battle: won
        model: NONE
`)
	}
	_, made := takenIn(t,
		map[string]string{"wk1.game.yaml": theirs("wk1", "marlow", "wk1-p002-91", "wk1-p002-marlow", "wk5-p002-91")},
		map[string]string{"wk1.game.yaml": ourGame, "wk5.game.yaml": strings.ReplaceAll(ourGame, "wk1", "wk5")})
	want := theirs("harbor-state-wk1", "harbor-state-marlow", "harbor-state-wk1-p002-91", "harbor-state-wk1-p002-harbor-state-marlow", "harbor-state-wk5-p002-91")
	if got := made["wk1.game.yaml"]; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// What their words say otherwise than ours of the same name stays out, and is said; what both say
// alike is not worth a line.
func TestFolderWordsLeft(t *testing.T) {
	taking, made := takenIn(t, map[string]string{
		"wk1.game.yaml": strings.Replace(ourGame, "Cedar Hollow", "Harbor State", 1),
		"h.vocabulary.yaml": `trenchcut: 1
words:
  outcome: [{sack: {pressure: false}}, {hit: {pressure: true}}]
  move:
    - bull: {family: speed, path: through}
    - spin: {fix: "Their own fix", counter: yes, drills: [one, two], also: [whirl]}
`,
	}, map[string]string{"wk1.game.yaml": ourGame, "our.vocabulary.yaml": "trenchcut: 1\nwords: {move: [{spin: {counter: true, fix: Ours}}]}\n"})
	var got []string
	for _, line := range taking.Lines {
		if strings.HasPrefix(line, "h.vocabulary.yaml") {
			got = append(got, line)
		}
	}
	want := []string{
		"h.vocabulary.yaml: outcome sack: pressure no left: with you it is yes",
		"h.vocabulary.yaml: move bull: family speed left: with you it is power",
		"h.vocabulary.yaml: move spin: fix \"Their own fix\" left: with you it is Ours",
		"h.vocabulary.yaml: move spin: drills \"one, two\" left: with you it is ",
		"h.vocabulary.yaml: move spin gets other names of theirs: whirl",
	}
	for i := range got {
		if i < len(want) && strings.HasSuffix(want[i], " is ") { // which are the program's own
			got[i], _, _ = strings.Cut(got[i], " is ")
			got[i] += " is "
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if words := made["harbor.vocabulary.yaml"]; !strings.Contains(words, "- spin: {also: [whirl]}") || strings.Contains(words, "bull") {
		t.Errorf("%s", words)
	}
}
