package ffmpeg

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Keys is where film can be parted around a span, in times from the container's start.
type Keys struct {
	Start  tags.Time  // when the last key picture at or before the span is shown
	End    tags.Time  // when the first one at or after its Out is decoded, or past the end of the film
	Frames tags.Frame // how many pictures are stored between the two
}

// KeysAround is where film can be parted around span.
func (t Tool) KeysAround(ctx context.Context, src plan.Source, film string, span tags.Span) (Keys, error) {
	in, out := src.Clock().At(span.In), src.Clock().At(span.Out)
	first := tags.Time(0) // of the container, once that is known
	back, ahead := tags.Second, mostBetweenKeys
	for {
		from := max(in-back, 0)
		p, err := t.packetsBetween(ctx, src, film, first+from, first+out+ahead)
		if err != nil {
			return Keys{}, err
		}
		k, before, after := p.keys(in, out)
		switch {
		case p.first != first:
			first = p.first
		case !before && from > 0: // a film without an index is opened anywhere
			back *= 4
		case !after && out+ahead < src.Clock().At(src.Frames):
			ahead *= 4
		default:
			if !before {
				k.Start = in
			}
			if !after {
				k.End = src.Clock().At(src.Frames) + tags.Second
			}
			return k, nil
		}
	}
}

// mostBetweenKeys is how far behind a span the next key picture is looked for at first.
const mostBetweenKeys = 20 * tags.Second

// packetList is packets of one stream as they are stored, in times from the container's
// start.
type packetList struct {
	first   tags.Time // of the container
	packets []timed
}

type timed struct {
	pts, dts tags.Time
	key      bool
}

// keys is what the list tells of a span, and whether the key pictures before and after it
// are in the list.
func (p packetList) keys(in, out tags.Time) (k Keys, before, after bool) {
	for _, packet := range p.packets {
		if packet.key && packet.pts <= in+tags.Millisecond {
			k, before = Keys{Start: packet.pts}, true
		}
		if packet.key && packet.pts >= out-tags.Millisecond {
			k.End = packet.dts
			return k, before, true
		}
		k.Frames++
	}
	return k, before, false
}

// packetsBetween is the packets of a film's pictures between two times on its own clock.
func (t Tool) packetsBetween(ctx context.Context, src plan.Source, path string, from, to tags.Time) (packetList, error) {
	var report struct {
		Format struct {
			Start json.Number `json:"start_time"`
		}
		Packets []struct {
			PTS, DTS *int64
			Flags    string
		}
	}
	if err := t.ask(ctx, path, &report, "-v", "error",
		"-select_streams", strconv.Itoa(src.Video), "-read_intervals", from.Decimal()+"%"+to.Decimal(),
		"-show_entries", "format=start_time:packet=pts,dts,flags"); err != nil {
		return packetList{}, err
	}
	first, err := report.Format.Start.Float64()
	if err != nil {
		first = 0
	}
	list := packetList{first: tags.Time(first * float64(tags.Second))}
	for _, p := range report.Packets {
		switch {
		case p.PTS == nil:
			continue
		case p.DTS == nil: // Matroska's first ones, after a seek
			p.DTS = p.PTS
		}
		since := func(ticks int64) tags.Time { return src.Ticks.Duration(tags.Frame(ticks)) - list.first }
		list.packets = append(list.packets, timed{since(*p.PTS), since(*p.DTS), strings.HasPrefix(p.Flags, "K")})
	}
	return list, nil
}

// CopyArgs compiles the arguments that copy the film of s at path to out without coding it anew,
// from the first key picture behind seek on until end. Film with an index is opened at the
// key picture before seek, so that out holds frames before it.
func CopyArgs(s plan.Segment, path string, seek, end tags.Time, out string) ([]string, error) {
	guards, in, err := film(path)
	if err != nil {
		return nil, err
	}
	to, err := fileURL(out)
	if err != nil {
		return nil, err
	}
	src := s.Source
	args := append(guards,
		"-ss", seek.Decimal(), "-t", (end - seek).Decimal(), "-i", in,
		"-map", "0:"+strconv.Itoa(src.Video), "-c:v", "copy",
	)
	if src.Audio >= 0 {
		args = append(args, "-map", "0:"+strconv.Itoa(src.Audio), "-c:a", "pcm_s16le", "-ar", strconv.Itoa(plan.SampleRate), "-ac", "2")
	}
	return append(args, "-avoid_negative_ts", "make_zero", "-map_metadata", "-1", "-map_chapters", "-1", "-f", "mov", to), nil
}

// QuickJoinArgs compiles the arguments that join copied film: pictures are copied, the
// sound, where there is any, is encoded once, and labels are a track of text.
func QuickJoinArgs(j Join, labels string) ([]string, error) {
	var urls [4]string
	for i, path := range []string{j.List, j.Metadata, labels, j.Out} {
		var err error
		if urls[i], err = fileURL(path); err != nil {
			return nil, err
		}
	}
	args := []string{
		"-protocol_whitelist", protocols, "-f", "concat", "-safe", "0", "-i", urls[0],
		"-protocol_whitelist", protocols, "-f", "ffmetadata", "-i", urls[1],
		"-protocol_whitelist", protocols, "-f", "srt", "-i", urls[2],
		"-map", "0:v", "-c:v", "copy", "-map", "2:s", "-c:s", "mov_text",
	}
	if j.Sound {
		args = append(args, "-map", "0:a", "-c:a", "aac", "-b:a", "160k")
	}
	return append(args, "-map_metadata", "1", "-map_chapters", "1", "-movflags", "+faststart", "-f", "mp4", urls[3]), nil
}
