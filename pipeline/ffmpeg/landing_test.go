package ffmpeg

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// What ffmpeg 5.1 said of sound film opened amid it, and of damaged film.
func TestLanding(t *testing.T) {
	const missing = "[h264 @ 0x55] reference picture missing during reorder\n"
	for name, c := range map[string]struct {
		err  error
		want bool
	}{
		"open group":        {&Error{Err: ErrComplained, Stderr: "[h264 @ 0x55] co located POCs unavailable\n    Last message repeated 1 times\n" + missing}, true},
		"sound":             {&Error{Err: ErrComplained, Stderr: "[mp2 @ 0x55] Header missing\nError while decoding stream #0:1: Invalid data found when processing input\n"}, true},
		"wrapped":           {fmt.Errorf("a clip: %w", &Error{Err: ErrComplained, Stderr: missing}), true},
		"damaged":           {&Error{Err: ErrComplained, Stderr: missing + "[h264 @ 0x55] Invalid NAL unit size (1 > 0).\n"}, false},
		"only an echo":      {&Error{Err: ErrComplained, Stderr: "Error while decoding stream #0:0: Invalid data found when processing input\n"}, false},
		"more than is kept": {&Error{Err: ErrComplained, Stderr: strings.Repeat(missing, tailSize)[:tailSize]}, false},
		"failed":            {&Error{Err: errors.New("exit status 1"), Stderr: missing}, false},
		"another":           {errors.New(missing), false},
	} {
		if got := Landing(c.err); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// What ffmpeg 8.0 says of Opus at its end alone, and beside it of other damage.
func TestOpusEnd(t *testing.T) {
	const end = "[opus @ 0x55556d4d8800] Error parsing Opus packet header.\n"
	for said, want := range map[string]bool{
		end:       true,
		end + end: true,
		"[opus @ 0x55] Error parsing the packet header.\n" + end:                 false, // by the decoder, of a packet
		end + "[matroska,webm @ 0x55] Element at 0x63af exceeds its container\n": false,
	} {
		if got := OpusEnd(&Error{Err: ErrComplained, Stderr: said}); got != want {
			t.Errorf("%q: %v, want %v", said, got, want)
		}
	}
	if OpusEnd(nil) {
		t.Error("where nothing was said it is taken for a complaint")
	}
}

// What ffmpeg 5.1 says of sound that is opened amid a packet, and what newer ones do (from memory).
func TestAboutStream(t *testing.T) {
	complaint := func(said string) error { return fmt.Errorf("a clip: %w", &Error{Err: ErrComplained, Stderr: said}) }
	for said, want := range map[string]bool{
		"Error while decoding stream #0:2: Invalid data found when processing input\n":                                        true,
		"[aist#0:2/ac3 @ 0x55] [dec:ac3 @ 0x56] Error submitting packet to decoder: Invalid data found when processing input": true,
		"Error while decoding stream #0:1: Invalid data found when processing input\n":                                        false,
		"Error while decoding stream #0:21: Invalid data found when processing input\n":                                       false,
		"Error while decoding stream #0:2: Invalid data\n[mov @ 0x55] Packet is too large\n":                                  false,
	} {
		if got := AboutStream(complaint(said), 2); got != want {
			t.Errorf("%q: %v, want %v", said, got, want)
		}
	}
	if AboutStream(errors.New("exit status 1"), 2) {
		t.Error("a failed run is a complaint")
	}
}
