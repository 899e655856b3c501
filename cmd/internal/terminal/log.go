package terminal

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"sync"
)

// onceHandler passes each message on once: a reel that is planned again, smaller say, tells
// much of what it told before.
type onceHandler struct {
	slog.Handler
	mu   sync.Mutex
	said map[string]bool
}

// Once passes each message on to a handler once.
func Once(to slog.Handler) slog.Handler {
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

// NewLog is a handler that writes a line a record of at least a level to out.
func NewLog(out io.Writer, least slog.Level) slog.Handler {
	return &lineHandler{out: out, least: least}
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
	_, err := fmt.Fprintln(h.out, OneLine(line.String()))
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

// OpenLog opens a log of JSON Lines at path, to write behind what is there. It refuses a file
// that is there and is no log.
func OpenLog(path string) (*os.File, error) {
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
