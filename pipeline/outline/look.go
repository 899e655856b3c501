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
	all, faults, err := glancesOf(ctx, library, r.Footage, tell)
	if err != nil || len(faults) > 0 {
		return nil, faults, err
	}
	var shots []*Shot
	for k, f := range r.Footage {
		glances := all[k]
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

// glancesOf looks at each file of each footage, as many parts of films side by side as there are
// processors.
func glancesOf(ctx context.Context, library *film.Library, footage []*Footage, tell func(tags.Frame)) ([][]*watch.Glance, tags.Faults, error) {
	crew := watch.NewCrew(runtime.NumCPU())
	glances, errs := make([][]*watch.Glance, len(footage)), make([][]error, len(footage))
	var group sync.WaitGroup
	for k, f := range footage {
		glances[k], errs[k] = make([]*watch.Glance, len(f.Files)), make([]error, len(f.Files))
		for i, file := range f.Files {
			group.Go(func() { glances[k][i], errs[k][i] = watch.Look(ctx, library, file, crew, tell) })
		}
	}
	group.Wait()
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx)
	}
	var faults tags.Faults
	for k, f := range footage {
		for i, err := range errs[k] {
			if err != nil {
				faults.Add(tags.Pos{File: files.Named(f.Files[i])}, "the film cannot be looked through: %v", err)
			}
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
