//go:build unix

package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/session"
)

var farmFaults = flag.Bool("farmfaults", false, "try every fault of a farm, not only a worker that is killed")

// office is a farm of real processes, with a season and the reel of it that one machine made.
type office struct {
	t    *testing.T
	dir  string
	port string
	home []byte // the reel made at home

	segments int // of that reel
}

// machine is a process of the farm. Its ffmpeg says of each segment that it began it, and then
// waits as long as the machine is held.
type machine struct {
	*office
	name string
	cmd  *exec.Cmd
	out  syncBuffer
	done chan struct{}
}

type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *syncBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *syncBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// standIn is an ffmpeg that waits before it renders a segment.
const standIn = `#!/bin/sh
case "$*" in
*segment.mov) : >"$OFFICE/begun/$NAME.$$"; while [ -e "$OFFICE/held/$NAME" ]; do sleep 0.05; done ;;
esac
exec %q "$@"
`

// openOffice makes film that changes in every frame, a season of four plays, and its reel.
func openOffice(t *testing.T) *office {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	o := &office{t: t, dir: t.TempDir()}
	for _, folder := range []string{"begun", "held", "bin", "season", "drive"} {
		if err := os.Mkdir(filepath.Join(o.dir, folder), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	film := filepath.Join(o.dir, "season", "end.mp4")
	err = tool.Run(t.Context(), []string{
		"-f", "lavfi", "-i", "testsrc2=s=160x90:r=15", "-frames:v", "200", "-c:v", "libx264", "-preset", "ultrafast",
		"-g", "60", "-pix_fmt", "yuv420p", "file:" + film,
	}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	var plays strings.Builder
	plays.WriteString("trenchcut: 1\ngame: {id: wk1, date: 2026-09-05, us: Cedar Hollow, opponent: Harbor State}\nfilm: {endzone: {file: end.mp4}}\n" +
		"people: {marlow: {name: Teo Marlow, team: us, jersey: 91}}\nplays:\n")
	for n := range 4 {
		fmt.Fprintf(&plays, "  - {play: %d, type: dropback, angles: {endzone: {in: f%d, out: f%d, snap: f%d}}, reps: [{rusher: 91, move: [bull], battle: won}]}\n", n+1, 50*n, 50*n+40, 50*n+10)
	}
	o.write("season/wk1.game.yaml", plays.String())
	o.write("bin/ffmpeg", fmt.Sprintf(standIn, tool.FFmpeg))
	if err := os.Chmod(filepath.Join(o.dir, "bin/ffmpeg"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(tool.FFprobe, filepath.Join(o.dir, "bin/ffprobe")); err != nil {
		t.Fatal(err)
	}
	home := o.start("home", nil, "reel", "-g", o.at("season"), "-t", "Test", "--set", "size=320x180", "-o", o.at("home.mp4"))
	home.ends(0)
	if _, err := fmt.Sscanf(home.out.String()[strings.Index(home.out.String(), "(")+1:], "%d segments", &o.segments); err != nil {
		t.Fatal(err)
	}
	o.home = o.read("home.mp4")
	if err := os.RemoveAll(o.at("begun")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(o.at("begun"), 0o777); err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	o.port = l.Addr().String()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return o
}

func (o *office) at(path string) string { return filepath.Join(o.dir, path) }

func (o *office) read(path string) []byte {
	o.t.Helper()
	data, err := os.ReadFile(o.at(path))
	if err != nil {
		o.t.Fatal(err)
	}
	return data
}

func (o *office) write(path, text string) {
	o.t.Helper()
	if err := os.WriteFile(o.at(path), []byte(text), 0o666); err != nil {
		o.t.Fatal(err)
	}
}

func (o *office) hold(name string) { o.t.Helper(); o.write("held/"+name, "") }

func (o *office) release(name string) {
	if err := os.Remove(o.at("held/" + name)); err != nil {
		o.t.Fatal(err)
	}
}

// begun is how many segments a machine began to render; of no name, all of them.
func (o *office) begun(name string) int {
	list, err := filepath.Glob(o.at("begun/" + name + "*"))
	if err != nil {
		o.t.Fatal(err)
	}
	return len(list)
}

// start starts a process of the program, as a machine with a cache of its own.
func (o *office) start(name string, wrap []string, args ...string) *machine {
	o.t.Helper()
	m := &machine{office: o, name: name, done: make(chan struct{})}
	args = append(append(wrap, "trenchcut"), args...)
	m.cmd = exec.Command(args[0], args[1:]...)
	m.cmd.Env = append(os.Environ(), session.CacheVariable+"="+o.at("cache-"+name), "PATH="+o.at("bin")+":"+os.Getenv("PATH"),
		"OFFICE="+o.dir, "NAME="+name, "GORACE=atexit_sleep_ms=0", atVariable+"=")
	m.cmd.Stdout, m.cmd.Stderr = &m.out, &m.out
	if err := m.cmd.Start(); err != nil {
		o.t.Fatal(err)
	}
	go func() { _ = m.cmd.Wait(); close(m.done) }()
	o.t.Cleanup(func() {
		_ = os.Remove(o.at("held/" + name))
		_ = m.cmd.Process.Signal(syscall.SIGTERM)
		select {
		case <-m.done:
		case <-time.After(20 * time.Second):
			_ = m.cmd.Process.Kill()
			<-m.done
		}
		if o.t.Failed() {
			o.t.Logf("%s said:\n%s", name, m.out.String())
		}
	})
	return m
}

// ends waits for a process to end with a code.
func (m *machine) ends(code int) {
	m.t.Helper()
	select {
	case <-m.done:
	case <-time.After(5 * time.Minute):
		m.t.Fatalf("%s does not end", m.name)
	}
	if got := m.cmd.ProcessState.ExitCode(); got != code {
		m.t.Fatalf("%s ended with code %d, want %d", m.name, got, code)
	}
}

func (m *machine) kill() {
	m.t.Helper()
	if err := m.cmd.Process.Kill(); err != nil {
		m.t.Fatal(err)
	}
	<-m.done
}

// until waits for something; only a hang is timed.
func (o *office) until(what string, is func() bool) {
	o.t.Helper()
	for range 60 * 5 * 20 {
		if is() {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	o.t.Fatalf("in five minutes never: %s", what)
}

func (m *machine) says(text string) {
	m.t.Helper()
	m.until(m.name+" says "+text, func() bool { return strings.Contains(m.out.String(), text) })
}

func (o *office) serve() *machine {
	o.t.Helper()
	m := o.start("server", nil, "farm", "--listen", o.port, "--folder", o.at("farm"))
	m.says("The farm is open")
	return m
}

func (o *office) work(name string, more ...string) *machine {
	o.t.Helper()
	m := o.start(name, nil, append([]string{"work", "--at", o.at("farm/worker.key"), "--jobs", "1", "--name", name}, more...)...)
	m.says("works for the farm")
	return m
}

// ask starts a machine that makes the reel at the farm.
func (o *office) ask(name string) *machine {
	o.t.Helper()
	return o.start(name, nil, "reel", "-v", "-g", o.at("season"), "-t", "Test", "--set", "size=320x180", "--jobs", "1", "--at", o.at("farm/asker.key"), "-o", o.at(name+".mp4"))
}

// same holds the reel that a machine made to that made at home.
func (m *machine) same() {
	m.t.Helper()
	m.ends(0)
	if !bytes.Equal(m.read(m.name+".mp4"), m.home) {
		m.t.Errorf("the reel of %s is another than the one made at home", m.name)
	}
}

// quiet waits until nothing is left in the queue.
func (o *office) quiet() {
	o.t.Helper()
	place, err := farm.ParsePlace(o.at("farm/asker.key"), "")
	if err != nil {
		o.t.Fatal(err)
	}
	f, err := farm.Open(o.t.Context(), place, "")
	if err != nil {
		o.t.Fatal(err)
	}
	defer f.Close()
	o.until("the queue is empty", func() bool {
		queued, begun, err := f.Waiting(context.Background())
		return err == nil && queued+begun == 0
	})
}

// Three machines and a server render a reel that is the same, byte for byte, as the one made at
// home, though one of the machines is killed amid a segment.
func TestFarm(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	o.serve()
	drive, err := os.ReadFile(o.at("season/end.mp4"))
	if err != nil {
		t.Fatal(err)
	}
	o.write("drive/another name.mp4", string(drive))
	one := o.work("one", "--film", o.at("drive"))
	two := o.work("two")
	o.hold("three")
	three := o.work("three")
	o.hold("asker")
	asker := o.ask("asker")
	o.until("all machines are at work", func() bool { return o.begun("one") > 0 && o.begun("two") > 0 && o.begun("three") > 0 })
	three.kill()
	o.until("what is free is done", func() bool { return o.begun("one")+o.begun("two") >= o.segments-4 })
	o.release("asker")
	asker.same()
	o.quiet()
	one.says("rendered: a clip of")
	two.says("rendered: a clip of")
	for _, said := range []string{"film lent", "by one", "by two"} {
		if !strings.Contains(asker.out.String(), said) {
			t.Errorf("the asker does not say %q", said)
		}
	}
	// What takes long elsewhere, and the first of each machine, the asker may begin as well.
	twice := 1 + strings.Count(asker.out.String(), "rendering it here")
	if n := o.begun(""); n > o.segments+twice {
		t.Errorf("%d segments were begun, want %d and at most %d that were begun again", n, o.segments, twice)
	}
	if strings.Contains(one.out.String()+two.out.String(), "wk1") {
		t.Error("a worker was told what a clip is called")
	}
}

// Whatever breaks, the reel is the one made at home.
func TestFarmFaults(t *testing.T) {
	if !*farmFaults {
		t.Skip("it is for make torture: -farmfaults")
	}
	t.Run("server killed and back", func(t *testing.T) {
		o := openOffice(t)
		server := o.serve()
		o.work("one")
		o.hold("two")
		o.work("two")
		o.hold("asker")
		asker := o.ask("asker")
		o.until("two are at work", func() bool { return o.begun("one") > 1 && o.begun("two") > 0 && o.begun("asker") > 0 })
		server.kill()
		o.release("two")
		o.serve()
		o.release("asker")
		asker.same()
		o.quiet()
		if n := o.begun(""); n > o.segments+3 {
			t.Errorf("%d segments were begun, want %d and at most three that the server's end caught", n, o.segments)
		}
	})
	t.Run("asker killed and back", func(t *testing.T) {
		o := openOffice(t)
		o.serve()
		o.work("one")
		o.hold("asker")
		asker := o.ask("asker")
		o.until("some are done", func() bool { return o.begun("one") > 3 && o.begun("asker") > 0 })
		asker.kill()
		o.release("asker")
		o.ask("asker").same()
		o.quiet()
		if n := o.begun(""); n > o.segments+2 {
			t.Errorf("%d segments were begun, want %d and at most two that were being rendered", n, o.segments)
		}
	})
	t.Run("slow worker at the end", func(t *testing.T) {
		o := openOffice(t)
		o.serve()
		o.hold("slow")
		slow := o.work("slow")
		asker := o.ask("asker")
		asker.same()
		slow.says("another machine was quicker")
		o.quiet()
		if n := o.begun(""); n > o.segments+o.begun("slow") {
			t.Errorf("%d segments were begun, want %d and those of the slow machine", n, o.segments)
		}
	})
	t.Run("two askers", func(t *testing.T) {
		o := openOffice(t)
		o.serve()
		o.work("one")
		o.work("two")
		x, y := o.ask("x"), o.ask("y")
		x.same()
		y.same()
		o.quiet()
		said := x.out.String() + y.out.String()
		if n, twice := o.begun(""), strings.Count(said, "rendering it here"); n > o.segments+twice {
			t.Errorf("%d segments were begun, want %d and at most %d again", n, o.segments, twice)
		}
	})
	t.Run("disk full there", func(t *testing.T) {
		o := openOffice(t)
		o.serve()
		full := o.start("full", []string{"sh", "-c", `ulimit -f 8; exec "$@"`, "sh"}, "work", "--at", o.at("farm/worker.key"), "--jobs", "1", "--name", "full")
		full.says("works for the farm")
		o.hold("asker")
		asker := o.ask("asker")
		full.says("taking no segments until there is room")
		o.release("asker")
		asker.same()
		o.quiet()
	})
	t.Run("network cut", func(t *testing.T) {
		o := openOffice(t)
		o.serve()
		wire := newWire(t, o.port)
		key := strings.ReplaceAll(string(o.read("farm/worker.key")), o.port, wire.at)
		o.write("cut.key", key)
		o.hold("far")
		far := o.start("far", nil, "work", "--at", o.at("cut.key"), "--jobs", "1", "--name", "far")
		far.says("works for the farm")
		o.hold("asker")
		asker := o.ask("asker")
		o.until("both are at work", func() bool { return o.begun("far") > 0 && o.begun("asker") > 0 })
		wire.cut(true)
		o.release("asker")
		asker.same()
		o.release("far")
		wire.cut(false)
		o.until("the far machine is done", func() bool {
			return strings.Contains(far.out.String(), "rendered:") || strings.Contains(far.out.String(), "left:")
		})
		o.quiet()
	})
	t.Run("another ffmpeg", func(t *testing.T) {
		o := openOffice(t)
		o.serve()
		o.hold("asker")
		asker := o.ask("asker")
		o.until("there are jobs", func() bool { return o.begun("asker") > 0 })
		other := o.start("other", []string{"env", "PATH=" + o.otherFFmpeg() + ":" + os.Getenv("PATH")}, "work", "--at", o.at("farm/worker.key"), "--name", "other")
		other.says("install the same on all machines")
		o.release("asker")
		asker.same()
		if n := o.begun("other"); n > 0 {
			t.Errorf("it began %d segments", n)
		}
	})
}

// otherFFmpeg is a folder with an ffmpeg that calls itself another version.
func (o *office) otherFFmpeg() string {
	tool, err := ffmpeg.Find()
	if err != nil {
		o.t.Fatal(err)
	}
	if err := os.Mkdir(o.at("other"), 0o777); err != nil {
		o.t.Fatal(err)
	}
	o.write("other/ffmpeg", fmt.Sprintf("#!/bin/sh\n%q \"$@\" | sed 's/^ffmpeg version /&other-/'\n", tool.FFmpeg))
	if err := os.Chmod(o.at("other/ffmpeg"), 0o777); err != nil {
		o.t.Fatal(err)
	}
	return o.at("other")
}

// wire is a connection that can be cut.
type wire struct {
	at string

	mu    sync.Mutex
	isCut bool
	ends  []net.Conn
}

func newWire(t *testing.T, to string) *wire {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	w := &wire{at: l.Addr().String()}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			s, err := net.Dial("tcp", to)
			w.mu.Lock()
			if err != nil || w.isCut {
				_ = c.Close()
			} else {
				w.ends = append(w.ends, c, s)
				go func() { _, _ = io.Copy(c, s); _ = c.Close() }()
				go func() { _, _ = io.Copy(s, c); _ = s.Close() }()
			}
			w.mu.Unlock()
		}
	}()
	return w
}

func (w *wire) cut(yes bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.isCut = yes
	for _, c := range w.ends {
		_ = c.Close()
	}
	w.ends = nil
}
