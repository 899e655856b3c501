package ffmpeg

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Finding is what is found of a stretch of film by decoding its pictures.
type Finding struct {
	// Earlier is how much earlier than its source says the film must be opened for its
	// pictures to be right.
	Earlier tags.Time
	// Damage is what keeps the stretch from being shown as it was filmed; nil is nothing.
	Damage *Damage
	// Gaps is where pictures are missing, for which the one before stands.
	Gaps []Gap
	// Heard is the run that the finding rests on.
	Heard *Witness
}

// Examine decodes the pictures of the span of s, from earlier and earlier, until the first of
// them and the group of pictures before its own are there. What is still complained of then
// is damage. The file scratch is used for hashes; it is none where it is empty, and Earlier
// then may be more than it must.
func (t Tool) Examine(ctx context.Context, s plan.Segment, film, scratch string) (Finding, error) {
	var f Finding
	var first, w *Witness
	for earlier := range Earlier(s) {
		var err error
		if w, err = t.Testify(ctx, s, film, earlier, scratch); err != nil {
			return f, err
		}
		first, f.Earlier, f.Heard = cmp.Or(first, w), earlier, w
		if !w.Late() && (!w.Complained() || w.Sure()) {
			break
		}
	}
	f.Gaps = w.Gaps()
	if d, found := w.Damage(); found {
		f.Damage = &d
	} else if w.Late() {
		f.Damage = &Damage{s.Source.Clock().At(s.Span.In), "no picture can be decoded there, nor before it"}
	} else if end, ends := w.Ends(); ends {
		f.Damage = &Damage{end, "no picture can be decoded from there on"}
	} else if scratch != "" && w.Shown == first.Shown && !first.Late() {
		f.Earlier, f.Heard = 0, first
	}
	if f.Damage != nil {
		part, err := t.part(ctx, film, f.Damage.At)
		if err != nil {
			return f, err
		}
		f.Damage.Said = part + f.Damage.Said
	}
	return f, nil
}

// part names the file, as "in b.vob: ", in which a place in a film of several files is; "" where
// the film is one file. Near where two files meet it may name either.
func (t Tool) part(ctx context.Context, film string, at tags.Time) (string, error) {
	parts := files.Parts(film)
	if len(parts) == 1 {
		return "", nil
	}
	in := ""
	var start tags.Time
	for i, path := range parts {
		r, err := t.Probe(ctx, path)
		if err != nil {
			return "", fmt.Errorf("%s: %w", filepath.Base(path), err)
		}
		begins := Seconds(r.Format.Start)
		if i == 0 {
			start = begins
		}
		if begins-start > at {
			break
		}
		in = fmt.Sprintf("in %s: ", filepath.Base(path))
	}
	return in, nil
}
