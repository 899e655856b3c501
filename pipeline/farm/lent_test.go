package farm

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"testing"

	nats "github.com/nats-io/nats-server/v2/server"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

var quiet = slog.New(slog.DiscardHandler)

// meet starts a server in this process, and opens it with a toolchain as often as asked.
func meet(t testing.TB, toolchains ...string) []*Farm {
	t.Helper()
	s, err := nats.NewServer(&nats.Options{Host: "127.0.0.1", Port: nats.RANDOM_PORT, JetStream: true, StoreDir: t.TempDir(), NoLog: true, NoSigs: true})
	if err != nil {
		t.Fatal(err)
	}
	s.Start()
	t.Cleanup(func() { s.Shutdown(); s.WaitForShutdown() })
	place := Place{URL: fmt.Sprintf("nats://127.0.0.1:%d", s.Addr().(*net.TCPAddr).Port)}
	var farms []*Farm
	for _, toolchain := range toolchains {
		f, err := Open(t.Context(), place, toolchain)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(f.Close)
		farms = append(farms, f)
	}
	return farms
}

// tools is this machine's ffmpeg and what it says of itself.
func tools(t testing.TB) (ffmpeg.Tool, string) {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	toolchain, err := tool.Version(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return tool, toolchain
}

// A segment cut from a stretch of film that travelled is the one cut from the film.
func TestLentFilm(t *testing.T) {
	tool, toolchain := tools(t)
	farms := meet(t, toolchain, toolchain)
	for name, c := range map[string]struct {
		args   []string
		atHome bool // ffmpeg opens it amid a group of pictures, for which more of it must be seen
	}{
		"matroska.mkv":           {},
		"edit list, rotated.mp4": {args: []string{"-metadata:s:v", "rotate=90", "-output_ts_offset", "1.5"}},
		"no index.ts":            {atHome: true},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, name)
			args := []string{
				"-f", "lavfi", "-i", "testsrc2=s=160x90:r=30000/1001,noise=alls=40:allf=t", "-f", "lavfi", "-i", "anoisesrc=r=48000:a=0.2",
				"-t", "8", "-threads", "1", "-c:v", "libx264", "-preset", "ultrafast", "-g", "60", "-bf", "2", "-crf", "15", "-pix_fmt", "yuv420p", "-c:a", "aac",
			}
			if err := tool.Run(t.Context(), append(append(args, c.args...), "file:"+path), nil, nil); err != nil {
				t.Fatal(err)
			}
			library := film.NewLibrary(tool, "")
			source, err := library.Source(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			house := plan.House{Width: 320, Height: 180, Rate: source.Rate}
			s := plan.Segment{
				Kind: plan.Film, House: house, Source: &source, Span: tags.Span{In: 191, Out: 216}, Fit: plan.Letterbox(source.Width, source.Height, house),
				Speed: plan.Speed{Num: 1, Den: 1}, Encoder: plan.Encoder{Codec: plan.X264, Preset: "veryfast", CRF: 20},
			}
			key, err := s.Key(toolchain)
			if err != nil {
				t.Fatal(err)
			}
			home := &render.Local{Tool: tool, Toolchain: toolchain, Films: library, Store: render.Dir{Root: filepath.Join(dir, "home")}}
			away := render.Dir{Root: filepath.Join(dir, "away")}
			worker := &Worker{
				Farm: farms[1], Name: "there", Tool: tool, Toolchain: toolchain, Store: away, Copies: NewCopies(nil), AtOnce: 1,
				Borrowed: filepath.Join(dir, "borrowed"), Log: quiet,
			}
			worker.prepare()
			asker := NewAsker(t.Context(), farms[0], Awaited, 1, "", quiet)
			asker.lender.size = 16 << 10
			ctx, cancel := context.WithCancel(t.Context())
			defer cancel()
			w, err := asking{asker, home}.expect(ctx, render.Job{Key: key, Segment: s})
			if err != nil {
				t.Fatal(err)
			}
			defer w.stop()
			if err := farms[0].nc.Flush(); err != nil {
				t.Fatal(err)
			}
			err = worker.render(ctx, job{key, s})
			if c.atHome && errors.Is(err, render.ErrAtHome) {
				return
			}
			if err != nil || c.atHome {
				t.Fatalf("error %v, want one: %v", err, c.atHome)
			}
			if err := home.Render(ctx, render.Job{Key: key, Segment: s}, func(tags.Frame) {}); err != nil {
				t.Fatal(err)
			}
			if got, want := segmentOf(t, away, key), segmentOf(t, home.Store, key); !bytes.Equal(got, want) {
				t.Error("it is another segment")
			}
			here := worker.borrowed.films[source.Fingerprint]
			info, err := os.Stat(path)
			if err != nil {
				t.Fatal(err)
			}
			travelled := int64(len(here.blocks)) * here.block
			t.Logf("%d of %d bytes travelled", travelled, info.Size())
			if travelled > info.Size()*3/4 {
				t.Errorf("%d of %d bytes travelled", travelled, info.Size())
			}
			if name != "matroska.mkv" { // once is enough
				return
			}
			// What was lent does not serve once a block of it is another.
			stretch, err := asker.lender.lend(ctx, home, s, []string{source.Fingerprint})
			if err != nil {
				t.Fatal(err)
			}
			f, err := os.OpenFile(here.path, os.O_RDWR, 0)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			for n := range stretch.Films[0].Blocks {
				if _, err := f.WriteAt(make([]byte, 4096), n*here.block+8192); err != nil {
					t.Fatal(err)
				}
			}
			if err := worker.borrowed.borrow(ctx, job{key, s}, []string{source.Fingerprint}, map[string]string{}); !errors.Is(err, errLent) {
				t.Errorf("of film that is damaged on the way: %v", err)
			}
		})
	}
}

func segmentOf(t *testing.T, d render.Dir, key plan.Key) []byte {
	t.Helper()
	path, err := d.Open(t.Context(), key)
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
