package farm

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/nats-io/nats.go"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Status is what a worker does.
type Status struct {
	Name    string  `json:"name"`
	AtOnce  int     `json:"at_once"`
	Program string  `json:"program"` // its ffmpeg
	Kit     string  `json:"kit"`     // equal where the same bytes are rendered
	Doing   []Doing `json:"doing"`
	Done    int     `json:"done"`           // segments since it was started
	Full    string  `json:"full,omitempty"` // why there is no room to work in
}

// Doing is a segment that is being rendered, in words that name nobody.
type Doing struct {
	What   string     `json:"what"`
	Frames tags.Frame `json:"frames"` // done
	Of     tags.Frame `json:"of"`
}

// answer has the worker answer who asks what it does.
func (w *Worker) answer() (stop func(), err error) {
	sub, err := w.Farm.nc.Subscribe(whoSubject, func(m *nats.Msg) {
		if data, err := encode(w.status()); err == nil {
			_ = m.Respond(data)
		}
	})
	if err != nil {
		return nil, err
	}
	return func() { _ = sub.Unsubscribe() }, nil
}

func (w *Worker) status() Status {
	w.mu.Lock()
	defer w.mu.Unlock()
	s := Status{Name: w.Name, AtOnce: max(w.AtOnce, 1), Program: w.Farm.program, Kit: w.Farm.kit, Done: w.done}
	for _, d := range w.doing {
		s.Doing = append(s.Doing, *d)
	}
	slices.SortFunc(s.Doing, func(a, b Doing) int { return cmp.Compare(b.Frames, a.Frames) })
	if w.full != nil {
		s.Full = w.full.Error()
	}
	return s
}

// Who asks all workers what they do, and returns what was answered within a while, by name.
func (f *Farm) Who(ctx context.Context, within time.Duration) ([]Status, error) {
	inbox := f.nc.NewRespInbox()
	sub, err := f.nc.SubscribeSync(inbox)
	if err != nil {
		return nil, err
	}
	defer func() { _ = sub.Unsubscribe() }()
	if err := f.nc.PublishRequest(whoSubject, inbox, nil); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, within)
	defer cancel()
	var all []Status
	for {
		m, err := sub.NextMsgWithContext(ctx)
		if err != nil {
			break // time is over, or nobody is there
		}
		var s Status
		if json.Unmarshal(m.Data, &s) == nil && s.Name != "" {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(a, b Status) int { return cmp.Compare(a.Name, b.Name) })
	return all, nil
}

// Waiting is how many segments are in the queue: those that nobody has begun, and those that
// are being rendered.
func (f *Farm) Waiting(ctx context.Context) (queued, begun int, err error) {
	info, err := f.jobs.Info(ctx)
	if err != nil {
		return 0, 0, err
	}
	consumers := f.jobs.ListConsumers(ctx)
	for c := range consumers.Info() {
		begun += c.NumAckPending
	}
	return max(int(info.State.Msgs)-begun, 0), begun, consumers.Err()
}

// wanted reports whether anybody waits for a segment.
func (f *Farm) wanted(ctx context.Context, key plan.Key) bool {
	ctx, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	data, err := encode(want{})
	if err != nil || !f.nc.IsConnected() {
		return false
	}
	_, err = f.nc.RequestWithContext(ctx, wantOf(key), data)
	return err == nil
}

// watchEvery is how often Watch looks.
const watchEvery = 3 * time.Second

// Watch shows the board whenever it is another, until ctx ends.
func (f *Farm) Watch(ctx context.Context, show func(board string) error) error {
	last := ""
	for {
		board, err := f.Board(ctx)
		if ctx.Err() != nil {
			return nil
		}
		if err != nil {
			return fmt.Errorf("look at the farm: %w", err)
		}
		if board != last {
			last = board
			if err := show(board); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(watchEvery):
		}
	}
}

// Board is who works on what, in words: how many machines there are and what waits, then a line
// a machine.
func (f *Farm) Board(ctx context.Context) (string, error) {
	all, err := f.Who(ctx, time.Second)
	if err != nil {
		return "", err
	}
	queued, begun, err := f.Waiting(ctx)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s; %d wait, %d being cut\n", tags.Count(len(all), "machine"), queued, begun)
	for _, s := range all {
		fmt.Fprintf(&b, "  %s: %d of %d at work, %s done", s.Name, len(s.Doing), s.AtOnce, tags.Count(s.Done, "segment"))
		for _, d := range s.Doing {
			fmt.Fprintf(&b, "; %s, %d %%", d.What, 100*int64(d.Frames)/max(int64(d.Of), 1))
		}
		if s.Full != "" {
			fmt.Fprintf(&b, "; takes none: %s", s.Full)
		}
		b.WriteString("\n")
	}
	return b.String(), nil
}

// ThisMachine is the name of the machine that this program runs on.
func ThisMachine() string {
	if name, err := os.Hostname(); err == nil {
		return name
	}
	return "a machine without a name"
}
