package farm

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/plan"
)

// workerField is the metadata of a segment that names who rendered it.
const workerField = "worker"

// has reports whether the farm's store has a segment.
func (f *Farm) has(ctx context.Context, key plan.Key) bool {
	_, err := f.segments.GetInfo(ctx, string(key))
	return err == nil
}

// put puts the segment at path into the farm's store, unless it is there.
func (f *Farm) put(ctx context.Context, key plan.Key, path, worker string) error {
	if f.has(ctx, key) {
		return nil
	}
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("hand over a segment: %w", err)
	}
	defer file.Close()
	meta := jetstream.ObjectMeta{Name: string(key), Metadata: map[string]string{workerField: worker}}
	if _, err := f.segments.Put(ctx, meta, file); err != nil {
		return fmt.Errorf("hand over a segment: %w", err)
	}
	return nil
}

// errTaken says that a job is in the queue already.
var errTaken = errors.New("it is asked for already")

// ask puts a job into the queue. It fails with errTaken where it is there already.
func (f *Farm) ask(ctx context.Context, u Urgency, j job) error {
	data, err := encode(j)
	if err != nil {
		return err
	}
	if most := f.nc.MaxPayload(); int64(len(data)) > most {
		return fmt.Errorf("the segment's description takes %d bytes, and the farm takes %d", len(data), most)
	}
	subject := jobsOf(f.kit, string(u), string(j.Key))
	// One message a key in the queue, however many ask: the server refuses a second.
	_, err = f.js.Publish(ctx, subject, data, jetstream.WithExpectLastSequencePerSubject(0))
	var api *jetstream.APIError
	if errors.As(err, &api) && (api.ErrorCode == jetstream.JSErrCodeStreamWrongLastSequence || strings.Contains(api.Description, "per subject")) {
		return errTaken
	}
	return err
}

// asked is the sequence number of a job in the queue, of any urgency; 0 where it is not there.
func (f *Farm) asked(ctx context.Context, key plan.Key) (uint64, error) {
	for _, u := range urgencies {
		m, err := f.jobs.GetLastMsgForSubject(ctx, jobsOf(f.kit, string(u), string(key)))
		switch {
		case err == nil:
			return m.Sequence, nil
		case !errors.Is(err, jetstream.ErrMsgNotFound):
			return 0, err
		}
	}
	return 0, nil
}

// withdraw takes a job out of the queue.
func (f *Farm) withdraw(ctx context.Context, key plan.Key) {
	if seq, err := f.asked(ctx, key); err == nil && seq > 0 {
		_ = f.jobs.DeleteMsg(ctx, seq)
	}
}
