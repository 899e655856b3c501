package desk_test

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// typescriptVersion is the compiler that checks the types which comments give.
const typescriptVersion = "5.9.3"

// The types of the page's modules hold, and of those that show film.
func TestTypes(t *testing.T) {
	t.Parallel()
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("no npm here: the types of the page's modules are not checked")
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	folder := t.TempDir()
	var out bytes.Buffer
	cmd := exec.CommandContext(ctx, npm, "install", "--prefix", folder, "--no-audit", "--no-fund", "--ignore-scripts", "typescript@"+typescriptVersion)
	cmd.Dir, cmd.Stdout, cmd.Stderr = folder, &out, &out
	if err := cmd.Run(); err != nil {
		t.Skipf("npm cannot fetch TypeScript, so the types of the page's modules are not checked: %v: %.300s", err, out.String())
	}
	for name, from := range map[string]string{
		"page.js": "page.js", "form.js": "form.js", "line.js": "line.js", "stage.js": "stage.js", "reel.js": "reel.js", "tabs.js": "tabs.js", "intake.js": "intake.js", "sheet.js": "sheet.js", "drawn.js": "drawn.js",
		"film/film.js": "../viewer/film.js", "film/facts.js": "../viewer/facts.js", "film/screen.js": "../viewer/screen.js", "film/stills.js": "../viewer/stills.js", "film/video.js": "../viewer/video.js",
	} {
		data, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	check := exec.CommandContext(ctx, filepath.Join("node_modules", ".bin", "tsc"), "--noEmit", "--checkJs", "--strict",
		"--target", "es2022", "--module", "es2022", "--lib", "es2022,dom,dom.iterable", "page.js", "intake.js")
	check.Dir = folder
	if out, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v:\n%s", err, out)
	}
}
