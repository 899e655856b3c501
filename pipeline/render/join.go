package render

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// part is one segment of a reel, in the store.
type part struct {
	path   string
	movie  movie
	frames tags.Frame
}

// ErrUnlike says that a segment was encoded with other parameters than the rest of its reel.
var ErrUnlike = errors.New("it was encoded in another way than the rest of the reel")

// join copies the parts' pictures into one movie at out and encodes their sound once.
func (m *Maker) join(ctx context.Context, p *plan.Plan, parts []part, out string, events Events) error {
	for _, part := range parts[1:] {
		if !bytes.Equal(part.movie.params, parts[0].movie.params) {
			return fmt.Errorf("join: %s: %w", part.path, ErrUnlike)
		}
	}
	dir, store, err := m.Store.Reading()
	if err != nil {
		return FullIn(m.Store.Root, err)
	}
	defer os.RemoveAll(dir)
	j := ffmpeg.Join{
		List:     filepath.Join(dir, "list"),
		Metadata: filepath.Join(dir, "metadata"),
		Sound:    !p.Delivery.Mute,
		House:    p.House,
		Out:      out,
	}
	paths, frames := make([]string, len(parts)), make([]tags.Frame, len(parts))
	for i, part := range parts {
		name, err := filepath.Rel(m.Store.Root, part.path)
		if err != nil {
			return fmt.Errorf("join: %w", err)
		}
		paths[i], frames[i] = filepath.Join(store.Root, name), part.frames
	}
	list, err := ffmpeg.ListFile(dir, paths, frames, p.House.Rate)
	if err != nil {
		return err
	}
	if err := errors.Join(
		os.WriteFile(j.List, []byte(list), 0o666),
		os.WriteFile(j.Metadata, []byte(ffmpeg.MetadataFile(p.Title, chapters(p), p.House.Rate)), 0o666),
	); err != nil {
		return FullIn(m.Store.Root, fmt.Errorf("join: %w", err))
	}
	args, err := ffmpeg.JoinArgs(j)
	if err != nil {
		return err
	}

	total := p.Frames()
	progress := func(n tags.Frame) { events(Event{Joining, min(n, total), total}) }
	if !j.Sound {
		return FullIn(filepath.Dir(out), m.Tool.Run(ctx, args, nil, progress))
	}
	group, ctx := errgroup.WithContext(ctx)
	r, w := io.Pipe()
	group.Go(func() error {
		err := feedSound(w, parts, p.House.Rate)
		w.CloseWithError(err)
		if errors.Is(err, io.ErrClosedPipe) {
			return nil // ffmpeg went first, and says why
		}
		return err
	})
	group.Go(func() error {
		defer r.Close()
		return m.Tool.Run(ctx, args, r, progress)
	})
	return FullIn(filepath.Dir(out), group.Wait())
}

// feedSound writes the parts' sound end to end. Each part is allotted the samples
// between its first frame and the next part's, on the reel's running count, so that no
// rounding adds up: at clip 100 the sound is as exact as at clip 1.
func feedSound(w io.Writer, parts []part, rate tags.Rate) error {
	buffered := bufio.NewWriterSize(w, 1<<18)
	var n tags.Frame
	for _, part := range parts {
		samples := plan.SamplesAt(rate, n+part.frames) - plan.SamplesAt(rate, n)
		if err := copySound(buffered, part.path, part.movie, samples); err != nil {
			return err
		}
		n += part.frames
	}
	return buffered.Flush()
}

func chapters(p *plan.Plan) []ffmpeg.Chapter {
	var list []ffmpeg.Chapter
	for _, c := range p.Chapters() {
		list = append(list, ffmpeg.Chapter{Title: c.Title, Span: c.Span})
	}
	return list
}

// checkJoined holds the joined reel at path to the plan by the reel's own tables: every frame
// of p is there and lasts as long as it should, there is sound for all of them, and whatever
// the tables name lies within the file. The encoder of the sound begins with a packet of
// silence and ends on a whole one.
func checkJoined(path string, p *plan.Plan) error {
	m, err := readMovie(path)
	if err != nil {
		return err
	}
	rate, frames := p.House.Rate, p.Frames()
	if m.frames != int64(frames) {
		return fmt.Errorf("the reel has %d frames, want %d", m.frames, frames)
	}
	if m.scale <= 0 {
		return fmt.Errorf("read %s: %w", path, errTables)
	}
	if length := (tags.Rate{Num: m.scale, Den: 1}).Duration(tags.Frame(m.length)); max(length-rate.Duration(frames), rate.Duration(frames)-length) > rate.Duration(1) {
		return fmt.Errorf("the reel lasts %s, want %s", length, rate.Duration(frames))
	}
	if p.Delivery.Mute {
		return nil
	}
	want := plan.SamplesAt(rate, frames)
	if got := m.packets * samplesPerPacket; got < want || got > want+3*samplesPerPacket {
		return fmt.Errorf("the reel has %d samples of sound, want %d", got, want)
	}
	return nil
}
