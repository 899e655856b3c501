package farm

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// fetch takes w from the farm's store into the store here, where it is the segment that was
// asked for. The first of a worker it returns: it must be tried.
func (a asking) fetch(ctx context.Context, w *waiting) (first *fetched, err error) {
	o, err := a.farm.segments.Get(ctx, string(w.job.Key))
	if err != nil {
		return nil, err
	}
	defer func() { _ = o.Close() }() // of what was read
	info, err := o.Info()
	if err != nil {
		return nil, err
	}
	got := &fetched{worker: cmp.Or(info.Metadata[workerField], "a worker without a name")}
	if got.folder, err = w.home.Store.Temp(); err != nil {
		return nil, render.FullIn(w.home.Store.Root, err)
	}
	defer func() {
		if first == nil {
			os.RemoveAll(got.folder)
		}
	}()
	got.path = filepath.Join(got.folder, "segment.mov")
	if err := save(got.path, o); err != nil {
		return nil, render.FullIn(w.home.Store.Root, err)
	}
	v, mine := a.trust.of(got.worker)
	if err := render.CheckKept(got.path, w.job.Segment); err != nil {
		if ctx.Err() == nil {
			a.distrust(ctx, w.job.Key, got.worker, err.Error())
		}
		return nil, err
	}
	if mine {
		return got, nil
	}
	if !v.wait(ctx) {
		return nil, fmt.Errorf("nothing is taken of %s: %s", got.worker, v.why)
	}
	if err := w.home.Store.Take(w.job.Key, got.path); err != nil {
		return nil, err
	}
	a.log.Info("rendered elsewhere", "clip", w.job.Name, "by", got.worker)
	return nil, nil
}

func save(path string, from io.Reader) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, from)
	return errors.Join(err, f.Close())
}

// distrust takes nothing more of a worker.
func (a asking) distrust(ctx context.Context, key plan.Key, worker, why string) {
	a.trust.decide(worker, why)
	_ = a.farm.segments.Delete(ctx, string(key))
	a.log.Warn("not what was asked for", "from", worker, "because", why, "now", "rendering it here, and taking nothing more of that machine")
}

// try renders w here as well, and holds what a worker made of it to that.
func (a asking) try(ctx context.Context, w *waiting, got *fetched, stop func()) error {
	defer os.RemoveAll(got.folder)
	defer a.trust.forget(got.worker) // where there is no verdict
	a.atHome(w, "it is the first of "+got.worker+", and both must be the same")
	var err error
	select {
	case <-ctx.Done():
		return context.Cause(ctx)
	case err = <-w.rendered:
	}
	stop()
	if err != nil {
		return err
	}
	path, err := w.home.Store.Open(ctx, w.job.Key)
	if err != nil {
		return err
	}
	same, err := sameBytes(ctx, path, got.path)
	switch {
	case err != nil:
		return fmt.Errorf("compare a segment: %w", err)
	case !same:
		a.distrust(ctx, w.job.Key, got.worker, "it is another than the one rendered here")
		a.handOn(ctx, w)
	default:
		a.trust.decide(got.worker, "")
		a.tidy(ctx, w.job.Key)
	}
	return nil
}
