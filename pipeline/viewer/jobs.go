package viewer

import (
	"context"
	"log/slog"
	"slices"
	"sync"
	"time"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// State is how far work is.
type State string

// The states of work.
const (
	Ready   State = "ready"   // it can be had
	Waiting State = "waiting" // other work is done first
	Making  State = "making"
	Failed  State = "failed" // Said tells why
	None    State = "none"   // there is none to be had; Said tells why
)

// Progress is how far the work on something is.
type Progress struct {
	State State      `json:"state"`
	Done  tags.Frame `json:"done"` // frames
	Of    tags.Frame `json:"of"`
	Said  string     `json:"said,omitempty"` // one line for people
}

// job is work that is done in the background.
type job struct {
	name string
	rank int // work of lower rank is done first
	work func(ctx context.Context, progress func(done tags.Frame)) error
	Progress
	failed time.Time
}

// jobs does work in the background, one after the other.
type jobs struct {
	ctx   context.Context
	log   *slog.Logger
	group sync.WaitGroup

	mu      sync.Mutex
	all     map[string]*job
	queue   []*job
	working bool
}

func (j *jobs) wait() { j.group.Wait() }

// pause is how long failed work rests before it may be begun again: by then a disk may have room.
const pause = 30 * time.Second

// ask returns how far the work of that name is, and queues it the first time it is asked for.
func (j *jobs) ask(name string, rank int, frames tags.Frame, work func(context.Context, func(tags.Frame)) error) Progress {
	j.mu.Lock()
	defer j.mu.Unlock()
	if known := j.all[name]; known != nil && (known.State != Failed || time.Since(known.failed) < pause) {
		return known.Progress
	}
	next := &job{name: name, rank: rank, work: work, Progress: Progress{State: Waiting, Of: frames}}
	j.all[name] = next
	j.queue = append(j.queue, next)
	slices.SortStableFunc(j.queue, func(a, b *job) int { return a.rank - b.rank })
	if !j.working && j.ctx.Err() == nil {
		j.working = true
		j.group.Go(j.run)
	}
	return next.Progress
}

// run does what is in the queue.
func (j *jobs) run() {
	for {
		j.mu.Lock()
		if len(j.queue) == 0 || j.ctx.Err() != nil {
			j.working = false
			j.mu.Unlock()
			return
		}
		next := j.queue[0]
		j.queue = j.queue[1:]
		next.State = Making
		j.mu.Unlock()
		err := next.work(ffmpeg.InBackground(j.ctx), func(done tags.Frame) {
			j.mu.Lock()
			defer j.mu.Unlock()
			next.Done = min(max(done, next.Done), next.Of)
		})
		j.mu.Lock()
		if err != nil {
			next.State, next.Said, next.failed = Failed, err.Error(), time.Now()
			j.log.Info("work for the page failed", "work", next.name, "error", err)
		} else {
			next.State, next.Done = Ready, next.Of
		}
		j.mu.Unlock()
	}
}
