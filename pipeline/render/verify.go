package render

import (
	"context"
	"fmt"

	"trenchcut/tags"
)

// Verification is what was found of a reel that is what its manifest says.
type Verification struct {
	Manifest Manifest
	// Missing are the films it was made from that are not known here, or not as they were.
	Missing []ManifestFilm
	// Compared is how many frames were compared with the film and with slates drawn again.
	Compared tags.Frame
}

// Doubts is what whoever shows the reel should know, a sentence each: films that are not known here, or
// not as they were, and damaged film that it shows.
func (v Verification) Doubts() []string {
	var said []string
	for _, f := range v.Missing {
		said = append(said, fmt.Sprintf("film %s is not among the games, or is not as it was when the reel was made", f.File))
	}
	last := ""
	for _, e := range v.Manifest.Entries {
		if e.Damaged != "" && e.Chapter != last {
			last = e.Chapter
			said = append(said, fmt.Sprintf("%s shows film that is damaged %s", e.Chapter, e.Damaged))
		}
	}
	return said
}

// Verify holds the reel at out to its manifest, decodes it whole and compares its pictures with
// the film and with slates drawn again: some of each clip, or every one. It fails where they do
// not agree, and with [ErrNoPlan] where what the reel should show is not known here. Films knows
// the films that the reel should have been made from.
func (m *Maker) Verify(ctx context.Context, out string, films Films, every bool, events Events) (Verification, error) {
	manifest, err := ReadManifest(ManifestPath(out))
	if err != nil {
		return Verification{}, err
	}
	v := Verification{Manifest: manifest}
	if manifest.Quick {
		return v, fmt.Errorf("%s is a quick look, which holds more than its plays: only a full reel can be verified", out)
	}
	if !manifest.intact(out) {
		return v, fmt.Errorf("%s is not the file that its manifest describes", out)
	}
	p, err := m.Store.keptPlan(manifest.Plan)
	if err != nil {
		return v, fmt.Errorf("%s: %w", out, err)
	}
	if !p.Delivery.Mute {
		if err := m.Tool.Run(ctx, []string{"-i", "file:" + out, "-map", "0:a", "-f", "null", "-"}, nil, nil); err != nil {
			return v, fmt.Errorf("decode the sound of %s: %w", out, err)
		}
	}
	for _, f := range manifest.Films {
		if _, err := films.Path(ctx, f.Fingerprint); err != nil {
			v.Missing = append(v.Missing, f)
		}
	}
	if _, v.Compared, err = m.compare(ctx, out, p, films, every, events); err != nil {
		return v, err
	}
	return v, nil
}
