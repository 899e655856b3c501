package plan_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// Chapters are read by players in their own film programs, so they tell of plays as labels do and
// by no id; they cover the reel without gaps.
func TestChapterTitles(t *testing.T) {
	r := ours(t, "correction", "rusher=marlow")
	r.Angles = []string{"sideline"}
	p, err := asked(t, rushes("91 5 bull short lost no-factor", "91 5 bull short won sack"), r, nil)
	if err != nil {
		t.Fatal(err)
	}
	var titles []string
	next := tags.Frame(0)
	for _, c := range p.Chapters() {
		titles = append(titles, c.Title)
		if c.Span.In != next {
			t.Errorf("%q starts at %d, want %d", c.Title, c.Span.In, next)
		}
		next = c.Span.Out
		if strings.Contains(c.Title, "wk1") {
			t.Errorf("%q names a file", c.Title)
		}
	}
	if next != p.Frames() {
		t.Errorf("the last ends at %d of %d", next, p.Frames())
	}
	if diff := cmp.Diff([]string{
		"Title",
		"Fix", "1: Play 1, sideline", "1: Play 1, sideline, what to do", "2: Play 2, sideline, do it like this",
		"Do it like this", "3: Play 2, sideline", "3: Play 2, sideline, again",
		"Numbers",
	}, titles); diff != "" {
		t.Error(diff)
	}
}
