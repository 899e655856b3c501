package farm_test

import (
	"context"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/farm/server"
)

// A machine with the key of workers asks for nothing, lends nothing and takes nothing away from
// the server; what it needs for its work it may do.
func TestRightsOfWorkers(t *testing.T) {
	s := serve(t, server.Options{Listen: "127.0.0.1:0"})
	open(t, s.Asker) // makes what the server holds
	for name, c := range map[string]struct {
		key     string
		refused bool
	}{"worker": {s.Worker, true}, "asker": {s.Asker, false}} {
		js := farm.Engine(open(t, c.key))
		film, err := js.ObjectStore(t.Context(), "trenchcut-film")
		if err != nil {
			t.Fatal(err)
		}
		segments, err := js.ObjectStore(t.Context(), "trenchcut-segments")
		if err != nil {
			t.Fatal(err)
		}
		for what, do := range map[string]func(ctx context.Context) error{
			"ask": func(ctx context.Context) error {
				_, err := js.Publish(ctx, "trenchcut.job.kit.awaited."+name, nil)
				return err
			},
			"lend": func(ctx context.Context) error {
				_, err := film.PutString(ctx, name, "film")
				return err
			},
			"purge": func(ctx context.Context) error {
				stream, err := js.Stream(ctx, "trenchcut-jobs")
				if err != nil {
					return err
				}
				return stream.Purge(ctx)
			},
			"make": func(ctx context.Context) error {
				_, err := js.CreateStream(ctx, jetstream.StreamConfig{Name: name + "-own", Subjects: []string{name}})
				return err
			},
		} {
			// What is refused is not answered.
			ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
			if !c.refused {
				ctx, cancel = context.WithTimeout(t.Context(), time.Minute)
			}
			if err := do(ctx); (err != nil) != c.refused {
				t.Errorf("%s, %s: %v", name, what, err)
			}
			cancel()
		}
		if _, err := segments.PutString(t.Context(), name, "a segment"); err != nil {
			t.Errorf("%s hands over: %v", name, err)
		}
		if text, err := segments.GetString(t.Context(), name); err != nil || text != "a segment" {
			t.Errorf("%s has %q, %v", name, text, err)
		}
	}
	left, err := farm.Engine(open(t, s.Asker)).Stream(t.Context(), "trenchcut-jobs")
	if err != nil {
		t.Fatal(err)
	}
	if info, err := left.Info(t.Context()); err != nil || info.State.LastSeq != 1 {
		t.Errorf("the queue had %d jobs, want the one of the asker (%v)", info.State.LastSeq, err)
	}
}
