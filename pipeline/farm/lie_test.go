package farm

import (
	"bytes"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// slates are segments that need no film: two that differ in a colour, and a longer one.
func slates(t *testing.T, toolchain string) []render.Job {
	t.Helper()
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	var jobs []render.Job
	for i, hold := range []tags.Frame{6, 6, 8} {
		s := plan.Segment{
			Kind: plan.Slate, House: plan.House{Width: 320, Height: 180, Rate: tags.Rate{Num: 30, Den: 1}}, Hold: hold,
			Card: &plan.Card{Title: "Slate"}, Look: recipe.Look, Encoder: recipe.Encoder.With(plan.X264),
		}
		s.Look.Accent = []string{"#e69f00", "#56b4e9", "#56b4e9"}[i]
		s.Card.Title += strings.Repeat("s", i)
		key, err := s.Key(toolchain)
		if err != nil {
			t.Fatal(err)
		}
		jobs = append(jobs, render.Job{Key: key, Segment: s, Name: s.Card.Title})
	}
	return jobs
}

// What a worker hands over that is not what was asked for is found out, nothing more of that
// worker is taken, and the segment is rendered here.
func TestLyingWorker(t *testing.T) {
	tool, toolchain := tools(t)
	jobs := slates(t, toolchain)
	dir := t.TempDir()
	right := &render.Local{Tool: tool, Toolchain: toolchain, Store: render.Dir{Root: filepath.Join(dir, "right")}}
	var movies [][]byte
	for _, j := range jobs {
		if err := right.Render(t.Context(), j, func(tags.Frame) {}); err != nil {
			t.Fatal(err)
		}
		movies = append(movies, segmentOf(t, right.Store, j.Key))
	}
	damaged := bytes.Clone(movies[0])
	damaged[len(damaged)/2] ^= 1
	for name, c := range map[string]struct {
		lie  []byte
		said string // of it; nothing where it is the truth
	}{
		"no movie":                      {[]byte("nothing"), "not what was asked for"},
		"a bit is turned":               {damaged, "not what was asked for"},
		"of another key, longer":        {movies[2], "not what was asked for"},
		"of another key, of one length": {movies[1], "it is another than the one rendered here"},
		"cut short":                     {movies[0][:len(movies[0])-9], "not what was asked for"},
		"the truth":                     {movies[0], ""},
	} {
		t.Run(name, func(t *testing.T) {
			f := meet(t, toolchain)[0]
			put := func(j render.Job, movie []byte) {
				t.Helper()
				meta := jetstream.ObjectMeta{Name: string(j.Key), Metadata: map[string]string{workerField: "office-7"}}
				if _, err := f.segments.Put(t.Context(), meta, bytes.NewReader(movie)); err != nil {
					t.Fatal(err)
				}
			}
			known := filepath.Join(t.TempDir(), "workers.json")
			ask := func(j render.Job) (said string) {
				t.Helper()
				var log bytes.Buffer
				// What is rendered here comes from its store, which is quicker than ffmpeg.
				home := &render.Local{Tool: tool, Toolchain: toolchain, Store: render.Dir{Root: filepath.Join(t.TempDir(), "home")}}
				if err := os.CopyFS(home.Store.Root, os.DirFS(right.Store.Root)); err != nil {
					t.Fatal(err)
				}
				a := NewAsker(t.Context(), f, Awaited, 1, known, slog.New(slog.NewTextHandler(&log, nil)))
				defer a.Close()
				if err := a.Renderer(home).Render(t.Context(), j, func(tags.Frame) {}); err != nil {
					t.Fatal(err)
				}
				if got := segmentOf(t, home.Store, j.Key); !bytes.Equal(got, segmentOf(t, right.Store, j.Key)) { // a lie would be in its place
					t.Error("another segment than asked for was taken")
				}
				if f.has(t.Context(), j.Key) {
					t.Error("what was taken, or refused, is still in the farm's store")
				}
				return log.String()
			}
			put(jobs[0], c.lie)
			if said := ask(jobs[0]); !strings.Contains(said, c.said) || !strings.Contains(said, "rendering it here") {
				t.Errorf("it says:\n%s", said)
			}
			// Who was found right is not tried again.
			put(jobs[1], movies[1])
			again := !strings.Contains(ask(jobs[1]), `msg="rendered elsewhere"`)
			if wrong := c.said != ""; again != wrong {
				t.Errorf("it is tried again: %v", again)
			}
			if _, err := os.Stat(known); err != nil {
				t.Error(err)
			}
		})
	}
}

// next is the next job, which is there: the server may take its time.
func next(t *testing.T, take *taker) jetstream.Msg {
	t.Helper()
	for range 60 {
		if msg := take.now(t.Context()); msg != nil {
			return msg
		}
	}
	t.Fatal("no job comes")
	return nil
}

// A job whose key is not that of its segment, or that nobody can read, is given back and does
// not stay in the queue.
func TestWrongJobs(t *testing.T) {
	tool, toolchain := tools(t)
	jobs := slates(t, toolchain)
	farms := meet(t, toolchain, toolchain)
	w := &Worker{Farm: farms[1], Name: "there", Tool: tool, Toolchain: toolchain, Store: render.Dir{Root: t.TempDir()}, Copies: NewCopies(nil), Log: quiet}
	home := make(chan notice, 1)
	sub, err := farms[0].hear(jobs[0].Key, func(n notice) {
		if n.Home != "" {
			home <- n
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = sub.Unsubscribe() }()
	take := &taker{farm: farms[1]}
	for _, wrong := range []job{{Key: jobs[0].Key, Segment: jobs[1].Segment}, {Key: jobs[1].Key, Segment: jobs[0].Segment}} {
		data, err := encode(wrong)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range [][]byte{data, []byte("{")} {
			if _, err := farms[0].js.Publish(t.Context(), jobsOf(farms[0].kit, string(Awaited), string(jobs[0].Key)), text); err != nil {
				t.Fatal(err)
			}
			w.do(t.Context(), next(t, take))
			if n := <-home; n.Home == "" || w.done != 0 {
				t.Errorf("%.40s: %+v", text, n)
			}
			for seq := uint64(1); seq != 0; { // the server may take a moment to hear of it
				if seq, err = farms[0].asked(t.Context(), jobs[0].Key); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

// One job a key is in the queue, however many ask; what somebody waits for is taken first; and
// a machine with another ffmpeg takes nothing.
func TestQueue(t *testing.T) {
	jobs := slates(t, "one")
	farms := meet(t, "one", "one", "another")
	for i, u := range []Urgency{Ahead, Awaited} {
		if err := farms[0].ask(t.Context(), u, job{jobs[i].Key, jobs[i].Segment}); err != nil {
			t.Fatal(err)
		}
		if err := farms[1].ask(t.Context(), u, job{jobs[i].Key, jobs[i].Segment}); !errors.Is(err, errTaken) {
			t.Errorf("asked twice: %v", err)
		}
	}
	if msg := (&taker{farm: farms[2]}).now(t.Context()); msg != nil {
		t.Error("a machine with another ffmpeg takes a job")
	}
	take := &taker{farm: farms[1]}
	for _, want := range []plan.Key{jobs[1].Key, jobs[0].Key} {
		msg := next(t, take)
		if got := lastWord(msg.Subject()); got != want {
			t.Fatalf("got %s, want %s", got, want)
		}
		confirm(msg)
	}
	if msg := take.now(t.Context()); msg != nil {
		t.Error("a job was given twice")
	}
}
