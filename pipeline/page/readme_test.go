package page_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"trenchcut/pipeline/internal/browser"
)

// TestReadmePicture draws the README's picture of a page, that of the reel PAGE_OF names,
// amid its first clip: make pictures asks for it.
func TestReadmePicture(t *testing.T) {
	page := os.Getenv("PAGE_OF")
	if page == "" {
		t.Skip("PAGE_OF names no page: nothing to draw")
	}
	b := browser.Start(t)
	b.Open(fileURL(page), 1000)
	b.Eval(`new Promise((done) => {
		const film = document.getElementById("film");
		film.addEventListener("seeked", () => requestAnimationFrame(() => requestAnimationFrame(done)), {once: true});
		document.querySelector(".go").click();
		film.pause();
		film.currentTime += 5;
	})`, nil)
	time.Sleep(2 * time.Second) // Chromium's own sign of waiting fades
	b.T.Setenv("PAGE_PICTURES", filepath.Dir(os.Getenv("PAGE_PICTURE")))
	b.Keep(filepath.Base(os.Getenv("PAGE_PICTURE")), "Page.captureScreenshot", map[string]any{
		"clip": map[string]any{"x": 0, "y": 0, "width": 1000, "height": 715, "scale": 0.64},
	})
}
