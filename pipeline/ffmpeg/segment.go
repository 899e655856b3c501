package ffmpeg

import (
	"cmp"
	"fmt"
	"maps"
	"strconv"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Slots is where the parts of a segment lie on the machine that renders it.
type Slots struct {
	Film     string    // plan.Film: the source
	Below    string    // likewise, the source of the film below it, where there is one
	Card     string    // plan.Slate: the card as PNG
	Overlays []Overlay // a picture for each layer
	Out      string    // the segment's movie, QuickTime with PCM sound

	// How much earlier than their sources say the two films are opened.
	Earlier, EarlierBelow tags.Time
	// Silent puts silence in the place of the film's sound, which cannot be decoded.
	Silent bool
}

// Overlay is a PNG shown over the picture with its top left corner at X, Y, for Span in
// frames of the segment.
type Overlay struct {
	Path string
	X, Y int
	Span tags.Span
	// States is how many pictures, each Height pixels tall, the PNG holds one below the other:
	// one is shown after the other from the start of Span on, and the last stays. 0 is one.
	States, Height int
	// Way is where its corner goes, in order of frames: it moves evenly between two. Empty is
	// nowhere from X, Y.
	Way []plan.RingKey
	// Ease is over how many frames the picture comes up and goes; 0 is at once.
	Ease tags.Frame
}

// SegmentArgs compiles the arguments that render s.
func SegmentArgs(s plan.Segment, slots Slots) ([]string, error) {
	g := newGraph(s)
	picture, sound, err := g.segment(s, slots)
	if err != nil {
		return nil, err
	}
	return g.compile([]*stream{picture, sound}, slots.Out, segmentOptions(s))
}

// newGraph is for what is made of s.
func newGraph(s plan.Segment) *graph {
	return &graph{loose: s.Source != nil && s.Source.Loose || s.Below != nil && s.Below.Source.Loose}
}

// looseTimes is the options that keep ffmpeg from correcting the times of film: what it
// takes for jumps it moves by parts of a frame. Times then are those of the container's own
// clock, and do not count from where the film is opened.
var looseTimes = []string{"-copyts"}

// opened is when a film that is opened at seek starts, as ffmpeg counts.
func (g *graph) opened(src plan.Source, seek tags.Time) tags.Time {
	if !g.loose {
		return 0
	}
	return src.Zero + seek
}

// fromSeek is sound whose times count from where the film was opened.
func (g *graph) fromSeek(sound *stream, src plan.Source, seek tags.Time) *stream {
	if !g.loose {
		return sound
	}
	return g.filter(sound, "asetpts", "PTS-"+g.opened(src, seek).Decimal()+"/TB")
}

func (g *graph) segment(s plan.Segment, slots Slots) (picture, sound *stream, err error) {
	switch s.Kind {
	case plan.Film:
		picture, sound = g.film(s, slots)
	case plan.Slate:
		picture, sound = g.card(s, slots.Card)
	default:
		return nil, nil, fmt.Errorf("compile a segment: unknown kind %q", s.Kind)
	}
	for _, o := range slots.Overlays {
		x, y := o.corner(s.House.Rate)
		picture = g.combine([]*stream{picture, g.overlay(o, s)}, "overlay",
			"x="+x, "y="+y, fmt.Sprintf("enable=gte(n,%d)*lt(n,%d)", o.Span.In, o.Span.Out))
	}
	picture = g.filter(picture, "setsar", "1") // said on every segment, or they cannot be joined
	return g.handOver(picture, s.Encoder), sound, nil
}

// corner is where the corner of o is at a frame, as sums of steps. The frame is worked out from its
// time: what overlay calls n in a place is not the n of enable.
func (o Overlay) corner(rate tags.Rate) (x, y string) {
	if len(o.Way) == 0 {
		return strconv.Itoa(o.X), strconv.Itoa(o.Y)
	}
	frame := fmt.Sprintf("0*st(0,floor(t*%d/%d+0.5))", rate.Num, rate.Den)
	x, y = fmt.Sprintf("%s%+d", frame, o.Way[0].At.X), fmt.Sprintf("%s%+d", frame, o.Way[0].At.Y)
	for i, k := range o.Way[1:] {
		before := o.Way[i]
		x += step("ld(0)", before.Frame, k.Frame, k.At.X-before.At.X)
		y += step("ld(0)", before.Frame, k.Frame, k.At.Y-before.At.Y)
	}
	return x, y
}

// step is a term that goes evenly from 0 to by while the frame goes from one to another.
func step(frame string, from, to tags.Frame, by int) string {
	if by == 0 {
		return ""
	}
	return fmt.Sprintf("%+d*min(max(%s-%d,0),%d)/%d", by, frame, from, to-from, to-from)
}

// overlay reads the picture of o. It is put in the film's colours once, and from there on
// only moved: a picture that changes is one tall picture seen through a window.
func (g *graph) overlay(o Overlay, s plan.Segment) *stream {
	in := g.filter(g.picture(o.Path), "scale", "out_color_matrix=bt709", "out_range=tv")
	in = g.filter(in, "format", "yuva420p")
	if o.States <= 1 && o.Ease == 0 {
		return in
	}
	in = g.stand(in, s.House.Rate, s.Frames())
	if o.States > 1 {
		in = g.filter(in, "crop", "w=iw", fmt.Sprintf("h=%d", o.Height), "x=0",
			fmt.Sprintf("y=%d*min(max(n-%d,0),%d)", o.Height, o.Span.In, o.States-1))
	}
	if o.Ease > 0 {
		in = g.filter(in, "fade", "type=in", fmt.Sprintf("start_frame=%d", o.Span.In), fmt.Sprintf("nb_frames=%d", o.Ease), "alpha=1")
		in = g.filter(in, "fade", "type=out", fmt.Sprintf("start_frame=%d", o.Span.Out-o.Ease), fmt.Sprintf("nb_frames=%d", o.Ease), "alpha=1")
	}
	return in
}

// stand repeats a single picture at rate, for as many frames.
func (g *graph) stand(in *stream, rate tags.Rate, frames tags.Frame) *stream {
	in = g.filter(in, "loop", "loop=-1", "size=1")
	in = g.filter(in, "settb", fmt.Sprintf("%d/%d", rate.Den, rate.Num))
	in = g.fps(g.filter(in, "setpts", "N"), rate)
	return g.filter(in, "trim", fmt.Sprintf("end_frame=%d", frames))
}

// Opening is where the film of s is opened, counted from the container's start, and how far
// behind that its span starts: its preroll before the span, and earlier by as much as given.
// It lies on a tick of the film's own time.
func Opening(s plan.Segment, earlier tags.Time) (seek, off tags.Time) {
	at := s.Source.Clock().At(s.Span.In)
	seek = open(*s.Source, at, earlier)
	return seek, at - seek
}

func open(src plan.Source, at, earlier tags.Time) tags.Time {
	return src.Ticks.Duration(src.Ticks.Floor(max(at-max(src.Preroll, tags.Second/10)-earlier, 0)))
}

// guard is how much later than its turn a frame of src may come. At constant rate a quarter
// of a frame makes up for time bases too coarse for the rate, at variable rate what the
// film's own ticks were rounded by.
func guard(src plan.Source) tags.Time {
	quarter := src.Rate.Duration(1) / 4
	if src.Variable {
		return min(max(src.Ticks.Duration(1)/2, tags.Millisecond/1000), quarter)
	}
	return quarter
}

// cut opens a film before the span of s and finds the frames of the span. The seek lands on
// a tick of the film's own time; the frames are then put on the grid of the film's rate,
// where the span's first frame is 0, in flicks, so that nothing is rounded on the way.
//
// The grid begins with the first picture that was decoded. Where that comes after the start
// of the span, the frames before it are not made up: there are fewer than the span has.
func (g *graph) cut(s plan.Segment, path string, earlier tags.Time) (in, picture *stream, off tags.Time) {
	src := s.Source
	seek, off := Opening(s, earlier)
	length := src.Rate.Duration(s.Span.Len())
	opening := options{
		"ss":      seek.Decimal(),
		"t":       (off + length + tags.Second).Decimal(),
		"threads": cmp.Or(g.threads, "1"),
	}
	if g.rough {
		opening["skip_loop_filter"] = "noref"
	}
	in = g.input(path, filmFormats, opening)

	picture = in.Get(strconv.Itoa(src.Video))
	if src.Interlaced {
		picture = g.filter(picture, "bwdif", "mode=send_frame", "deint=interlaced")
	}
	picture = g.filter(picture, "settb", fmt.Sprintf("1/%d", tags.Second))
	picture = g.filter(picture, "setpts", fmt.Sprintf("PTS-%d", g.opened(*src, seek)+off+guard(*src)))
	picture = g.fps(picture, src.Rate)
	return in, g.filter(picture, "trim", "start_pts=0", fmt.Sprintf("end_pts=%d", s.Span.Len())), off
}

// film is the span of a film at the house's size and rate, with its sound.
func (g *graph) film(s plan.Segment, slots Slots) (picture, sound *stream) {
	src := s.Source
	in, picture, off := g.cut(s, slots.Film, slots.Earlier)
	if !s.Speed.Normal() {
		picture = g.filter(picture, "settb", fmt.Sprintf("1/%d", tags.Second))
		picture = g.filter(picture, "setpts", fmt.Sprintf("PTS*%d/%d", s.Speed.Den, s.Speed.Num))
	}
	if src.Rate != s.House.Rate || !s.Speed.Normal() {
		picture = g.fps(picture, s.House.Rate)
	}
	if s.Pan != nil {
		picture = g.pan(g.last(picture, s), s)
	} else {
		picture = g.fit(g.last(picture, s), *src, s.Fit)
	}
	if s.Below != nil {
		picture = g.stack(picture, s, slots)
	} else if s.Fit.Width != s.House.Width || s.Fit.Height != s.House.Height {
		picture = g.pad(picture, s.House.Width, s.House.Height, s.Fit.X, s.Fit.Y)
	}
	if s.Hold > 0 {
		picture = g.stand(picture, s.House.Rate, s.Hold)
	}

	// Slowed sound is a groan, and of a still there is none.
	if src.Audio < 0 || slots.Silent || s.Hold > 0 || !s.Speed.Normal() {
		return picture, g.silence(s)
	}
	seek, _ := Opening(s, slots.Earlier)
	sound = g.fromSeek(in.Get(strconv.Itoa(src.Audio)), *src, seek)
	sound = g.filter(sound, "aresample", strconv.Itoa(plan.SampleRate), "async=1", "first_pts=0")
	sound = g.filter(sound, "aformat", "channel_layouts=stereo")
	sound = g.filter(sound, "atrim", "start="+off.Decimal())
	sound = g.filter(sound, "asetpts", "PTS-STARTPTS")
	sound = g.filter(sound, "apad", fmt.Sprintf("whole_len=%d", s.Samples()))
	sound = g.filter(sound, "atrim", fmt.Sprintf("end_sample=%d", s.Samples()))
	return picture, g.soften(sound, s.Samples())
}

// mostMissing is how many of its last frames a sound film may lack, though its tables have
// them. Some cameras write such film.
const mostMissing = 4

// last ends a picture with the last frame of s. The frame before stands for those that are
// missing; more than a few made up would hide that the film is shorter than it says. Slowed,
// each frame has more.
func (g *graph) last(in *stream, s plan.Segment) *stream {
	if s.Hold > 0 {
		return in
	}
	missing := int64(s.Speed.Shown(mostMissing))
	if s.Damaged { // which was told
		missing = int64(s.Frames())
	}
	in = g.filter(in, "tpad", "stop_mode=clone", fmt.Sprintf("stop=%d", missing))
	// By time, or these would stand for frames that are missing at the start.
	return g.filter(in, "trim", fmt.Sprintf("end_pts=%d", s.Frames()))
}

// fit is film of src in the size and the colours of the house.
func (g *graph) fit(in *stream, src plan.Source, f plan.Fit) *stream {
	return g.filter(g.colour(in, src), "scale", fmt.Sprintf("w=%d", f.Width), fmt.Sprintf("h=%d", f.Height), "flags=bicubic+accurate_rnd+full_chroma_int+bitexact",
		"in_color_matrix="+matrix(src), "out_color_matrix=bt709", "out_range=tv")
}

// pan is the part of the film's picture that s shows. Its place is a sum of steps, one a
// stretch between keys, which ffmpeg computes for each frame.
func (g *graph) pan(in *stream, s plan.Segment) *stream {
	whole := s.Fit
	whole.Width = s.Pan.Width
	x := strconv.Itoa(s.Pan.Keys[0].X)
	for i, k := range s.Pan.Keys[1:] {
		x += step("n", s.Pan.Keys[i].At, k.At, k.X-s.Pan.Keys[i].X)
	}
	return g.filter(g.fit(in, *s.Source, whole), "crop", fmt.Sprintf("w=%d", s.Fit.Width), fmt.Sprintf("h=%d", s.Fit.Height), "x="+x, "y=0")
}

func (g *graph) pad(in *stream, width, height, x, y int) *stream {
	return g.filter(in, "pad", fmt.Sprintf("w=%d", width), fmt.Sprintf("h=%d", height), fmt.Sprintf("x=%d", x), fmt.Sprintf("y=%d", y))
}

// stack puts the film below under the picture of the first, whole, in step with it: each
// tick of the house shows the frame of either film that is on then. It ends with the
// shorter, so that a film that is shorter than it says is found out.
func (g *graph) stack(above *stream, s plan.Segment, slots Slots) *stream {
	b := s.Below
	_, picture, _ := g.cut(plan.Segment{Source: b.Source, Span: b.Span}, slots.Below, slots.EarlierBelow)
	if s.Hold == 0 && (b.Source.Rate != s.House.Rate || b.Into > 0 || !s.Speed.Normal()) {
		picture = g.filter(picture, "settb", fmt.Sprintf("1/%d", tags.Second))
		// The first frame may have begun before the segment.
		picture = g.filter(picture, "setpts", fmt.Sprintf("max(PTS-%d,0)*%d/%d", b.Into, s.Speed.Den, s.Speed.Num))
		picture = g.fps(picture, s.House.Rate)
	}
	picture = g.fit(g.last(picture, s), *b.Source, b.Fit)
	// One way to count pictures and one way to keep colours, or they cannot be put together.
	halves := []*stream{
		g.pad(g.filter(above, "format", "yuv420p"), s.House.Width, b.Fit.Y, s.Fit.X, s.Fit.Y),
		g.pad(g.filter(picture, "format", "yuv420p"), s.House.Width, s.House.Height-b.Fit.Y, b.Fit.X, 0),
	}
	return g.combine(halves, "vstack", "inputs=2", "shortest=1")
}

// fps puts frames on the grid of r: each tick from the first frame on shows the last frame
// at or before it.
func (g *graph) fps(in *stream, r tags.Rate) *stream {
	return g.filter(in, "fps", "fps="+r.String(), "round=up")
}

// How many samples a segment's sound takes to come up and to go: slow enough not to click,
// and as film gives way to another place or to a picture that stands, not to break off.
const (
	comesUp = plan.SampleRate / 50
	goes    = plan.SampleRate / 8
)

func (g *graph) soften(sound *stream, samples int64) *stream {
	if samples < 4*goes {
		return sound
	}
	sound = g.filter(sound, "afade", "type=in", "start_sample=0", fmt.Sprintf("nb_samples=%d", comesUp))
	return g.filter(sound, "afade", "type=out", fmt.Sprintf("start_sample=%d", samples-goes), fmt.Sprintf("nb_samples=%d", goes))
}

// matrix is the film's colour matrix: where it does not say, small pictures are taken
// for BT.601 and large ones for BT.709 (common practice).
func matrix(src plan.Source) string {
	switch m := src.Colour.Matrix; {
	case src.Colour.HDR():
		return "bt709" // as colour leaves it
	case m == "bt709" || m == "smpte240m":
		return m
	case m == "bt2020nc":
		return "bt2020"
	case m == "bt470bg" || m == "smpte170m" || m == "fcc":
		return "bt601"
	case src.Width < 1280 && src.Height < 720:
		return "bt601"
	default:
		return "bt709"
	}
}

// ToneFilters are the filters that film of high dynamic range needs, which not every
// ffmpeg is built with.
var ToneFilters = []string{"zscale", "tonemap"}

// colour brings film of high dynamic range down to what a meeting room's screen shows.
func (g *graph) colour(in *stream, src plan.Source) *stream {
	if !src.Colour.HDR() {
		return in
	}
	in = g.filter(in, "zscale", "transfer=linear", "npl=100")
	in = g.filter(in, "format", "gbrpf32le")
	in = g.filter(in, "zscale", "primaries=bt709")
	in = g.filter(in, "tonemap", "tonemap=hable", "desat=0")
	in = g.filter(in, "zscale", "transfer=bt709", "matrix=bt709", "range=limited")
	return g.filter(in, "format", "yuv420p")
}

// card holds a slate for the length of s.
func (g *graph) card(s plan.Segment, path string) (picture, sound *stream) {
	picture = g.filter(g.picture(path), "scale", "out_color_matrix=bt709", "out_range=tv")
	picture = g.filter(picture, "format", "yuv420p")
	return g.stand(picture, s.House.Rate, s.Hold), g.silence(s)
}

func (g *graph) silence(s plan.Segment) *stream {
	in := g.open("anullsrc=r="+strconv.Itoa(plan.SampleRate)+":cl=stereo", "lavfi", options{"f": "lavfi"})
	return g.filter(in, "atrim", fmt.Sprintf("end_sample=%d", s.Samples()))
}

// segmentOptions make movies that can be joined by copy and that are the same bytes for
// the same input: one thread, no dates, no names of machines.
func segmentOptions(s plan.Segment) options {
	rate := s.House.Rate
	o := options{
		"f":                      "mov",
		"threads":                "1",
		"g":                      strconv.FormatInt(2*rate.Nominal(), 10),
		"video_track_timescale":  strconv.FormatInt(rate.Num, 10),
		"color_range":            "tv",
		"colorspace":             "bt709",
		"color_primaries":        "bt709",
		"color_trc":              "bt709",
		"chroma_sample_location": "left", // or film that has it elsewhere cannot be joined
		"c:a":                    "pcm_s16le",
		"map_metadata":           "-1",
		"map_chapters":           "-1",
		"fflags":                 "+bitexact",
		"flags:v":                "+bitexact",
		"flags:a":                "+bitexact",
		"abort_on":               "empty_output",
	}
	maps.Copy(o, encoderOptions(s.Encoder))
	return o
}
