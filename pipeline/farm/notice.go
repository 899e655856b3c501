package farm

import (
	"encoding/json"
	"sync"
	"time"

	"github.com/nats-io/nats.go"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// tell publishes a notice of a job. One that is lost is made up for by looking.
func (f *Farm) tell(key plan.Key, n notice) {
	n.From = f.id
	if data, err := encode(n); err == nil {
		_ = f.nc.Publish(noticesOf(string(key)), data)
	}
}

// hear calls each with the notices of a job until the subscription ends.
func (f *Farm) hear(key plan.Key, each func(notice)) (*nats.Subscription, error) {
	return f.nc.Subscribe(noticesOf(string(key)), func(m *nats.Msg) {
		var n notice
		if json.Unmarshal(m.Data, &n) == nil {
			each(n)
		}
	})
}

// noticeEvery is how often a job's progress is told at most.
const noticeEvery = 500 * time.Millisecond

// teller tells the progress of a job, not too often.
type teller struct {
	tell func(tags.Frame)

	mu   sync.Mutex
	told time.Time
}

func (t *teller) progress(n tags.Frame) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if time.Since(t.told) < noticeEvery {
		return
	}
	t.told = time.Now()
	t.tell(n)
}
