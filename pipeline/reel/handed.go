package reel

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/report"
)

// Block is a line for each reel of a handout, and what sections had too few reps.
func (h Handout) Block(reels []*HandoutReel) report.Block {
	b := report.Block{Headings: []report.Heading{
		{Title: h.By},
		{Title: "recipe"},
		{Title: "clips", Right: true},
		{Title: "length"},
		{Title: "too few", Least: 14, Fold: true},
		{Title: "reel"}, // never folded, so that it can be copied
	}}
	for _, r := range reels {
		var few []string
		for _, f := range r.TooFew {
			few = append(few, strings.TrimSpace(fmt.Sprintf("%s %d/%d", f.Section, f.Plays, f.Least)))
		}
		row := []string{r.Value, r.Recipe, "0", "", strings.Join(few, ", "), "nothing to show"}
		if r.Out != "" {
			row[2], row[3], row[5] = fmt.Sprint(r.Clips), r.Length.String(), filepath.ToSlash(relativeTo(h.Folder, r.Out))
			if r.Rendered.Unchanged {
				row[5] += " (unchanged)"
			}
		}
		b.Rows = append(b.Rows, row)
	}
	return b
}

// Counted says how many reels there are, and who has too few reps.
func (h Handout) Counted(reels []*HandoutReel) string {
	made, short, all := 0, map[string]bool{}, map[string]bool{}
	for _, r := range reels {
		all[r.Value] = true
		if len(r.TooFew) > 0 {
			short[r.Value] = true
		}
		if r.Out != "" {
			made++
		}
	}
	said := fmt.Sprintf("%s: %s by %s", h.Folder, tags.Count(made, "reel"), h.By)
	if len(short) > 0 {
		said += fmt.Sprintf("; %d of %d with too few reps: %s", len(short), len(all), strings.Join(slices.Sorted(maps.Keys(short)), ", "))
	}
	return said
}

// relativeTo is a path as seen from a folder that it lies in.
func relativeTo(folder, path string) string {
	if rel, err := filepath.Rel(folder, path); err == nil {
		return rel
	}
	return path
}
