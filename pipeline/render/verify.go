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
}

// Verify holds the reel at out to its manifest and decodes it whole; it fails where they do
// not agree. Films knows those that the reel should have been made from.
func (m *Maker) Verify(ctx context.Context, out string, films Films, events Events) (Verification, error) {
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
	var frames tags.Frame
	err = m.Tool.Run(ctx, []string{"-i", "file:" + out, "-map", "0", "-f", "null", "-"}, nil, func(n tags.Frame) {
		frames = n
		events(Event{Checking, min(n, manifest.Reel.Frames), manifest.Reel.Frames})
	})
	if err != nil {
		return v, fmt.Errorf("decode %s: %w", out, err)
	}
	if frames != manifest.Reel.Frames {
		return v, fmt.Errorf("%s shows %d frames, its manifest says %d", out, frames, manifest.Reel.Frames)
	}
	for _, f := range manifest.Films {
		if _, err := films.Path(ctx, f.Fingerprint); err != nil {
			v.Missing = append(v.Missing, f)
		}
	}
	return v, nil
}
