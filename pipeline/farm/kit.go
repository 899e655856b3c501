package farm

import (
	"context"
	"encoding/json"
	"sync"
	"time"

	"github.com/nats-io/nats.go"

	"trenchcut/pipeline/plan"
)

// kitOf names the toolchain, the drawing and the format of keys together. Two machines with the
// same kit render the same bytes.
func kitOf(toolchain string) (string, error) {
	key, err := plan.Segment{}.Key(toolchain)
	if err != nil {
		return "", err
	}
	return string(key[:16]), nil
}

// kitNotice tells workers which kit an asker's segments need.
type kitNotice struct {
	Kit     string `json:"kit"`
	Program string `json:"program"` // the ffmpeg, for people
}

// tellKits tells all workers which kit the segments of this machine need, again and again for
// workers that come later, until ctx ends.
func (f *Farm) tellKits(ctx context.Context) {
	for {
		if data, err := encode(kitNotice{f.kit, f.program}); err == nil {
			_ = f.nc.Publish(kitSubject, data)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(patience):
		}
	}
}

// hearKits has the worker log, once for each kit, that segments wait which it cannot render: they
// need another ffmpeg or another version of this program.
func (w *Worker) hearKits() (stop func(), err error) {
	var told sync.Map
	sub, err := w.Farm.nc.Subscribe(kitSubject, func(m *nats.Msg) {
		var k kitNotice
		if json.Unmarshal(m.Data, &k) != nil || k.Kit == w.Farm.kit {
			return
		}
		if _, known := told.LoadOrStore(k.Kit, true); !known {
			w.Log.Warn("not for this machine", "because", "segments are asked for that are made with "+k.Program+", and here is "+w.Farm.program+", or another version of trenchcut",
				"now", "taking none of them: install the same on all machines")
		}
	})
	if err != nil {
		return nil, err
	}
	return func() { _ = sub.Unsubscribe() }, nil
}
