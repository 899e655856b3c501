package outline

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// LeftOut is why a shot that the request leaves out shows no play.
const LeftOut watch.Off = "as you say"

// probe finds out what each film is, and how many frames all have. A file that is no film
// is a fault.
func probe(ctx context.Context, library *film.Library, footage []*Footage) (frames tags.Frame, faults tags.Faults, err error) {
	var mu sync.Mutex
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(8)
	for _, f := range footage {
		for _, file := range f.Files {
			group.Go(func() error {
				src, err := library.Source(ctx, file)
				mu.Lock()
				defer mu.Unlock()
				switch {
				case ctx.Err() != nil:
					return context.Cause(ctx)
				case errors.Is(err, os.ErrNotExist):
					faults.Add(tags.Pos{File: files.Named(file)}, "no film there")
				case err != nil:
					faults.Add(tags.Pos{File: files.Named(file)}, "the film cannot be read: %v", err)
				}
				frames += src.Frames
				return nil
			})
		}
	}
	err = group.Wait()
	faults.Sort()
	return frames, faults, err
}

// look looks through all footage. A film that is damaged is a fault, and so are two clips
// that name the same play and angle.
func (r Request) look(ctx context.Context, library *film.Library, total tags.Frame, progress Progress) ([]*Shot, tags.Faults, error) {
	var mu sync.Mutex
	done := tags.Frame(0)
	tell := func(more tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		done += more
		progress.tell(Looking, done, total)
	}
	var shots []*Shot
	var faults tags.Faults
	for _, f := range r.Footage {
		glances, damaged, err := f.look(ctx, library, tell)
		if err != nil {
			return nil, nil, err
		}
		faults = append(faults, damaged...)
		if len(damaged) > 0 {
			continue
		}
		for i, found := range watch.ShotsOf(glances, f.Clips, r.Floor) {
			for _, s := range found {
				shots = append(shots, &Shot{
					Shot: s, ID: len(shots) + 1, File: f.Files[i], Source: glances[i].Source,
					Angle: f.angle(i), Clip: f.Clips, footage: f, named: f.play(i),
				})
			}
		}
	}
	faults = append(faults, namedTwice(shots)...)
	for _, s := range shots {
		switch {
		case slices.Contains(r.LeaveOut, s.ID):
			s.Off = LeftOut
		case slices.ContainsFunc(r.Pins, func(p Pin) bool { return p.Shot == s.ID }):
			s.Off = ""
		}
	}
	return shots, faults, nil
}

// look looks at each file of f: at one film in parts side by side, at clips side by side.
func (f *Footage) look(ctx context.Context, library *film.Library, tell func(tags.Frame)) ([]*watch.Glance, tags.Faults, error) {
	glances := make([]*watch.Glance, len(f.Files))
	errs := make([]error, len(f.Files))
	var group errgroup.Group
	films, workers := 1, runtime.NumCPU()
	if f.Clips {
		films, workers = workers, films
	}
	group.SetLimit(films)
	for i, file := range f.Files {
		group.Go(func() error {
			glances[i], errs[i] = watch.Look(ctx, library, file, workers, tell)
			return nil
		})
	}
	_ = group.Wait() // each file has an error of its own
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx)
	}
	var faults tags.Faults
	for i, err := range errs {
		if err != nil {
			faults.Add(tags.Pos{File: files.Named(f.Files[i])}, "the film cannot be looked through: %v", err)
		}
	}
	return glances, faults, nil
}

// namedTwice is the clips whose names give the same play and angle as another's.
func namedTwice(shots []*Shot) tags.Faults {
	var faults tags.Faults
	first := map[string]*Shot{}
	for _, s := range shots {
		if s.named == 0 {
			continue
		}
		key := fmt.Sprint(s.Angle, " ", s.named)
		if other := first[key]; other != nil {
			faults.Add(tags.Pos{File: s.File}, "it is play %d from %s, and so is %s", s.named, s.Angle, other.File)
			continue
		}
		first[key] = s
	}
	return faults
}
