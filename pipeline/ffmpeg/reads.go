package ffmpeg

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"slices"
	"strconv"
	"sync"
	"time"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Extent is a run of bytes of a file; End is the first that is not of it.
type Extent struct{ Start, End int64 }

// ErrParts says that what is asked cannot be told of film that is stored as several files.
var ErrParts = errors.New("the film is stored as several files")

// beyond is how much more of a film is read for its packets than a segment is cut from: more
// than a decoder holds back.
const beyond = 2 * tags.Second

// Packets is the SHA-256 of the packets that ffmpeg reads of the film at path to cut the span
// of s: their streams, times, sizes and contents, as its framehash tells them, and what decoders
// are set up with. Two files of which it is the same give the same pictures and the same sound.
func (t Tool) Packets(ctx context.Context, s plan.Segment, path string) (string, error) {
	guards, url, err := film(path)
	if err != nil {
		return "", err
	}
	return t.packetsOf(ctx, s, guards, url)
}

// Reads is [Tool.Packets], and which bytes of the file were read for them.
func (t Tool) Reads(ctx context.Context, s plan.Segment, path string) (extents []Extent, packets string, err error) {
	if len(files.Parts(path)) > 1 {
		return nil, "", ErrParts
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, "", fmt.Errorf("read film: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, "", fmt.Errorf("read film: %w", err)
	}
	w := &watched{file: f, size: info.Size()}
	// To this machine alone, and only for as long as ffmpeg runs.
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, "", fmt.Errorf("watch how film is read: %w", err)
	}
	server := &http.Server{Handler: w, ReadHeaderTimeout: time.Minute}
	go func() { _ = server.Serve(shortListener{listener}) }()
	defer func() { _ = server.Close() }()
	guards := []string{"-protocol_whitelist", "http,tcp", "-format_whitelist", filmFormats}
	packets, err = t.packetsOf(ctx, s, guards, "http://"+listener.Addr().String()+"/")
	if err != nil {
		return nil, "", err
	}
	_ = server.Close() // whoever read is gone
	return w.extents(), packets, nil
}

func (t Tool) packetsOf(ctx context.Context, s plan.Segment, guards []string, url string) (string, error) {
	seek, off := Opening(s, 0)
	args := append([]string{
		"-hide_banner", "-v", "error", "-nostdin", "-copyts",
		"-ss", seek.Decimal(), "-t", (off + s.Source.Rate.Duration(s.Span.Len()) + tags.Second + beyond).Decimal(),
	}, guards...)
	args = append(args, "-i", url, "-map", "0:"+strconv.Itoa(s.Source.Video))
	if s.Source.Audio >= 0 {
		args = append(args, "-map", "0:"+strconv.Itoa(s.Source.Audio))
	}
	args = append(args, "-c", "copy", "-copyinkf", "-f", "framehash", "-hash", "sha256", "pipe:1")
	sum := sha256.New()
	var said tail
	cause, err := t.start(ctx, process{name: t.FFmpeg, args: args, said: &said, read: func(stdout io.Reader, moved func()) error {
		_, err := io.Copy(io.MultiWriter(sum, writerFunc(moved)), stdout)
		return err
	}})
	if cause != nil || err != nil {
		return "", failure(cause, err, said.String())
	}
	if text := said.String(); text != "" {
		return "", &Error{Err: ErrComplained, Stderr: text}
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

// watched serves a file and remembers which bytes of it were sent.
type watched struct {
	file *os.File
	size int64

	mu   sync.Mutex
	sent []Extent
}

// ServeHTTP implements http.Handler.
func (w *watched) ServeHTTP(out http.ResponseWriter, r *http.Request) {
	out.Header().Set("Content-Type", "application/octet-stream")
	http.ServeContent(plainWriter{out}, r, "", time.Time{}, &watchedReader{watched: w})
}

// plainWriter keeps the server from sending the file by itself, unseen.
type plainWriter struct{ http.ResponseWriter }

func (w *watched) note(e Extent) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if n := len(w.sent); n > 0 && w.sent[n-1].End == e.Start {
		w.sent[n-1].End = e.End
		return
	}
	w.sent = append(w.sent, e)
}

// extents is what was sent, in order, none touching another.
func (w *watched) extents() []Extent {
	w.mu.Lock()
	defer w.mu.Unlock()
	slices.SortFunc(w.sent, func(a, b Extent) int { return cmp.Compare(a.Start, b.Start) })
	var all []Extent
	for _, e := range w.sent {
		if n := len(all); n > 0 && e.Start <= all[n-1].End {
			all[n-1].End = max(all[n-1].End, e.End)
		} else {
			all = append(all, e)
		}
	}
	return all
}

// watchedReader is the file for one request.
type watchedReader struct {
	*watched
	at int64
}

func (r *watchedReader) Read(p []byte) (int, error) {
	n, err := r.file.ReadAt(p, r.at)
	if n > 0 {
		r.note(Extent{r.at, r.at + int64(n)})
		r.at += int64(n)
		return n, nil
	}
	return n, err
}

func (r *watchedReader) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += r.at
	case io.SeekEnd:
		offset += r.size
	}
	r.at = offset
	return offset, nil
}

// shortListener has the system hold back little of what is sent, so that little is sent that is
// not read.
type shortListener struct{ net.Listener }

const heldBack = 16 << 10

func (l shortListener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if tcp, ok := c.(*net.TCPConn); ok {
		_ = tcp.SetWriteBuffer(heldBack) // else more is sent than is needed
	}
	return c, err
}
