package render_test

import (
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/tags"
)

// Film of every kind that cameras and exchange bring is cut to the frame.
func TestKindsOfFilm(t *testing.T) {
	rate24, rate120 := tags.Rate{Num: 24000, Den: 1001}, tags.Rate{Num: 120, Den: 1}
	same := func(n tags.Frame) tags.Frame { return n }
	// Of every seven frames of variable film the third and the fifth are not there, so that
	// the one before stays on.
	const gaps = "select='not(eq(mod(n,7),3)+eq(mod(n,7),5))'"
	variable := func(n tags.Frame) tags.Frame {
		if n%7 == 3 || n%7 == 5 {
			return n - 1
		}
		return n
	}
	for name, c := range map[string]struct {
		short   bool // run each time
		rate    tags.Rate
		plays   int    // 0 is 4
		size    [2]int // painted; 0 is 320×180
		args    []string
		change  func(b *bench, path string) // of the finished file
		carries func(tags.Frame) tags.Frame
	}{
		"film rate.mov":    {rate: rate24},
		"high rate.mp4":    {rate: rate120},
		"4K.mp4":           {rate: rate5994, size: [2]int{640, 360}, args: []string{"-vf", "scale=3840:2160:flags=neighbor"}},
		"odd size.mkv":     {short: true, rate: rate25, size: [2]int{427, 241}, args: []string{"-pix_fmt", "yuv444p"}},
		"anamorphic.mp4":   {short: true, rate: rate2997, args: []string{"-vf", "setsar=4/3"}},
		"ten bit.mp4":      {rate: rate2997, args: []string{"-pix_fmt", "yuv420p10le"}},
		"high range.mp4":   {short: true, rate: rate2997, args: []string{"-vf", "format=yuv420p10le,setparams=color_primaries=bt2020:color_trc=arib-std-b67:colorspace=bt2020nc", "-pix_fmt", "yuv420p10le", "-color_primaries", "bt2020", "-color_trc", "arib-std-b67", "-colorspace", "bt2020nc"}},
		"interlaced.mts":   {short: true, rate: rate25, args: []string{"-flags", "+ildct+ilme", "-x264-params", "tff=1"}},
		"late.ts":          {short: true, rate: rate2997, plays: 20, args: []string{"-output_ts_offset", "10"}},
		"late.mp4":         {rate: rate2997, args: []string{"-output_ts_offset", "10"}},
		"programme.mpg":    {rate: rate25, plays: 20, args: []string{"-c:v", "mpeg2video", "-b:v", "4M", "-g", "15", "-bf", "2", "-c:a", "mp2", "-f", "vob"}},
		"exchange.mxf":     {rate: rate25, plays: 20, args: []string{"-c:v", "mpeg2video", "-b:v", "4M", "-g", "15", "-bf", "2", "-c:a", "pcm_s16le"}},
		"web.webm":         {rate: rate2997, args: []string{"-c:v", "libvpx", "-b:v", "1M", "-deadline", "realtime", "-cpu-used", "8", "-c:a", "libopus"}},
		"pictures.avi":     {rate: rate2997, args: []string{"-c:v", "mjpeg", "-bf", "0", "-q:v", "3", "-pix_fmt", "yuvj420p", "-c:a", "pcm_s16le"}},
		"HEVC.mkv":         {rate: rate25, args: []string{"-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none:keyint=250"}},
		"several.mov":      {rate: rate2997, args: []string{"-map", "0:v", "-map", "1:a", "-map", "1:a"}},
		"variable.mp4":     {short: true, rate: tags.Rate{Num: 30, Den: 1}, args: []string{"-vf", gaps, "-fps_mode", "vfr"}, carries: variable},
		"upright.mp4":      {short: true, rate: rate2997, args: []string{"-vf", "transpose=cclock"}, change: (*bench).turn},
		"edit list.mp4":    {short: true, rate: rate2997, change: (*bench).trimByCopy, carries: func(n tags.Frame) tags.Frame { return n + trimmed }},
		"timecode.mov":     {rate: rate2997, args: []string{"-timecode", "01:00:00;00"}},
		"fragmented.mp4":   {rate: rate2997, args: []string{"-movflags", "+frag_keyframe+empty_moov", "-g", "30"}},
		"without name.mp4": {rate: rate2997, args: []string{"-map_metadata", "-1"}},
	} {
		t.Run(name, func(t *testing.T) {
			brief.Only(t, c.short)
			t.Parallel()
			b := sharing(t)
			f := footage{name: name, width: 320, height: 180, rate: c.rate, frames: 120, sound: true, mux: c.args}
			if c.size[0] > 0 {
				f.width, f.height = c.size[0], c.size[1]
			}
			c.plays = fewer(cmp.Or(c.plays, 4), 3) // both ends, and one between
			if name == "4K.mp4" {
				f.frames, c.plays = 46, 1
			}
			path := b.film(f)
			if c.change != nil {
				c.change(b, path)
			}
			frames := b.frameCount(path)
			p := b.plan(b.season(map[string]string{"endzone": path}, plays(21, c.plays, frames, "endzone")), nil)
			if hdr := b.films[path].Colour.HDR(); hdr != (name == "high range.mp4") {
				t.Errorf("high dynamic range: %v", hdr)
			}
			reel, _ := b.make(p, "reel.mp4")
			carries := c.carries
			if carries == nil {
				carries = same
			}
			b.checkNumbers(p, reel, carries)
		})
	}
}

func (b *bench) frameCount(path string) tags.Frame {
	b.t.Helper()
	s, err := b.library.Source(context.Background(), path)
	if err != nil {
		b.t.Fatal(err)
	}
	return s.Frames
}

// turn lets a file say that its picture is to be turned by a quarter, clockwise: the
// matrix of its first track header (ISO/IEC 14496-12, 8.3.2).
func (b *bench) turn(path string) {
	b.t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		b.t.Fatal(err)
	}
	const one = 1 << 16
	matrix := func(m [9]uint32) []byte {
		var out []byte
		for _, v := range m {
			out = binary.BigEndian.AppendUint32(out, v)
		}
		return out
	}
	upright := matrix([9]uint32{one, 0, 0, 0, one, 0, 0, 0, 1 << 30})
	head := bytes.Index(data, []byte("tkhd"))
	at := head + bytes.Index(data[max(head, 0):], upright)
	if head < 0 || at < head {
		b.t.Fatal("no matrix in the track's header")
	}
	const minusOne = 0xffff << 16
	copy(data[at:], matrix([9]uint32{0, one, 0, minusOne, 0, 0, 180 * one, 0, 1 << 30}))
	if err := os.WriteFile(path, data, 0o666); err != nil {
		b.t.Fatal(err)
	}
}

// trimmed is how many frames trimByCopy takes off the start.
const trimmed = 36

// trimByCopy cuts the start off without coding anew: the frames before the cut stay in the
// file, and an edit list hides them.
func (b *bench) trimByCopy(path string) {
	b.t.Helper()
	whole := filepath.Join(b.dir, "whole.mp4")
	if err := os.Rename(path, whole); err != nil {
		b.t.Fatal(err)
	}
	err := b.maker.Tool.Run(context.Background(), []string{"-ss", rate2997.Duration(trimmed).Decimal(), "-i", "file:" + whole, "-c", "copy", "file:" + path}, nil, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	report, err := b.maker.Tool.Probe(context.Background(), path)
	if err != nil {
		b.t.Fatal(err)
	}
	hidden := func(p ffmpeg.Packet) bool { return strings.Contains(p.Flags, "D") }
	if !slices.ContainsFunc(report.Packets, hidden) {
		b.t.Fatal("the file hides no frame, so it proves nothing")
	}
}

// VP9 of ten bits whose pictures that are never shown are stored by themselves shows each
// frame once.
func TestPicturesThatAreNeverShown(t *testing.T) {
	brief.Only(t, false)
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "whole.mp4", width: 320, height: 180, rate: rate2997, frames: 120})
	joined := filepath.Join(b.dir, "joined.webm")
	for _, pass := range []string{"1", "2"} { // in one pass there are none
		args := []string{"-i", "file:" + path, "-pix_fmt", "yuv420p10le", "-c:v", "libvpx-vp9", "-b:v", "1M", "-auto-alt-ref", "1", "-lag-in-frames", "25", "-cpu-used", "5", "-g", "250", "-pass", pass, "-passlogfile", filepath.Join(b.dir, "pass"), "file:" + joined}
		if err := b.maker.Tool.Run(context.Background(), args, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	for _, suffix := range []string{"webm", "mp4"} {
		parted := b.remux(joined, "parted."+suffix, "-bsf:v", "vp9_superframe_split", "-fflags", "-autobsf")
		p := b.plan(b.season(map[string]string{"endzone": parted}, "  - {play: 1, in: f0, out: f65}\n  - {play: 2, in: f70, out: f118}\n"), nil)
		reel, _ := b.make(p, suffix+"-reel.mp4")
		b.checkFrames(p, reel)
	}
}
