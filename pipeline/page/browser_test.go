package page_test

import (
	"os"
	"testing"

	"trenchcut/pipeline/internal/browser"
)

// TestMain ends the browser that tests started, and takes away the film that they made.
func TestMain(m *testing.M) {
	code := m.Run()
	browser.End()
	_ = os.RemoveAll(filmFolder)
	os.Exit(code)
}

func fileURL(path string) string { return "file://" + path }
