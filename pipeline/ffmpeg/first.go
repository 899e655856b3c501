package ffmpeg

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
)

// First returns the time, in the stream's ticks, of the first picture of a stream that a decoder
// gives, or with key of the first key picture. It reads only the stream's first packets, as many as
// given; found is false where they give no such picture. Complaints of the decoder are no error.
func (t Tool) First(ctx context.Context, path string, stream, packets int, key bool) (ticks int64, found bool, err error) {
	found, err = t.decoded(ctx, path, stream, packets, func(p picture) bool {
		at := p.at()
		if at == nil || p.Key != 1 && key {
			return false
		}
		ticks = *at
		return true
	})
	return ticks, found, err
}

// Interlaced reports whether the first picture of a stream that a decoder gives is one of two
// fields, and false where there is none among its first packets.
func (t Tool) Interlaced(ctx context.Context, path string, stream int) (bool, error) {
	interlaced := false
	_, err := t.decoded(ctx, path, stream, 30, func(p picture) bool {
		interlaced = p.Interlaced == 1
		return true
	})
	return interlaced, err
}

// picture is what ffprobe says of a decoded picture.
type picture struct {
	Key        int    `json:"key_frame"`
	Interlaced int    `json:"interlaced_frame"`
	PTS        *int64 `json:"pts"`
	PacketPTS  *int64 `json:"pkt_pts"` // where ffmpeg 4.4 says it, which does not say pts
}

// pictures is ffprobe's list of them.
type pictures struct{ Frames []picture }

// at is when a picture is shown, nil where that is not said.
func (p picture) at() *int64 { return cmp.Or(p.PTS, p.PacketPTS) }

// decoded shows the pictures that a decoder gives of a stream's first packets until one is chosen.
func (t Tool) decoded(ctx context.Context, path string, stream, packets int, choose func(picture) bool) (found bool, err error) {
	var r pictures
	err = t.ask(ctx, path, &r, "-v", "quiet", "-threads", "1",
		"-select_streams", strconv.Itoa(stream), "-read_intervals", fmt.Sprintf("%%+#%d", packets),
		"-show_entries", "frame=key_frame,interlaced_frame,pts,pkt_pts")
	return slices.ContainsFunc(r.Frames, choose), err
}
