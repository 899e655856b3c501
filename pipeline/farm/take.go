package farm

import (
	"context"
	"errors"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// taker takes jobs from the queue, those first that somebody waits for.
type taker struct {
	farm   *Farm
	queues map[Urgency]jetstream.Consumer
}

// idle is how long a machine without work waits for a job that somebody waits for before it
// looks for others.
const idle = 2 * time.Second

// wait is the next job; nil where there was none for a while.
func (t *taker) wait(ctx context.Context) jetstream.Msg {
	if msg := t.now(ctx); msg != nil {
		return msg
	}
	if c := t.queue(ctx, Awaited); c != nil {
		batch, err := c.Fetch(1, jetstream.FetchMaxWait(idle))
		return t.first(ctx, batch, err)
	}
	return nil
}

// now is the next job, if there is one.
func (t *taker) now(ctx context.Context) jetstream.Msg {
	for _, u := range urgencies {
		c := t.queue(ctx, u)
		if c == nil {
			return nil
		}
		batch, err := c.FetchNoWait(1)
		if msg := t.first(ctx, batch, err); msg != nil {
			return msg
		}
	}
	return nil
}

// queue is the queue of an urgency; nil, after a while, where the server does not answer.
func (t *taker) queue(ctx context.Context, u Urgency) jetstream.Consumer {
	if c := t.queues[u]; c != nil {
		return c
	}
	c, err := t.farm.queue(ctx, u)
	if err != nil {
		t.rest(ctx)
		return nil
	}
	if t.queues == nil {
		t.queues = map[Urgency]jetstream.Consumer{}
	}
	t.queues[u] = c
	return c
}

func (t *taker) rest(ctx context.Context) {
	select {
	case <-ctx.Done():
	case <-time.After(time.Second):
	}
}

// first is the first message of a batch. A queue that cannot be asked is looked for anew.
func (t *taker) first(ctx context.Context, batch jetstream.MessageBatch, err error) jetstream.Msg {
	if err == nil {
		for msg := range batch.Messages() {
			return msg // a batch holds one at most
		}
		err = batch.Error()
	}
	if err != nil && !errors.Is(err, jetstream.ErrNoMessages) && ctx.Err() == nil {
		t.queues = nil
		t.rest(ctx)
	}
	return nil
}
