package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"sync"

	"github.com/spf13/pflag"

	"trenchcut/pipeline/ffmpeg"
)

// logOptions says what is told of the decisions on the way, and where.
type logOptions struct {
	verbose bool
	file    string

	*slog.Logger
}

func (o *logOptions) addFlags(f *pflag.FlagSet) {
	f.BoolVarP(&o.verbose, "verbose", "v", false, "say what is decided on the way, a line each")
	f.StringVar(&o.file, "log-json", "", "add what is decided on the way to a `file`, as JSON Lines")
}

// open starts the log; stop ends it with what came of the work.
func (o *logOptions) open(s streams) (stop func(error) error, err error) {
	least := slog.LevelWarn
	if o.verbose {
		least = slog.LevelInfo
	}
	told := &lineHandler{out: s.Err, least: least}
	if o.file == "" {
		o.Logger = slog.New(newOnceHandler(told))
		return func(err error) error {
			o.byHand(err)
			return err
		}, nil
	}
	f, err := openLog(o.file)
	if err != nil {
		return nil, usageError{fmt.Errorf("--log-json: %w", err), ""}
	}
	o.Logger = slog.New(newOnceHandler(slog.NewMultiHandler(told, slog.NewJSONHandler(f, nil))))
	return func(err error) error {
		o.failed(err)
		return errors.Join(err, f.Close())
	}, nil
}

// openLog opens a log to write behind what is there, which must be a log.
func openLog(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not a plain file", path)
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_RDWR, 0o666)
	if err != nil {
		return nil, err
	}
	const start = `{"time":`
	head := make([]byte, len(start))
	if n, err := f.ReadAt(head, 0); n > 0 && (err != nil || !bytes.Equal(head, []byte(start))) {
		f.Close()
		return nil, fmt.Errorf("%s is there and is no log", path)
	}
	return f, nil
}

// failed tells of an error.
func (o *logOptions) failed(err error) {
	if err == nil {
		return
	}
	args := []any{"error", err.Error()}
	var run *ffmpeg.Error
	if errors.As(err, &run) {
		args = append(args, "said", run.Stderr)
	}
	o.Error("failed", args...)
	o.byHand(err)
}

// byHand says how to repeat by hand what failed, to who asked for everything.
func (o *logOptions) byHand(err error) {
	var run *ffmpeg.Error
	if errors.As(err, &run) && run.ByHand != "" {
		o.Info("to repeat it by hand", "run", run.ByHand)
	}
}

// onceHandler passes each message on once: a reel that is planned again, smaller say, tells
// much of what it told before.
type onceHandler struct {
	slog.Handler
	mu   sync.Mutex
	said map[string]bool
}

func newOnceHandler(to slog.Handler) *onceHandler {
	return &onceHandler{Handler: to, said: map[string]bool{}}
}

// Handle implements slog.Handler.
func (h *onceHandler) Handle(ctx context.Context, r slog.Record) error {
	key := r.Message
	r.Attrs(func(a slog.Attr) bool {
		key += "\x00" + a.String()
		return true
	})
	h.mu.Lock()
	before := h.said[key]
	h.said[key] = true
	h.mu.Unlock()
	if before {
		return nil
	}
	return h.Handler.Handle(ctx, r)
}

// lineHandler writes a line a record: the message, the first value by itself, and the
// others behind their names. Errors are told in full at the end of the run, so not here.
type lineHandler struct {
	out   io.Writer
	least slog.Level
	attrs []slog.Attr
}

// Enabled implements slog.Handler.
func (h *lineHandler) Enabled(_ context.Context, level slog.Level) bool {
	return level >= h.least && level < slog.LevelError
}

// Handle implements slog.Handler.
func (h *lineHandler) Handle(_ context.Context, r slog.Record) error {
	var line strings.Builder
	line.WriteString(r.Message)
	between := ": "
	add := func(a slog.Attr) bool {
		line.WriteString(between)
		if between != ": " {
			line.WriteString(a.Key + " ")
		}
		line.WriteString(a.Value.String())
		between = ", "
		return true
	}
	for _, a := range h.attrs {
		add(a)
	}
	r.Attrs(add)
	_, err := fmt.Fprintln(h.out, oneLine(line.String()))
	return err
}

// WithAttrs implements slog.Handler.
func (h *lineHandler) WithAttrs(attrs []slog.Attr) slog.Handler {
	more := *h
	more.attrs = append(more.attrs[:len(more.attrs):len(more.attrs)], attrs...)
	return &more
}

// WithGroup implements slog.Handler; lines have no groups.
func (h *lineHandler) WithGroup(string) slog.Handler { return h }
