package render

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// QuickReport is what a quick reel came to.
type QuickReport struct {
	Clips  int
	Length tags.Time
	More   tags.Time // the longest that a clip holds besides its span
}

// ErrNotQuick says that a reel cannot be made without re-encoding.
var ErrNotQuick = errors.New("this film cannot be joined as it is")

// Quick makes a reel of the plays of p without re-encoding: each clip goes from the
// keyframe before it to the one after it, labels are a track of text, and there are no
// slates and nothing drawn. It fails with [ErrNotQuick] where the films are not all of one
// kind, and as [Maker.Make] where a file at out may not be replaced.
func (m *Maker) Quick(ctx context.Context, p *plan.Plan, out string, force bool, events Events) (QuickReport, error) {
	var report QuickReport
	if _, err := ours(out); err != nil && !force {
		return report, err
	}
	var entries []plan.Entry
	for _, e := range p.Entries {
		if e.Segment.Kind == plan.Film && e.Shows == plan.ShowsPlay {
			entries = append(entries, e)
		}
	}
	if err := oneKind(entries); err != nil {
		return report, err
	}
	tmp, end, err := m.begin(ctx, out)
	if err != nil {
		return report, err
	}
	defer end()
	dir, err := m.Store.Temp()
	if err != nil {
		return report, FullIn(m.Store.Root, err)
	}
	defer os.RemoveAll(dir)

	clips, err := m.copyClips(ctx, entries, dir, events)
	if err != nil {
		return report, FullIn(m.Store.Root, err)
	}
	rate := entries[0].Segment.Source.Rate
	paths, frames := make([]string, len(clips)), make([]tags.Frame, len(clips))
	var chapters []ffmpeg.Chapter
	var labels strings.Builder
	var n tags.Frame
	for i, c := range clips {
		if len(c.movie.params) == 0 {
			return report, fmt.Errorf("%w: the film of %s is of a coding that is not joined so", ErrNotQuick, entries[i].Chapter)
		}
		if !bytes.Equal(c.movie.params, clips[0].movie.params) {
			return report, fmt.Errorf("%w: %s was encoded in another way than the rest", ErrNotQuick, entries[i].Chapter)
		}
		paths[i], frames[i] = c.path, c.frames
		report.More = max(report.More, rate.Duration(c.frames-entries[i].Segment.Span.Len()))
		chapters = append(chapters, ffmpeg.Chapter{Title: entries[i].Title(i + 1), Span: tags.Span{In: n, Out: n + frames[i]}})
		writeLabels(&labels, entries[i].Segment, rate.Duration(n), rate.Duration(n+c.runIn))
		n += frames[i]
	}
	list, err := ffmpeg.ListFile(dir, paths, frames, rate)
	if err != nil {
		return report, err
	}
	j := ffmpeg.Join{
		List: filepath.Join(dir, "list"), Metadata: filepath.Join(dir, "metadata"), Out: tmp,
		Sound: entries[0].Segment.Source.Audio >= 0 && !p.Delivery.Mute,
	}
	text := filepath.Join(dir, "labels")
	if err := errors.Join(
		os.WriteFile(j.List, []byte(list), 0o666),
		os.WriteFile(j.Metadata, []byte(ffmpeg.MetadataFile(p.Title, chapters, rate)), 0o666),
		os.WriteFile(text, []byte(labels.String()), 0o666),
	); err != nil {
		return report, FullIn(m.Store.Root, fmt.Errorf("join: %w", err))
	}
	args, err := ffmpeg.QuickJoinArgs(j, text)
	if err != nil {
		return report, err
	}
	progress := func(done tags.Frame) { events(Event{Joining, min(done, n), n}) }
	if err := m.Tool.Run(ctx, args, nil, progress); err != nil {
		return report, FullIn(filepath.Dir(out), err)
	}
	joined, err := readMovie(tmp)
	if err != nil {
		return report, fmt.Errorf("join: %w", err)
	}
	if joined.frames != int64(n) {
		return report, fmt.Errorf("join: the reel has %d frames, want %d", joined.frames, n)
	}
	report.Clips, report.Length = len(clips), rate.Duration(n)
	manifest, err := m.quickManifest(p, entries[0].Segment.Source, n, tmp, out)
	if err != nil {
		return report, err
	}
	return report, FullIn(filepath.Dir(out), deliver(ctx, manifest, tmp, out))
}

// quickManifest says of the quick reel at tmp, which will be out, that this program wrote it.
func (m *Maker) quickManifest(p *plan.Plan, film *plan.Source, frames tags.Frame, tmp, out string) ([]byte, error) {
	digest, err := p.Digest(m.Toolchain)
	if err != nil {
		return nil, err
	}
	print, err := content.Fingerprint(tmp)
	if err != nil {
		return nil, err
	}
	version, _, _ := strings.Cut(m.Toolchain, "\n")
	return Manifest{
		Format:   tags.Format,
		Title:    p.Title,
		Plan:     "quick " + digest, // so that the reel of the same plan is another
		Quick:    true,
		Reel:     ManifestReel{File: filepath.Base(out), Fingerprint: print, House: plan.House{Width: film.Width, Height: film.Height, Rate: film.Rate}, Frames: frames},
		Versions: Versions{m.Version, version},
		Delivery: p.Delivery,
	}.encode()
}

// oneKind reports whether the films of entries can follow one another as they are.
func oneKind(entries []plan.Entry) error {
	first := entries[0].Segment.Source
	for _, e := range entries {
		s := e.Segment.Source
		switch {
		case e.Below != "":
			return fmt.Errorf("%w: %s shows two films in one picture, which must be coded anew", ErrNotQuick, e.Chapter)
		case s.Variable:
			return fmt.Errorf("%w: the film of %s is of variable rate", ErrNotQuick, e.Chapter)
		case s.Gaps:
			return fmt.Errorf("%w: pictures are missing from the film of %s", ErrNotQuick, e.Chapter)
		case s.Rate != first.Rate || s.Width != first.Width || s.Height != first.Height:
			return fmt.Errorf("%w: %s is %d×%d at %s, %s is %d×%d at %s", ErrNotQuick,
				entries[0].Chapter, first.Width, first.Height, first.Rate, e.Chapter, s.Width, s.Height, s.Rate)
		case (s.Audio < 0) != (first.Audio < 0):
			return fmt.Errorf("%w: of %s and %s only one has sound", ErrNotQuick, entries[0].Chapter, e.Chapter)
		}
	}
	return nil
}

// clip is copied film, and how many frames it holds before its span.
type clip struct {
	part
	runIn tags.Frame
}

// copyClips copies each entry's film into dir.
func (m *Maker) copyClips(ctx context.Context, entries []plan.Entry, dir string, events Events) ([]clip, error) {
	clips := make([]clip, len(entries))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(m.Workers, 1))
	for i, e := range entries {
		group.Go(func() error {
			film, err := m.Films.Path(ctx, e.Segment.Source.Fingerprint)
			if err != nil {
				return err
			}
			if clips[i], err = m.copyClip(ctx, e.Segment, film, filepath.Join(dir, fmt.Sprintf("%06d.mov", i))); err != nil {
				return fmt.Errorf("%s: %w", e.Chapter, err)
			}
			return nil
		})
	}
	err := group.Wait()
	events(Event{Cutting, tags.Frame(len(entries)), tags.Frame(len(entries))})
	return clips, err
}

// opensEarlier is how much earlier than asked ffmpeg opens film whose index holds decoding times,
// such as Matroska with B-frames: 3/23 s. Asked without it, ffmpeg would land a group of pictures
// too early.
const opensEarlier = 3 * tags.Second / 23

// copyClip copies film from the key picture before the span of s on. Film without an index
// may be opened behind that picture; then there are fewer pictures than lie between, and it
// is opened earlier. Where there are more, the clip starts as much earlier.
func (m *Maker) copyClip(ctx context.Context, s plan.Segment, film, path string) (clip, error) {
	src := *s.Source
	keys, err := m.Tool.KeysAround(ctx, src, film, s.Span)
	if err != nil {
		return clip{}, err
	}
	runIn := src.Rate.FrameAt(src.Clock().At(s.Span.In) - keys.Start)
	// A tick late at first, or the key picture itself is passed by in film with an index.
	starts := []tags.Time{-tags.Millisecond, tags.Second / 4, tags.Second, 4 * tags.Second}
	if !src.Loose {
		starts = append([]tags.Time{-opensEarlier - 2*tags.Millisecond}, starts...)
	}
	for _, earlier := range starts {
		args, err := ffmpeg.CopyArgs(s, film, max(keys.Start-earlier, 0), keys.End, path)
		if err != nil {
			return clip{}, err
		}
		// Only sound is decoded. It may be opened amid a packet, which is silence then.
		if err := m.Tool.Run(ctx, args, nil, nil); err != nil && !ffmpeg.Landing(err) && !ffmpeg.AboutStream(err, src.Audio) && !ffmpeg.OpusEnd(err) {
			return clip{}, err
		}
		movie, err := readMovie(path)
		if err != nil {
			return clip{}, err
		}
		if more := tags.Frame(movie.frames) - keys.Frames; more >= 0 {
			return clip{part{path, movie, tags.Frame(movie.frames)}, runIn + more}, nil
		}
	}
	return clip{}, errors.New("its film cannot be copied from the key picture before it")
}

// writeLabels writes the labels of a segment as SubRip text. The clip starts at start, its
// first frame that was asked for is at first.
func writeLabels(w *strings.Builder, s plan.Segment, start, first tags.Time) {
	for _, l := range s.Layers {
		if l.Label == nil {
			continue
		}
		from, to := first+s.House.Rate.Duration(l.Span.In), first+s.House.Rate.Duration(l.Span.Out)
		if l.Span.In == 0 {
			from = start
		}
		lines := l.Label.Lines
		if l.Label.Lead != "" {
			lines = append([]string{l.Label.Lead}, lines...)
		}
		fmt.Fprintf(w, "%d\n%s --> %s\n%s\n\n", strings.Count(w.String(), " --> ")+1, subRip(from), subRip(to), strings.Join(lines, "\n"))
	}
}

// subRip is a time as SubRip writes it: 00:01:02,345.
func subRip(t tags.Time) string {
	ms := int64(t / tags.Millisecond)
	return fmt.Sprintf("%02d:%02d:%02d,%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}
