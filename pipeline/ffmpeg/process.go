package ffmpeg

import (
	"context"
	"fmt"
	"io"
	"os/exec"
	"time"
)

// process is one run of ffmpeg or ffprobe.
type process struct {
	name  string
	args  []string
	stdin io.Reader // nil is none
	said  io.Writer // takes what the process says on its standard error
	talks bool      // whatever it says shows that it gets on
	// read reads the standard output to its end. It calls moved whenever the process got on
	// with its work; an error of its own ends the process. A nil read ignores the output.
	read func(stdout io.Reader, moved func()) error
}

// start runs p to its end and returns how it ended. A process that does not get on for
// longer than t's patience is ended: the cause is ErrStuck. The error may be nil though ctx
// is done; cause tells.
func (t Tool) start(ctx context.Context, p process) (cause, err error) {
	ctx, end := context.WithCancelCause(ctx)
	defer end(nil)
	stuck := time.AfterFunc(t.patience(), func() { end(ErrStuck) })
	defer stuck.Stop()
	cmd := exec.CommandContext(ctx, p.name, p.args...)
	cmd.Stdin = p.stdin
	moved := func() { stuck.Reset(t.patience()) }
	if p.said != nil {
		cmd.Stderr = &plainLines{to: p.said}
	}
	if p.talks {
		cmd.Stderr = io.MultiWriter(writerFunc(moved), &plainLines{to: p.said})
	}
	// A group of its own: Ctrl-C in the terminal shall reach this program alone, since
	// ffmpeg takes an interrupt as a wish to finish its file. The context kills it instead.
	cmd.SysProcAttr = ownGroup()
	cmd.WaitDelay = waitDelay
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return nil, fmt.Errorf("start %s: %w", p.name, err)
	}
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("start %s: %w", p.name, err)
	}
	tie(cmd.Process)
	if inBackground(ctx) {
		yield(cmd.Process)
	}
	var own error
	if p.read != nil {
		own = p.read(stdout, moved)
	}
	if own != nil {
		end(own)
	} else {
		_, _ = io.Copy(io.Discard, stdout) // or the process waits for a reader
	}
	err = cmd.Wait()
	if own != nil {
		return nil, own
	}
	return context.Cause(ctx), err
}

// plainLines hands on text with lines that end in a newline alone: ffmpeg for Windows puts a
// carriage return before it.
type plainLines struct {
	to   io.Writer
	held bool // a carriage return, until it is known what follows
}

func (l *plainLines) Write(p []byte) (int, error) {
	plain := make([]byte, 0, len(p)+1)
	for _, b := range p {
		if l.held && b != '\n' {
			plain = append(plain, '\r')
		}
		if l.held = b == '\r'; !l.held {
			plain = append(plain, b)
		}
	}
	if _, err := l.to.Write(plain); err != nil {
		return 0, err
	}
	return len(p), nil
}
