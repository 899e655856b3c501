package page_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/page"
	"trenchcut/tags"
)

// An index fits every screen, shows the title of each reel, and asks for nothing but its reels.
func TestIndex(t *testing.T) {
	b := browser.Start(t)
	file, made := written(t)
	x := &page.Index{Title: "Film to watch", Says: []string{"2 reels"}}
	long := made.House.Rate.Duration(made.Frames())
	x.Add("Corrections "+hostile, long, page.BesideReel{Video: filepath.Base("week 1 50%#1.mp4"), Page: "reel.html", Practice: "a.practice.html", PDF: "a.practice.pdf", Contact: "a.png"})
	x.Add(strings.Repeat("unbroken", 20), 3720*tags.Second, page.BesideReel{Video: "week 1 50%#1.mp4"})
	data, err := x.HTML()
	if err != nil {
		t.Fatal(err)
	}
	if !page.IsOurs(data) || strings.Contains(string(data), "ZgotmplZ") || strings.Contains(string(data), "\u202e") {
		t.Error("the index is not taken for ours, or holds what it may not")
	}
	index := filepath.Join(filepath.Dir(file), "index.html")
	if err := os.WriteFile(index, data, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, width := range []int{1280, 1920, 390, 320} {
		b.Open(fileURL(index), width)
		b.Wait(`[...document.querySelectorAll("video")].every((v) => v.readyState > 1 && Math.abs(v.currentTime - 2) < .1)`)
		var got struct {
			Scroll int
			Links  []string
		}
		b.Eval(`({scroll: document.documentElement.scrollWidth, links: [...document.querySelectorAll("a")].map((a) => a.getAttribute("href") + " " + a.innerText.trim().slice(0, 14))})`, &got)
		want := "./reel.html Corrections <b|./a.practice.html Practice sheet|./a.practice.pdf To print|./a.png Contact sheet|./week%201%2050%25%231.mp4 The film alone"
		if got.Scroll > width || !strings.HasPrefix(strings.Join(got.Links, "|"), want[:20]) || len(got.Links) != 7 {
			t.Errorf("at %d pixels it is %d wide, with %q", width, got.Scroll, got.Links)
		}
		b.Picture("index-" + map[int]string{1280: "1280", 1920: "1920", 390: "390", 320: "320"}[width] + ".png")
	}
	for _, url := range b.Asked {
		if !strings.HasPrefix(url, "file:///") {
			t.Errorf("the index asks for %s", url)
		}
	}
	axe := fetchAxe(t)
	judge(b, axe, "index")
}
