package ffmpeg

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// landings is what decoders say when they start amid film whose groups of pictures are
// open, where pictures from before the start are missing, or amid a packet of sound. It
// may be said of damage, too.
var landings = []string{
	"mmco: unref short failure",
	"co located POCs unavailable",
	"Missing reference picture, default is",
	"reference picture missing during reorder",
	"number of reference frames",
	"illegal short term buffer state detected",
	"Could not find ref with POC",
	"decode_slice_header error",
	"Header missing",
}

// echoes are messages that only repeat the line before.
var echoes = []string{
	"Last message repeated",
	"Error while decoding stream",
	"Error submitting packet to decoder",
}

// Landing reports whether err is a complaint that says nothing but what is said where film
// is opened amid pictures or sound.
func Landing(err error) bool { return onlyComplains(err, landings...) }

// AboutStream reports whether err is a complaint that says nothing but that one stream of the
// input could not be decoded in places.
func AboutStream(err error, stream int) bool {
	return onlyComplains(err, fmt.Sprintf("stream #0:%d:", stream), fmt.Sprintf("ist#0:%d/", stream))
}

// onlyComplains reports whether err is a complaint, each line of which has one of parts in it.
func onlyComplains(err error, parts ...string) bool {
	var e *Error
	return errors.As(err, &e) && errors.Is(err, ErrComplained) && len(e.Stderr) < tailSize && onlySaid(e.Stderr, parts)
}

// onlySaid reports whether each line of text has one of parts in it, or says the line before
// over again.
func onlySaid(text string, parts []string) bool {
	said := false
	for line := range strings.Lines(text) {
		in := func(part string) bool { return strings.Contains(line, part) }
		if !slices.ContainsFunc(parts, in) && (!said || !slices.ContainsFunc(echoes, in)) {
			return false
		}
		said = true
	}
	return said
}

// ShownArgs compiles the arguments that write a hash of the film's pictures in the span of
// s to out, opening the film earlier than SegmentArgs does by more. Film is sound where
// the pictures are the same from wherever it was opened.
func ShownArgs(s plan.Segment, film string, more tags.Time, out string) ([]string, error) {
	g := newGraph(s)
	_, picture, _ := g.cut(s, film, more)
	return g.compile([]*stream{g.filter(picture, "null")}, out, options{
		"map_metadata": "-1", "c:v": "rawvideo", "threads": "1", "f": "hash", "hash": "sha256",
	})
}
