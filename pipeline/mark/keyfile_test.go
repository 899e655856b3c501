package mark_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

func TestReadKeys(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want string // name and key of those that changed, or what is wrong
	}{
		"another key":            {"snap: j\nmark-on: s", "mark-on s, snap j"},
		"named keys":             {"undo: Delete\nrun: F2\nto-in: page up\nplay-back: Home", "play-back Home, run F2, to-in PageUp, undo Delete"},
		"capitals":               {"undo: Shift Q\nredo: Z", "redo Z, undo Q"},
		"in two passes":          {"new-play: a", "new-play a"},
		"doubled with its own":   {"snap: g", "k:2:7: G is the key of snap and of get-off, as without a file; give one of them another"},
		"doubled in the file":    {"snap: y\nundo: y", "k:3:7: Y is the key of undo and of snap at k:2:7; give one of them another"},
		"an unknown name":        {"snapp: j", "k:2:1: unknown key \"snapp\" in the file of keys; did you mean \"snap\"?"},
		"a name that is doubled": {"snap: y\nsnap: z", "k:3:1: key \"snap\" stands twice in the file of keys; it stands first at line 2"},
		"a digit":                {"snap: 4", "k:2:7: the key of snap: digits begin a rusher's number"},
		"no key":                 {"snap: Hyper", "k:2:7: the key of snap: \"Hyper\" is no key: want a character such as j, Shift J, or one of"},
		"the digits":             {"rusher: y", "k:2:1: unknown key \"rusher\" in the file of keys"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "cedar"+tags.KeysSuffix)
			if err := os.WriteFile(path, []byte("trenchcut: 1\n"+c.text+"\n"), 0o666); err != nil {
				t.Fatal(err)
			}
			keys, err := mark.ReadKeys([]string{path})
			if err != nil {
				if got := strings.ReplaceAll(err.Error(), path, "k"); !strings.HasPrefix(got, c.want) {
					t.Errorf("it fails with %s, want %s", got, c.want)
				}
				return
			}
			var changed []string
			for i, k := range keys {
				if was := mark.DefaultKeys[i]; was.Key != k.Key {
					changed = append(changed, fmt.Sprint(k.Name, " ", k.Key))
				}
			}
			if got := sortedList(changed); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

func sortedList(list []string) string {
	slices.Sort(list)
	return strings.Join(list, ", ")
}

// The keys that the program comes with are no two for one thing.
func TestDefaultKeys(t *testing.T) {
	if _, err := mark.ReadKeys(nil); err != nil {
		t.Error(err)
	}
}

// A staff's own key does what the other did.
func TestOwnKey(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cedar"+tags.KeysSuffix)
	if err := os.WriteFile(path, []byte("trenchcut: 1\nsnap: F4\nfield: y\nplays: s\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	keys, err := mark.ReadKeys([]string{path})
	if err != nil {
		t.Fatal(err)
	}
	d, _ := openedWith(t, formGame, map[string]tags.Rate{"endzone": {Num: 30, Den: 1}}, keys)
	at := mark.At{Angle: "endzone", Frame: 426}
	desk := mark.Desk{Pass: mark.PlaysPass, Play: 2}
	for _, key := range []string{"y", "d", "o", "F4", "Escape"} {
		desk = d.Act(desk, mark.Act{Do: "key", Key: key, At: at})
		if key == "F4" && desk.Open != "down" {
			t.Errorf("the mark closed the field: %+v", desk)
		}
	}
	if text := written(t, d); !strings.Contains(text, "snap: 0:00:14.200") {
		t.Errorf("F4 marked no snap: %+v\n%s", desk, text)
	}
}
