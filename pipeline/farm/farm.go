// Package farm spreads the rendering of segments over machines. The queue, its leases and
// retries, and all that is stored on the way are those of NATS JetStream; this package says what
// is asked, who renders it, and what of film travels.
package farm

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/ffmpeg"
)

// Farm is a connection to the server where askers and workers meet. It is safe for concurrent
// use.
type Farm struct {
	nc       *nats.Conn
	js       jetstream.JetStream
	jobs     jetstream.Stream      // the queue
	segments jetstream.ObjectStore // rendered, by key
	blocks   jetstream.ObjectStore // of film

	id      string // of this process, as no other has it
	kit     string // of the toolchain here
	program string // what that is, for people
}

// What the server holds, by name.
const (
	jobStream     = "trenchcut-jobs"
	segmentBucket = "trenchcut-segments"
	blockBucket   = "trenchcut-film"
)

// For how long what is left on the server stays there: jobs and segments until an asker who
// went away is back, film while it is needed.
const (
	jobsStay     = 24 * time.Hour
	segmentsStay = 24 * time.Hour
	blocksStay   = 2 * time.Hour
)

// lease is how long after a worker was last heard of its job is given to another; it tells
// three times as often that it is at work.
const lease = 10 * time.Second

// patience is how long the server may take to answer.
const patience = 10 * time.Second

// Urgency is which jobs are taken first.
type Urgency string

// The urgencies, the first before the second.
const (
	Awaited Urgency = "awaited" // somebody waits for the reel
	Ahead   Urgency = "ahead"   // cut for reels to come
)

var urgencies = []Urgency{Awaited, Ahead}

// Open connects to the farm at a place with the toolchain of this machine, and makes there what
// is not there yet.
func Open(ctx context.Context, at Place, toolchain string) (*Farm, error) {
	kit, err := kitOf(toolchain)
	if err != nil {
		return nil, err
	}
	f := &Farm{id: rand.Text(), kit: kit, program: ffmpeg.NameOf(toolchain)}
	if f.nc, err = at.connect(ctx); err != nil {
		return nil, err
	}
	if err := f.prepare(ctx); err != nil {
		f.nc.Close()
		return nil, fmt.Errorf("use the farm at %s: %w", at, err)
	}
	return f, nil
}

// Close ends the connection, after what was sent has left.
func (f *Farm) Close() {
	_ = f.nc.FlushTimeout(time.Second)
	f.nc.Close()
}

func (f *Farm) prepare(ctx context.Context) (err error) {
	ctx, cancel := context.WithTimeout(ctx, 3*patience) // a server that was just started may be busy
	defer cancel()
	if f.js, err = jetstream.New(f.nc, jetstream.WithDefaultTimeout(patience)); err != nil {
		return err
	}
	f.jobs, err = f.js.Stream(ctx, jobStream)
	if errors.Is(err, jetstream.ErrStreamNotFound) {
		f.jobs, err = f.js.CreateOrUpdateStream(ctx, jetstream.StreamConfig{
			Name: jobStream, Subjects: []string{jobsOf("*", "*", "*")}, Retention: jetstream.WorkQueuePolicy,
			Storage: jetstream.FileStorage, MaxAge: jobsStay, MaxMsgsPerSubject: 1, Discard: jetstream.DiscardNew, DiscardNewPerSubject: true,
		})
	}
	if err != nil {
		return fmt.Errorf("the queue of segments: %w", err)
	}
	if f.segments, err = f.bucket(ctx, segmentBucket, segmentsStay); err != nil {
		return fmt.Errorf("the store of segments: %w", err)
	}
	if f.blocks, err = f.bucket(ctx, blockBucket, blocksStay); err != nil {
		return fmt.Errorf("the store of film: %w", err)
	}
	return nil
}

func (f *Farm) bucket(ctx context.Context, name string, stays time.Duration) (jetstream.ObjectStore, error) {
	store, err := f.js.ObjectStore(ctx, name)
	if errors.Is(err, jetstream.ErrBucketNotFound) {
		store, err = f.js.CreateObjectStore(ctx, jetstream.ObjectStoreConfig{Bucket: name, TTL: stays, Storage: jetstream.FileStorage})
	}
	return store, err
}

// queue is the jobs of one urgency that this machine can take.
func (f *Farm) queue(ctx context.Context, u Urgency) (jetstream.Consumer, error) {
	name := f.kit + "-" + string(u)
	c, err := f.jobs.Consumer(ctx, name)
	if errors.Is(err, jetstream.ErrConsumerNotFound) {
		c, err = f.jobs.CreateOrUpdateConsumer(ctx, jetstream.ConsumerConfig{
			Durable: name, FilterSubject: jobsOf(f.kit, string(u), "*"), AckPolicy: jetstream.AckExplicitPolicy, AckWait: lease,
			MaxDeliver: -1, MaxAckPending: -1, MaxWaiting: 1 << 16, InactiveThreshold: 7 * 24 * time.Hour,
		})
	}
	if err != nil {
		return nil, fmt.Errorf("the queue of segments: %w", err)
	}
	return c, nil
}
