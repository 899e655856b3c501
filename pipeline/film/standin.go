package film

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// StandIn is how a movie is made that stands in for a film.
type StandIn struct {
	Out           string // where it is written
	Width, Height int    // both even
	// Work is the folder that keeps the parts it is made of until it is done: what is there
	// already, by a run that was ended, is not made again. The caller alone works there, and
	// takes it away.
	Work string
	Part tags.Time // how much film one part is of, and so what is lost at most
}

// StandIn writes a movie that every browser plays and whose frame n is frame n of the film at
// path: H.264 at the film's rate, with its sound. progress, which may be nil, is told of frames
// that are done so far; its calls do not overlap.
func (l *Library) StandIn(ctx context.Context, path string, s StandIn, progress func(done tags.Frame)) error {
	src, err := l.Source(ctx, path)
	if err == nil {
		err = os.MkdirAll(s.Work, 0o777)
	}
	if err == nil {
		err = l.standIn(ctx, standIn{s, src, path}, progress)
	}
	if err != nil {
		return fmt.Errorf("make a stand-in of %s: %w", files.Base(path), err)
	}
	return nil
}

type standIn struct {
	StandIn
	src  plan.Source
	path string
}

func (l *Library) standIn(ctx context.Context, s standIn, progress func(tags.Frame)) error {
	var mu sync.Mutex
	done := tags.Frame(0)
	tell := func(more tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		if done += more; progress != nil {
			progress(done)
		}
	}
	group, sub := errgroup.WithContext(ctx)
	group.SetLimit(max(runtime.GOMAXPROCS(0)/2, 1))
	var parts []string
	var frames []tags.Frame
	length := max(s.src.Rate.Floor(s.Part), 1)
	for in := tags.Frame(0); in < s.src.Frames; in += length {
		span := tags.Span{In: in, Out: min(in+length, s.src.Frames)}
		part := filepath.Join(s.Work, fmt.Sprintf("%dx%d-%d-%d.mp4", s.Width, s.Height, span.In, span.Out))
		parts, frames = append(parts, part), append(frames, span.Len())
		group.Go(func() error { return l.part(sub, s, span, part, tell) })
	}
	if err := group.Wait(); err != nil {
		return err
	}
	sound := ""
	if s.src.Audio >= 0 {
		sound = filepath.Join(s.Work, "sound.m4a")
		if err := l.sealed(sound, func(tmp string) error {
			args, err := ffmpeg.StandInSoundArgs(s.src, s.path, tmp)
			if err != nil {
				return err
			}
			return l.tool.StandIn(ctx, args, nil)
		}); err != nil {
			return err
		}
	}
	text, err := ffmpeg.ListFile(s.Work, parts, frames, s.src.Rate)
	if err != nil {
		return err
	}
	list := filepath.Join(s.Work, "list")
	if err := os.WriteFile(list, []byte(text), 0o666); err != nil {
		return err
	}
	args, err := ffmpeg.StandInJoinArgs(list, sound, s.src.Rate, s.Out)
	if err != nil {
		return err
	}
	if err := l.tool.StandIn(ctx, args, nil); err != nil {
		return err
	}
	return l.holds(ctx, s.Out, s.src.Frames)
}

// part makes one part of a stand-in, where it is not there yet.
func (l *Library) part(ctx context.Context, s standIn, span tags.Span, part string, tell func(more tags.Frame)) error {
	told := tags.Frame(0)
	upTo := func(n tags.Frame) {
		if n = min(n, span.Len()); n > told {
			tell(n - told)
			told = n
		}
	}
	err := l.sealed(part, func(tmp string) error {
		var err error
		for earlier := range ffmpeg.Earlier(plan.Segment{Source: &s.src, Span: span}) {
			var args []string
			if args, err = ffmpeg.StandInArgs(s.src, s.path, span, s.Width, s.Height, earlier, tmp); err != nil {
				return err
			}
			if err = l.tool.StandIn(ctx, args, upTo); err != nil {
				return err
			}
			if err = l.holds(ctx, tmp, span.Len()); err == nil {
				return nil
			}
		}
		return fmt.Errorf("frames %d to %d: %w", span.In, span.Out, err)
	})
	if err == nil {
		upTo(span.Len())
	}
	return err
}

// sealed makes the file at path unless a whole one is there. Write writes a temporary file, which
// is then sealed and renamed.
func (l *Library) sealed(path string, write func(tmp string) error) error {
	if files.CheckSeal(path) == nil {
		return nil
	}
	tmp := path + ".part"
	defer os.Remove(tmp)
	if err := write(tmp); err != nil {
		return err
	}
	if err := files.SealFile(tmp); err != nil {
		return err
	}
	return os.Rename(tmp, path)
}

// holds fails where the movie at path has not as many frames as it should.
func (l *Library) holds(ctx context.Context, path string, frames tags.Frame) error {
	r, err := l.tool.Probe(ctx, path)
	if err != nil {
		return err
	}
	if video, _ := pick(r); video == nil || video.Frames != strconv.FormatInt(int64(frames), 10) {
		return fmt.Errorf("not all of its %d frames can be decoded", frames)
	}
	return nil
}
