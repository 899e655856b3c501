package reel

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Output is the file that a draft's reel goes to: named, or else the title as .mp4 in the
// current folder. It must not be one of the films; where it cannot be written, the error
// is a [tags.RequestError].
func (d *Draft) Output(named string) (string, error) {
	out := named
	if out == "" {
		out = plan.FileName(d.Recipe.Title) + ".mp4"
	}
	refuse := func(format string, args ...any) (string, error) {
		return "", tags.WrongRequest(fmt.Errorf("output %s: "+format, append([]any{out}, args...)...))
	}
	if ext := filepath.Ext(out); !strings.EqualFold(ext, ".mp4") {
		return refuse("reels are MP4, so its name ends in .mp4")
	}
	if err := files.Takes(out); err != nil {
		return refuse("%w", err)
	}
	if info, err := os.Stat(filepath.Dir(out)); err != nil || !info.IsDir() {
		return refuse("there is no folder %s", filepath.Dir(out))
	}
	there, err := os.Stat(out)
	if err != nil {
		return out, nil
	}
	for path := range d.Session.Films {
		if info, err := os.Stat(path); err == nil && os.SameFile(there, info) {
			return refuse("it is a film of the games, and a reel never replaces film")
		}
	}
	if !there.Mode().IsRegular() {
		return refuse("it is not a plain file")
	}
	return out, nil
}
