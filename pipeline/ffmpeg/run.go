// Package ffmpeg owns the ffmpeg process: it alone starts one, and it alone turns
// descriptions into arguments.
package ffmpeg

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"trenchcut/tags"
)

// Tool is an ffmpeg that was found on this machine.
type Tool struct {
	FFmpeg  string // path of ffmpeg
	FFprobe string // path of ffprobe
	// Patience is how long it may do nothing before it is ended; 0 is five minutes.
	Patience time.Duration
}

func (t Tool) patience() time.Duration { return cmp.Or(t.Patience, 5*time.Minute) }

// ErrStuck says that ffmpeg did nothing for longer than anybody's patience.
var ErrStuck = errors.New("it made no progress and was ended")

// waitDelay is for how long what ffmpeg started may hold its output open after its end.
const waitDelay = 5 * time.Second

// Find looks for ffmpeg and ffprobe on the PATH, then in the folder of this program.
func Find() (Tool, error) {
	ffmpeg, errFFmpeg := find("ffmpeg")
	ffprobe, errFFprobe := find("ffprobe")
	if err := errors.Join(errFFmpeg, errFFprobe); err != nil {
		missing := "ffmpeg"
		if errFFmpeg == nil {
			missing = "ffprobe"
		}
		return Tool{}, fmt.Errorf("%w (no %s on the PATH, nor beside this program): %s", ErrMissing, missing, advice(runtime.GOOS))
	}
	return Tool{FFmpeg: ffmpeg, FFprobe: ffprobe}, nil
}

func find(name string) (path string, err error) {
	path, err = exec.LookPath(name)
	if err == nil {
		return path, nil
	}
	program, errProgram := os.Executable()
	if errProgram != nil {
		return "", err
	}
	if path, errBeside := exec.LookPath(filepath.Join(filepath.Dir(program), name)); errBeside == nil {
		return path, nil
	}
	return "", err
}

// Encoders names the encoders of this ffmpeg.
func (t Tool) Encoders(ctx context.Context) ([]string, error) { return t.list(ctx, "-encoders") }

// Filters names the filters of this ffmpeg.
func (t Tool) Filters(ctx context.Context) ([]string, error) { return t.list(ctx, "-filters") }

// Muxers names the kinds of file that this ffmpeg writes.
func (t Tool) Muxers(ctx context.Context) ([]string, error) { return t.list(ctx, "-muxers") }

// list is the names that ffmpeg lists, a line each, behind letters that say what kind
// it is of. A legend, which has "=" for a name, goes before them.
func (t Tool) list(ctx context.Context, what string) ([]string, error) {
	out, err := t.text(ctx, t.FFmpeg, "-hide_banner", what)
	if err != nil {
		return nil, err
	}
	return listed(string(out)), nil
}

// listed reads such a list. A small build of ffmpeg names without a word of description.
func listed(out string) (names []string) {
	for line := range strings.Lines(out) {
		if f := strings.Fields(line); len(f) > 1 && f[1] != "=" {
			names = append(names, f[1])
		}
	}
	return names
}

// text is what a run of name prints, which is to be little, with lines that end in a newline alone.
func (t Tool) text(ctx context.Context, name string, args ...string) ([]byte, error) {
	out, err := t.output(ctx, name, args...)
	return bytes.ReplaceAll(out, []byte("\r\n"), []byte("\n")), err
}

// output is what a run of name prints, which is to be little.
func (t Tool) output(ctx context.Context, name string, args ...string) ([]byte, error) {
	var out bytes.Buffer
	var stderr tail
	cause, err := t.start(ctx, process{name: name, args: args, said: &stderr, read: func(stdout io.Reader, moved func()) error {
		_, err := io.Copy(io.MultiWriter(&out, writerFunc(moved)), stdout)
		return err
	}})
	if cause != nil || err != nil {
		return nil, failure(cause, err, stderr.String())
	}
	return out.Bytes(), nil
}

// writerFunc is called for everything that is written.
type writerFunc func()

func (f writerFunc) Write(p []byte) (int, error) {
	f()
	return len(p), nil
}

// ErrComplained says that ffmpeg did its work and found fault with what it read.
var ErrComplained = errors.New("it complained")

// ErrFull says that there was no room for what ffmpeg wrote.
var ErrFull = errors.New("no room is left")

// Error is a failed run of ffmpeg. Again reports whether the same run may well succeed
// another time: the process was killed, or the machine ran short of something.
type Error struct {
	Err    error
	Stderr string // the end of what ffmpeg said
	Again  bool
	// ByHand is a command line that repeats it with blank pictures for what is drawn, where
	// there can be one. Error leaves it out: it fills a screen.
	ByHand string
}

// mostSaid bounds how many of the last lines of what ffmpeg said, and how much of each, an
// error repeats.
const (
	mostSaid     = 6
	mostSaidLine = 240
)

// Error is what happened and the last of what ffmpeg said: behind it where it is one line,
// else below it.
func (e *Error) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "ffmpeg: %v", e.Err)
	lines := strings.Split(strings.TrimSpace(e.Stderr), "\n")
	lines = lines[max(len(lines)-mostSaid, 0):]
	if lines[0] != "" {
		b.WriteString(":")
	}
	for _, line := range lines {
		if len(line) > mostSaidLine {
			line = strings.ToValidUTF8(line[:mostSaidLine], "") + "…"
		}
		switch {
		case line == "":
		case len(lines) == 1:
			b.WriteString(" " + line)
		default:
			b.WriteString("\n  " + line)
		}
	}
	return b.String()
}

func (e *Error) Unwrap() error { return e.Err }

func failure(cause, err error, stderr string) error {
	switch {
	case errors.Is(cause, ErrStuck):
		return &Error{Err: ErrStuck, Stderr: stderr}
	case cause != nil:
		return cause
	case full(err, stderr):
		return &Error{Err: ErrFull, Stderr: stderr}
	}
	var exit *exec.ExitError
	killed := errors.As(err, &exit) && exit.ExitCode() < 0 && !brokeDown(err)
	short := strings.Contains(stderr, "Cannot allocate memory") || strings.Contains(stderr, "Resource temporarily unavailable")
	return &Error{Err: err, Stderr: stderr, Again: killed || short}
}

// brokeDown reports whether a run ended by a fault of ffmpeg's own, as it will again: 4.4 has one
// where a last picture is to be repeated and there is none (tpad).
func brokeDown(err error) bool {
	return err != nil && strings.Contains(err.Error(), "segmentation fault")
}

// full reports whether a run failed for want of room: on the disk, by quota, or by the
// limit that the shell set for the size of a file.
func full(err error, stderr string) bool {
	for _, said := range []string{"No space left on device", "Disk quota exceeded", "File too large"} {
		if strings.Contains(stderr, said) {
			return true
		}
	}
	return err != nil && strings.Contains(err.Error(), "file size limit exceeded")
}

// Run runs ffmpeg with args, which end in the output, and calls progress, where it is
// not nil, with the number of frames written so far. A run that exits well but
// complained is an error all the same, ErrComplained: truncated and damaged film mostly
// exits 0.
func (t Tool) Run(ctx context.Context, args []string, stdin io.Reader, progress func(tags.Frame)) error {
	all := []string{"-hide_banner", "-v", "error", "-progress", "pipe:1", "-stats_period", "0.25", "-y"}
	if stdin == nil {
		all = append(all, "-nostdin")
	}
	var stderr tail
	return t.run(ctx, append(all, args...), stdin, progress, &stderr, &stderr)
}

// run runs ffmpeg, whose standard error is written to said; stderr is what counts of that.
func (t Tool) run(ctx context.Context, args []string, stdin io.Reader, progress func(tags.Frame), said io.Writer, stderr *tail) error {
	cause, err := t.start(ctx, process{
		name: t.FFmpeg, args: args, stdin: stdin, said: said,
		read: func(stdout io.Reader, moved func()) error { return readProgress(stdout, moved, progress) },
	})
	if cause != nil || err != nil {
		return failure(cause, err, stderr.String())
	}
	if s := stderr.String(); full(nil, s) {
		return &Error{Err: ErrFull, Stderr: s}
	} else if s != "" {
		return &Error{Err: ErrComplained, Stderr: s}
	}
	return nil
}

// readProgress reads what ffmpeg tells of its progress.
func readProgress(stdout io.Reader, moved func(), progress func(tags.Frame)) error {
	lines := bufio.NewScanner(stdout)
	reached := "" // what grows with any kind of output
	for lines.Scan() {
		key, value, _ := strings.Cut(lines.Text(), "=")
		if key == "frame" && progress != nil {
			if f, err := strconv.ParseInt(strings.TrimSpace(value), 10, 64); err == nil {
				progress(tags.Frame(f))
			}
		}
		if key == "out_time_us" && value != reached {
			reached = value
			moved()
		}
	}
	_ = lines.Err() // where it ended amid a line, the exit code tells
	return nil
}

// tail keeps the end of what is written to it.
type tail struct{ buf bytes.Buffer }

const tailSize = 16 << 10

func (t *tail) Write(p []byte) (int, error) {
	t.buf.Write(p)
	if extra := t.buf.Len() - tailSize; extra > 0 {
		t.buf.Next(extra)
	}
	return len(p), nil
}

func (t *tail) String() string { return t.buf.String() }
