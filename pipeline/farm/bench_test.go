package farm

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

var (
	benchJobs    = flag.Int("jobs", 2000, "how many jobs BenchmarkQueue has, 100000 for the figures in DEVELOPERS")
	benchWorkers = flag.Int("workers", 100, "how many workers BenchmarkQueue has at most, 1000 for the figures in DEVELOPERS")
	benchTakes   = flag.Duration("takes", 0, "how long a worker of BenchmarkQueue is at a job, without using a processor")
	benchSegment = flag.Int("segment", 1<<10, "how many bytes a worker of BenchmarkQueue hands over")
)

// BenchmarkQueue is what the queue itself holds: workers that render nothing take, tell, hand
// over and confirm, as fast as they can. One round is all jobs.
func BenchmarkQueue(b *testing.B) {
	const toolchain = "ffmpeg version 0"
	for _, workers := range []int{1, 2, 4, 10, 100, 1000} {
		if workers > *benchWorkers {
			continue
		}
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			names := make([]string, workers+1)
			for i := range names {
				names[i] = toolchain
			}
			farms := meet(b, names...)
			// As large as a clip with label, clock and ring.
			about := plan.Segment{Kind: plan.Slate, Card: &plan.Card{Lines: []string{string(bytes.Repeat([]byte("x"), 3000))}}}
			for b.Loop() {
				ask(b, farms[0], about, *benchJobs)
				drain(b, farms[1:], *benchJobs)
			}
		})
	}
}

// ask puts jobs into the queue, many at a time as the segments of a reel are.
func ask(b *testing.B, f *Farm, about plan.Segment, jobs int) {
	start := time.Now()
	var group sync.WaitGroup
	var next atomic.Int64
	for range 256 {
		group.Go(func() {
			for {
				n := next.Add(1)
				if n > int64(jobs) {
					return
				}
				about.Hold = tags.Frame(n)
				key, err := about.Key(f.program)
				if err == nil {
					err = f.ask(context.Background(), Awaited, job{key, about})
				}
				if err != nil && !errors.Is(err, errTaken) { // of a call that was repeated, because the answer was late
					b.Error(err)
				}
			}
		})
	}
	group.Wait()
	b.ReportMetric(float64(jobs)/time.Since(start).Seconds(), "asked/s")
}

// drain takes all jobs, and reports how long one takes a worker that renders nothing.
func drain(b *testing.B, farms []*Farm, jobs int) {
	movie := make([]byte, *benchSegment)
	var done atomic.Int64
	var mu sync.Mutex
	var took []time.Duration
	start := time.Now()
	var group sync.WaitGroup
	for _, f := range farms {
		group.Go(func() {
			take := &taker{farm: f}
			for done.Load() < int64(jobs) {
				began := time.Now()
				msg := take.now(context.Background())
				if msg == nil {
					continue
				}
				stop := keepLease(msg)
				var j job
				if err := json.Unmarshal(msg.Data(), &j); err != nil {
					b.Error(err)
				}
				f.tell(j.Key, notice{})
				time.Sleep(*benchTakes)
				if _, err := f.segments.Put(context.Background(), jetstream.ObjectMeta{Name: string(j.Key)}, bytes.NewReader(movie)); err != nil {
					b.Error(err)
				}
				f.tell(j.Key, notice{Ready: true})
				confirm(msg)
				stop()
				done.Add(1)
				mu.Lock()
				took = append(took, time.Since(began))
				mu.Unlock()
			}
		})
	}
	group.Wait()
	if n := done.Load(); n < int64(jobs) {
		b.Errorf("%d jobs were done, want %d", n, jobs)
	}
	b.ReportMetric(float64(done.Load()-int64(jobs)), "twice")
	if rounds := (jobs + len(farms) - 1) / len(farms); *benchTakes > 0 {
		b.ReportMetric(time.Since(start).Seconds()/(time.Duration(rounds)**benchTakes).Seconds(), "of-ideal")
	}
	slices.Sort(took)
	b.ReportMetric(float64(jobs)/time.Since(start).Seconds(), "done/s")
	b.ReportMetric(took[len(took)/2].Seconds()*1000, "ms/job")
	b.ReportMetric(took[len(took)*99/100].Seconds()*1000, "ms/job-99th")
}

// BenchmarkOne is how long it takes from asking for one segment until a worker that has nothing
// else to do has it, and until the asker hears that it is done.
func BenchmarkOne(b *testing.B) {
	farms := meet(b, "one", "one")
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	got := make(chan time.Time, 1)
	go func() {
		take := &taker{farm: farms[1]}
		for ctx.Err() == nil {
			if msg := take.wait(ctx); msg != nil {
				got <- time.Now()
				farms[1].tell(lastWord(msg.Subject()), notice{Ready: true})
				confirm(msg)
			}
		}
	}()
	var taken, back []time.Duration
	for n := 0; b.Loop(); n++ {
		s := plan.Segment{Hold: tags.Frame(n)}
		key, err := s.Key("one")
		if err != nil {
			b.Fatal(err)
		}
		heard := make(chan struct{}, 1)
		sub, err := farms[0].hear(key, func(notice) { heard <- struct{}{} })
		if err != nil {
			b.Fatal(err)
		}
		start := time.Now()
		if err := farms[0].ask(ctx, Awaited, job{key, s}); err != nil {
			b.Fatal(err)
		}
		taken = append(taken, (<-got).Sub(start))
		<-heard
		back = append(back, time.Since(start))
		_ = sub.Unsubscribe()
		time.Sleep(time.Millisecond) // the worker waits again
	}
	slices.Sort(taken)
	slices.Sort(back)
	b.ReportMetric(taken[len(taken)/2].Seconds()*1000, "ms-taken")
	b.ReportMetric(taken[len(taken)*99/100].Seconds()*1000, "ms-taken-99th")
	b.ReportMetric(back[len(back)/2].Seconds()*1000, "ms-back")
	b.ReportMetric(back[len(back)*99/100].Seconds()*1000, "ms-back-99th")
}
