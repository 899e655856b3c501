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
	if err := f.fits(data); err != nil {
		return err
	}
	_, err = f.js.Publish(ctx, jobsOf(f.kit, string(u), string(j.Key)), data, once)
	return asTaken(err)
}

// once has the server refuse a job whose key is in the queue, however many ask for it.
var once = jetstream.WithExpectLastSequencePerSubject(0)

// asTaken is errTaken in place of the server's own error that says so.
func asTaken(err error) error {
	var api *jetstream.APIError
	if errors.As(err, &api) && (api.ErrorCode == jetstream.JSErrCodeStreamWrongLastSequence || strings.Contains(api.Description, "per subject")) {
		return errTaken
	}
	return err
}

func (f *Farm) fits(data []byte) error {
	if most := f.nc.MaxPayload(); int64(len(data)) > most {
		return fmt.Errorf("the segment's description takes %d bytes, and the farm takes %d", len(data), most)
	}
	return nil
}

// askAll puts jobs into the queue, one behind the other, without waiting for each. It returns
// which of them are there, or were.
func (f *Farm) askAll(ctx context.Context, u Urgency, jobs []job) map[plan.Key]bool {
	sent := map[plan.Key]jetstream.PubAckFuture{}
	for _, j := range jobs {
		data, err := encode(j)
		if err != nil || f.fits(data) != nil {
			continue
		}
		if future, err := f.js.PublishAsync(jobsOf(f.kit, string(u), string(j.Key)), data, once); err == nil {
			sent[j.Key] = future
		}
	}
	there := map[plan.Key]bool{}
	for key, future := range sent {
		select {
		case <-future.Ok():
			there[key] = true
		case err := <-future.Err():
			there[key] = errors.Is(asTaken(err), errTaken)
		case <-ctx.Done():
			return there
		}
	}
	return there
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
