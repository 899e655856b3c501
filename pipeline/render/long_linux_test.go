package render_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

var clips = flag.Int("clips", 12, "how many clips TestLongReel cuts; 1000 take minutes")

// peaks is the most that was seen of what a run takes.
type peaks struct {
	heap     uint64 // bytes in use, after collecting
	files    int    // that we hold open
	ffmpegs  int    // files that one ffmpeg holds open
	command  int    // bytes of the longest command line
	readings int
}

// look takes a reading, of this process and of the processes it started.
func (p *peaks) look(t *testing.T) {
	p.readings++
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	p.heap = max(p.heap, m.HeapAlloc)
	p.files = max(p.files, openFiles(os.Getpid()))
	tasks, err := filepath.Glob("/proc/self/task/*/children")
	if err != nil || len(tasks) == 0 {
		t.Errorf("no children are told of (%v)", err)
	}
	for _, task := range tasks {
		children, _ := os.ReadFile(task) // a thread that is gone
		for child := range strings.FieldsSeq(string(children)) {
			var pid int
			if _, err := fmt.Sscan(child, &pid); err != nil {
				t.Error(err)
			}
			command, _ := os.ReadFile(filepath.Join("/proc", child, "cmdline"))
			if strings.Contains(string(command), "ffmpeg") {
				p.ffmpegs = max(p.ffmpegs, openFiles(pid))
				p.command = max(p.command, len(command))
			}
		}
	}
}

func openFiles(pid int) int {
	list, _ := os.ReadDir(fmt.Sprintf("/proc/%d/fd", pid))
	return len(list)
}

// A reel of a thousand clips takes no more open files, no longer command line and hardly
// more memory than a short one. By default few are cut, and shown over and over for the
// join; -clips=1000 cuts a thousand.
func TestLongReel(t *testing.T) {
	const long = 1000
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: tags.Frame(*clips) + 60, sound: true})
	var text strings.Builder
	for i := range *clips {
		fmt.Fprintf(&text, "  - {play: %d, in: f%d, out: f%d}\n", i+1, i, i+2)
	}
	p := b.plan(b.season(map[string]string{"endzone": path}, text.String()), nil)
	film := p.Entries[1 : len(p.Entries)-1]
	reel := func(n int) peaks {
		var seen peaks
		q := *p
		q.Entries = nil
		for i := range n {
			q.Entries = append(q.Entries, film[i%len(film)])
			q.Entries[i].Chapter = fmt.Sprintf("clip %d", i+1)
		}
		every := max(n/20, 1)
		var next tags.Frame
		_, err := b.maker.Make(context.Background(), &q, filepath.Join(b.dir, fmt.Sprintf("reel%d.mp4", n)), false, func(e render.Event) {
			if e.Done >= next || e.Stage == render.Joining {
				seen.look(t)
				next = e.Done + tags.Frame(every)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		return seen
	}
	short := reel(min(10, *clips))
	all := reel(long)
	if short.ffmpegs == 0 || all.ffmpegs == 0 {
		t.Fatalf("no ffmpeg was seen: %+v, %+v", short, all)
	}
	t.Logf("10 clips: %+v; %d clips, %d of them cut: %+v", short, long, min(*clips, long), all)
	if all.files > short.files+2 || all.ffmpegs > short.ffmpegs+2 {
		t.Errorf("%d and %d files are open for %d clips, %d and %d for a short reel", all.files, all.ffmpegs, long, short.files, short.ffmpegs)
	}
	if all.command > short.command+1024 {
		t.Errorf("a command line takes %d bytes, of a short reel %d", all.command, short.command)
	}
	if more := int64(all.heap) - int64(short.heap); more > 8<<20 {
		t.Errorf("the long reel takes %d MB more", more>>20)
	}
}
