package files

import (
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/text/unicode/norm"
)

// A name is found however its letters are composed, in folders and in parts too; what stands
// there as it is written comes first.
func TestAsOnDisk(t *testing.T) {
	const folder, name = "Tāvita", "Loʻimata é.mp4"
	for _, on := range []norm.Form{norm.NFC, norm.NFD} {
		for _, asked := range []norm.Form{norm.NFC, norm.NFD} {
			root := t.TempDir()
			there := filepath.Join(root, on.String(folder), on.String(name))
			if err := os.MkdirAll(filepath.Dir(there), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(there, nil, 0o666); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(root, asked.String(folder), asked.String(name))
			gone := filepath.Join(root, "gone.mp4")
			if got, want := AsOnDisk(Whole([]string{path, gone})), Whole([]string{there, gone}); got != want {
				t.Errorf("on disk %q, asked for %q: got %q", there, path, got)
			}
			missing := filepath.Join(root, asked.String(folder), "è.mp4")
			if got := AsOnDisk(missing); got != missing {
				t.Errorf("%q is not there, got %q", missing, got)
			}
		}
	}
}
