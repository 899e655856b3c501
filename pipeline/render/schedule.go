package render

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Stage names a part of the work, for progress.
type Stage string

// The stages of making a reel.
const (
	Cutting Stage = "cutting"
	Joining Stage = "joining"
	// Checking a reel that is there.
	Checking Stage = "checking"
	// Following looks in film for the men to watch, before a reel is planned.
	Following Stage = "following"
)

// Event is progress as data: Done of Total frames of a stage.
type Event struct {
	Stage       Stage
	Done, Total tags.Frame
}

// Events takes progress; it is called by one goroutine at a time.
type Events func(Event)

// Schedule renders what a store lacks.
type Schedule struct {
	Store    Store
	Renderer Renderer
	Workers  int // how many segments are looked up at once, at least one
	AtOnce   int // how many are rendered at once, at least one
	// KeepGoing renders all it can before it returns what failed. On a full disk there is
	// nothing that it can.
	KeepGoing bool
	Log       *slog.Logger // is told where each segment comes from
}

// tries is how often a job that may succeed another time is done at most.
const tries = 2

// Run renders every job the store lacks, each key once, the longest first so that no
// long one is left to run alone. It returns how many it rendered, and stops at the
// first failure, unless it is to keep going: then all failures are joined.
func (s *Schedule) Run(ctx context.Context, jobs []Job, events Events) (rendered int, err error) {
	jobs = distinct(jobs)
	have, err := s.lookUp(ctx, jobs)
	if err != nil {
		return 0, err
	}
	var todo []Job
	var total tags.Frame
	for i, job := range jobs {
		if have[i] {
			s.Log.Info("segment", "clip", job.Name, "from", "the cache")
			if err := s.tellLacks(ctx, job); err != nil {
				return 0, err
			}
			continue
		}
		todo = append(todo, job)
		total += job.Segment.Frames()
	}
	slices.SortStableFunc(todo, func(a, b Job) int { return cmp.Compare(b.Segment.Frames(), a.Segment.Frames()) })

	var mu sync.Mutex
	var done tags.Frame
	var failures []error
	advance := func(n tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		done += n
		events(Event{Cutting, done, total})
	}
	group, ctx := errgroup.WithContext(ctx)
	if q, ok := s.Renderer.(Queuer); ok {
		q.Queue(ctx, todo)
	}
	group.SetLimit(max(min(s.AtOnce, len(todo)), 1))
	for _, job := range todo {
		group.Go(func() error {
			err := s.do(ctx, job, advance)
			var failed *Error
			var full *FullError
			if s.KeepGoing && errors.As(err, &failed) && !errors.As(err, &full) {
				mu.Lock()
				defer mu.Unlock()
				failures = append(failures, err)
				return nil
			}
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return 0, err
	}
	return len(todo) - len(failures), errors.Join(failures...)
}

// distinct is jobs with each key once.
func distinct(jobs []Job) []Job {
	var list []Job
	seen := map[plan.Key]bool{}
	for _, job := range jobs {
		if !seen[job.Key] {
			seen[job.Key] = true
			list = append(list, job)
		}
	}
	return list
}

// lookUp reports for each job whether the store has it. It reads whole segments, so it does several
// at once.
func (s *Schedule) lookUp(ctx context.Context, jobs []Job) ([]bool, error) {
	have := make([]bool, len(jobs))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(s.Workers, 1))
	for i, job := range jobs {
		group.Go(func() (err error) {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			have[i], err = s.Store.Lookup(ctx, job.Key, job.Segment)
			return err
		})
	}
	return have, group.Wait()
}

// do renders one job, again where that may help, and reports each frame once.
func (s *Schedule) do(ctx context.Context, job Job, advance func(tags.Frame)) error {
	start := time.Now()
	var reported tags.Frame
	progress := func(n tags.Frame) {
		if n > reported {
			advance(n - reported)
			reported = n
		}
	}
	for try := 1; ; try++ {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		err := s.Renderer.Render(ctx, job, progress)
		if err == nil {
			progress(job.Segment.Frames())
			told := []any{"clip", job.Name, "from", source(job.Segment)}
			if s.AtOnce <= s.Workers { // else most of the time it waited for its turn
				told = append(told, Seconds(start))
			}
			s.Log.Info("segment", told...)
			return s.tellLacks(ctx, job)
		}
		var failed *Error
		if !errors.As(err, &failed) || !failed.Again || try == tries {
			return err
		}
		s.Log.Info("again", "clip", job.Name, "because", err.Error())
	}
}

// tellLacks tells what the film of a segment in the store lacks.
func (s *Schedule) tellLacks(ctx context.Context, job Job) error {
	if job.Segment.Kind != plan.Film {
		return nil
	}
	path, err := s.Store.Open(ctx, job.Key)
	if err != nil {
		return err
	}
	lacks, err := readLacks(path)
	for _, l := range lacks {
		l.tell(s.Log)
	}
	return err
}

// source is what a segment is rendered from.
func source(s plan.Segment) string {
	if s.Kind == plan.Film {
		return "film"
	}
	return "words"
}
