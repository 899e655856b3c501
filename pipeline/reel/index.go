package reel

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"trenchcut/pipeline/page"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// indexName is the page of a folder of reels.
const indexName = "index.html"

// mayWriteIndex refuses to write the index of the folder of the reel at out where a file is in the way
// that this program did not write.
func (m *Maker) mayWriteIndex(out string) error {
	folder := filepath.Dir(out)
	if Stem(out)+PageSuffix == filepath.Join(folder, indexName) {
		return tags.WrongRequest(fmt.Errorf("%s: its page would have the name of the folder's index: give the reel another name", out))
	}
	return tags.WrongRequest(files.Policy{Force: m.Force, Ours: page.IsFile}.Check(filepath.Join(folder, indexName)))
}

// writeIndex writes the page of a folder, with every reel in it that this program made, and returns how
// many those are.
func writeIndex(folder string) (int, error) {
	x, err := indexOf(folder)
	if err != nil {
		return 0, fmt.Errorf("make the index of %s: %w", folder, err)
	}
	data, err := x.HTML()
	if err != nil {
		return 0, fmt.Errorf("make the index of %s: %w", folder, err)
	}
	return len(x.Reels), files.Write(filepath.Join(folder, indexName), data)
}

// indexOf is the reels of a folder that have a manifest beside them, by title. What became of a reel
// since it was made is not asked: one that is gone is left out.
func indexOf(folder string) (*page.Index, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	there := map[string]bool{}
	for _, e := range entries {
		if e.Type().IsRegular() {
			there[e.Name()] = true
		}
	}
	x := &page.Index{Title: "Film to watch"}
	var length tags.Time
	for _, e := range entries {
		reel, is := render.ReelOfManifest(e.Name())
		if !is || !there[e.Name()] {
			continue
		}
		m, err := render.ReadManifest(filepath.Join(folder, e.Name()))
		if err != nil || m.Quick || !there[m.Reel.File] || Stem(m.Reel.File) != reel {
			continue // another program's file, or of a reel that went away
		}
		beside := func(suffix string) string {
			if name := reel + suffix; there[name] && slices.ContainsFunc(m.Beside, func(f render.ManifestFile) bool { return f.File == name }) {
				return name
			}
			return ""
		}
		long := m.Reel.House.Rate.Duration(m.Reel.Frames)
		length += long
		x.Add(m.Title, long, page.BesideReel{
			Video: m.Reel.File, Page: beside(PageSuffix), Practice: beside(PracticeSuffix), PDF: beside(PDFSuffix), Contact: beside(ContactSuffix),
		})
	}
	x.Says = []string{tags.Count(len(x.Reels), "reel")}
	if len(x.Reels) > 1 {
		x.Says = append(x.Says, page.Clock(length)+" in all")
	}
	return x, nil
}
