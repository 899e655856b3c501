package share

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/tags"
)

// An opponent of no team, who blocks, is no player of ours whose number a folder may not tell.
func TestOpponentsAreNoSecret(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "wk1"+tags.Suffix)
	if err := os.WriteFile(file, []byte(`trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor State}
people: {marlow: {name: Teo Marlow, team: us, jersey: 91}, lt: {name: Al Dunn, jersey: 72}}
plays: [{play: 1, reps: [{rusher: marlow, blocker: {who: lt}, battle: won}]}]
`), 0o600); err != nil {
		t.Fatal(err)
	}
	season, faults, err := tags.Cache{}.Load([]string{file}, v)
	if err != nil || faults.Grave() > 0 {
		t.Fatal(faults, err)
	}
	var whats []string
	for _, s := range secretsOf(season).list {
		whats = append(whats, s.what)
	}
	if all := strings.Join(whats, "\n"); strings.Contains(all, "72") || !strings.Contains(all, "#91 Teo Marlow") {
		t.Errorf("secrets are %q", whats)
	}
}
