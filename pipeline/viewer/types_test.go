package viewer_test

import (
	"bytes"
	"context"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// typescriptVersion is the compiler that checks the types which comments give.
const typescriptVersion = "5.9.3"

// The module's types hold, and those of a page that uses it.
func TestTypes(t *testing.T) {
	t.Parallel()
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("no npm here: the types of film.js are not checked")
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	folder := t.TempDir()
	var out bytes.Buffer
	cmd := exec.CommandContext(ctx, npm, "install", "--prefix", folder, "--no-audit", "--no-fund", "--ignore-scripts", "typescript@"+typescriptVersion)
	cmd.Dir, cmd.Stdout, cmd.Stderr = folder, &out, &out
	if err := cmd.Run(); err != nil {
		t.Skipf("npm cannot fetch TypeScript, so the types of film.js are not checked: %v: %.300s", err, out.String())
	}
	check := exec.CommandContext(ctx, filepath.Join(folder, "node_modules", ".bin", "tsc"), "--noEmit", "--checkJs", "--strict",
		"--target", "es2022", "--module", "es2022", "--lib", "es2022,dom,dom.iterable", "film.js")
	if out, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v:\n%s", err, out)
	}
}
