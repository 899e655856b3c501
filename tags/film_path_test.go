package tags

import (
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/text/unicode/norm"
)

// Film is named from the tag file's folder, with either slash, or by a whole path of any system.
func TestFilmPath(t *testing.T) {
	if filepath.Separator != '/' {
		t.Skip("what is expected is written with slashes")
	}
	for name, want := range map[string]string{
		"":                        "",
		"film/ez.mp4":             "/season/film/ez.mp4",
		`film\ez.mp4`:             "/season/film/ez.mp4",
		`..\film\ez.mp4`:          "/film/ez.mp4",
		"/media/stick/ez.mp4":     "/media/stick/ez.mp4",
		`D:\film\wk1\ez.mp4`:      "D:/film/wk1/ez.mp4",
		"d:/film/ez.mp4":          "d:/film/ez.mp4",
		"week 1: Harbor/ez.mp4":   "/season/week 1: Harbor/ez.mp4",
		`\\server\film\harbor.ts`: "/server/film/harbor.ts",
	} {
		got, err := filmPath("/season/wk1.game.yaml", name)
		if err != nil || got != want {
			t.Errorf("%q: got %q, error %v, want %q", name, got, err, want)
		}
		if drive := len(want) > 1 && want[1] == ':'; OnOtherDrive(got) != drive {
			t.Errorf("%q: is on another's drive: %v, want %v", got, !drive, drive)
		}
	}
}

// Film is found however the letters of its name are composed, from the cache as well, and when
// it comes later under the other spelling.
func TestFilmSpelledOtherwise(t *testing.T) {
	const name = "Tāvita.mp4"
	for _, written := range []norm.Form{norm.NFC, norm.NFD} {
		dir := t.TempDir()
		file := filepath.Join(dir, "wk1.game.yaml")
		text := "trenchcut: 1\ngame: {id: wk1, date: 2026-09-04, us: Cedar Hollow, opponent: Harbor Point}\nfilm:\n  endzone: {file: " +
			written.String(name) + "}\nplays:\n  - {play: 1, angles: {endzone: {file: " + written.String(name) + ", in: 1s, out: 2s}}}\n"
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		cache := Cache{Folder: t.TempDir()}
		for _, on := range []norm.Form{norm.NFC, norm.NFD} {
			there := filepath.Join(dir, on.String(name))
			if err := os.WriteFile(there, nil, 0o666); err != nil {
				t.Fatal(err)
			}
			season, faults, err := cache.Load([]string{file}, vocabulary(t))
			if err != nil || len(faults) > 0 {
				t.Fatalf("faults %v, error %v", faults, err)
			}
			if refs := season.Games[0].Files(); len(refs) != 1 || refs[0].File != there {
				t.Errorf("written %q, on disk %q: films %v", written.String(name), there, refs)
			}
			if err := os.Remove(there); err != nil {
				t.Fatal(err)
			}
		}
	}
}
