package render

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Manifest says what a reel was made from, beside the reel. Film is named by file name
// and fingerprint, never by where it lies.
type Manifest struct {
	Format   int             `json:"trenchcut"`
	Title    string          `json:"title"`
	Plan     string          `json:"plan"`            // digest
	Quick    bool            `json:"quick,omitempty"` // a quick look, of which no entries are told
	Reel     ManifestReel    `json:"reel"`
	Versions Versions        `json:"versions"`
	Films    []ManifestFilm  `json:"films"`
	Entries  []ManifestEntry `json:"entries"`
	LeftOut  []string        `json:"left_out,omitempty"`
	Beside   []ManifestFile  `json:"beside,omitempty"`
	plan.Delivery
}

// ManifestFile is a file that was written beside the reel.
type ManifestFile struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

// ManifestReel is the reel file itself.
type ManifestReel struct {
	File        string     `json:"file"`
	Fingerprint string     `json:"fingerprint"`
	SHA256      string     `json:"sha256,omitempty"` // of the whole file, where it is handed out
	House       plan.House `json:"house"`
	Frames      tags.Frame `json:"frames"`
}

// Versions is what made the reel.
type Versions struct {
	Trenchcut string `json:"trenchcut"`
	FFmpeg    string `json:"ffmpeg"`
}

// ManifestFilm is one film of the reel.
type ManifestFilm struct {
	File        string    `json:"file,omitempty"`
	Fingerprint string    `json:"fingerprint"`
	Rate        tags.Rate `json:"rate"`
}

// ManifestEntry is one segment: of which chapter it is, where it stands in the reel, and
// which frames of which film it shows.
type ManifestEntry struct {
	Chapter string     `json:"chapter"`
	Shows   plan.Shows `json:"shows,omitempty"`
	Reps    []string   `json:"reps,omitempty"`
	Reel    tags.Span  `json:"reel"`
	Film    string     `json:"film,omitempty"` // fingerprint
	Source  *tags.Span `json:"source,omitempty"`
	// Below is the film shown below it in step, and BelowSource which frames of that.
	Below       string     `json:"below,omitempty"`
	BelowSource *tags.Span `json:"below_source,omitempty"`
	Segment     plan.Key   `json:"segment"`
	// Damaged says where the film is damaged, which is shown all the same.
	Damaged string `json:"damaged,omitempty"`
}

// ManifestSuffix is how the names of manifests end.
const ManifestSuffix = ".reel.json"

// ManifestPath is where the manifest of the reel at out is kept.
func ManifestPath(out string) string {
	return strings.TrimSuffix(out, filepath.Ext(out)) + ManifestSuffix
}

// ReelOfManifest is the name, without its ending, of the reel whose manifest has the name file; false
// where that is no manifest's.
func ReelOfManifest(file string) (string, bool) { return strings.CutSuffix(file, ManifestSuffix) }

// Hash is the SHA-256 of the reel or of a file beside it, by its name; false where the
// manifest names none.
func (m Manifest) Hash(file string) (sha256 string, named bool) {
	if file == m.Reel.File {
		return m.Reel.SHA256, true
	}
	for _, f := range m.Beside {
		if f.File == file {
			return f.SHA256, true
		}
	}
	return "", false
}

// WithBeside is the manifest of the reel at out, to be written with files that go beside it,
// which it then names.
func WithBeside(out string, beside []files.File) (files.File, error) {
	m, err := ReadManifest(ManifestPath(out))
	if err != nil {
		return files.File{}, err
	}
	for _, f := range beside {
		name := filepath.Base(f.Path)
		m.Beside = slices.DeleteFunc(m.Beside, func(have ManifestFile) bool { return have.File == name })
		m.Beside = append(m.Beside, ManifestFile{name, content.HashOf(f.Data)})
	}
	slices.SortFunc(m.Beside, func(a, b ManifestFile) int { return strings.Compare(a.File, b.File) })
	data, err := m.encode()
	return files.File{Path: ManifestPath(out), Data: data}, err
}

func (m Manifest) encode() ([]byte, error) {
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the manifest: %w", err)
	}
	return append(data, '\n'), nil
}

// ReadManifest reads a manifest; it fails where there is none or it is not one.
func ReadManifest(path string) (Manifest, error) {
	var m Manifest
	data, err := os.ReadFile(path)
	if err != nil {
		return m, err
	}
	if err := json.Unmarshal(data, &m); err != nil {
		return m, fmt.Errorf("read manifest %s: %w", path, err)
	}
	if m.Format != tags.Format || m.Plan == "" {
		return m, fmt.Errorf("%s is no manifest of a reel", path)
	}
	return m, nil
}

// intact reports whether the file at out is the reel the manifest was written for.
func (m Manifest) intact(out string) bool {
	print, err := content.Fingerprint(out)
	return err == nil && print == m.Reel.Fingerprint
}

// manifest describes the reel of p, which lies finished at tmp and will be out.
func (m *Maker) manifest(ctx context.Context, p *plan.Plan, jobs []Job, digest, tmp, out string) ([]byte, error) {
	print, err := content.Fingerprint(tmp)
	if err != nil {
		return nil, err
	}
	version, _, _ := strings.Cut(m.Toolchain, "\n")
	handedOut := p.Delivery.Handout != ""
	leftOut, whole := p.LeftOut, ""
	if handedOut {
		leftOut = nil
		if whole, err = content.Hash(ctx, tmp); err != nil {
			return nil, err
		}
	}
	man := Manifest{
		Format:   tags.Format,
		Title:    p.Title,
		Plan:     digest,
		Reel:     ManifestReel{filepath.Base(out), print, whole, p.House, p.Frames()},
		Versions: Versions{m.Version, version},
		LeftOut:  leftOut,
		Delivery: p.Delivery,
	}
	known := map[string]bool{}
	for i, place := range p.Places() {
		s := p.Entries[i].Segment
		e := ManifestEntry{Chapter: p.Entries[i].Chapter, Shows: p.Entries[i].Shows, Reps: p.Entries[i].Reps, Reel: place, Segment: jobs[i].Key, Damaged: p.Entries[i].Damaged}
		if handedOut {
			e.Chapter, e.Reps = fmt.Sprintf("clip %d", i+1), nil
		}
		if s.Kind == plan.Film {
			e.Film, e.Source = s.Source.Fingerprint, &s.Span
			if s.Below != nil {
				e.Below, e.BelowSource = s.Below.Source.Fingerprint, &s.Below.Span
			}
		}
		for _, film := range s.Films() {
			if known[film.Fingerprint] {
				continue
			}
			known[film.Fingerprint] = true
			path, err := m.Films.Path(ctx, film.Fingerprint)
			if err != nil {
				return nil, err
			}
			f := ManifestFilm{files.Base(path), film.Fingerprint, film.Rate}
			if handedOut {
				f.File = ""
			}
			man.Films = append(man.Films, f)
		}
		man.Entries = append(man.Entries, e)
	}
	return man.encode()
}
