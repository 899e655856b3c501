package ffmpeg

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

var update = flag.Bool("update", false, "write the golden files anew")

var (
	ntsc  = tags.Rate{Num: 30000, Den: 1001}
	house = plan.House{Width: 1280, Height: 720, Rate: ntsc}
	x264  = plan.Encoder{Codec: "libx264", Preset: "veryfast", CRF: 20}
)

func filmSegment() plan.Segment {
	src := plan.Source{Rate: ntsc, Ticks: tags.Rate{Num: 30000, Den: 1}, Frames: 10_000, Width: 1920, Height: 1080, Video: 0, Audio: 1, Preroll: tags.Second / 10}
	return plan.Segment{
		Kind: plan.Film, House: house, Source: &src, Span: tags.Span{In: 300, Out: 450},
		Fit: plan.Letterbox(1920, 1080, house), Speed: plan.Speed{Num: 1, Den: 1}, Encoder: x264,
	}
}

// Film of several parts is opened as one stream, by readers of streams alone; no other input may
// name more than the one file.
func TestOpening(t *testing.T) {
	for _, c := range []struct {
		parts              []string
		open, readers, url string
	}{
		{[]string{"/film/a|b.mp4"}, "file,pipe", filmFormats, "file:/film/a|b.mp4"},
		{[]string{"/film/1.mts", "/film/-2 100%.mts"}, "concat,file,pipe", "mpegts,mpeg", "concat:file:/film/1.mts|file:/film/-2 100%.mts"},
	} {
		guards, url, err := film(files.Whole(c.parts))
		if got, want := append(guards, url), []string{"-protocol_whitelist", c.open, "-format_whitelist", c.readers, c.url}; err != nil || !cmp.Equal(got, want) {
			t.Errorf("%q is opened by %q, %v, want %q", c.parts, got, err, want)
		}
	}
	if _, url, err := film(files.Whole([]string{"/film/1.mts", "/film/2|file:/etc/passwd"})); err == nil {
		t.Errorf("a name with | is opened as %q", url)
	}
	s := filmSegment()
	args, err := SegmentArgs(s, Slots{Film: files.Whole([]string{"/film/1.vob", "/film/2.vob"}), Out: "/out.mov"})
	if all := strings.Join(args, "\n"); err != nil || !strings.Contains(all, "\nconcat,file,pipe\n") || !strings.Contains(all, "\nconcat:file:/film/1.vob|file:/film/2.vob\n") {
		t.Errorf("a segment of it is cut by %q, %v", args, err)
	}
}

func TestSegmentArgs(t *testing.T) {
	plain := filmSegment()

	labelled := filmSegment()
	labels := []Overlay{
		{Path: "/segments/layer0.png", X: 64, Y: 600, Span: tags.Span{In: 0, Out: 120}},
		{Path: "/segments/layer1.png", X: 600, Y: 64, Span: tags.Span{In: 120, Out: 150}},
	}

	slow := filmSegment()
	slow.Speed = plan.Speed{Num: 3, Den: 4}
	clock := []Overlay{{Path: "/segments/clock.png", X: 1000, Y: 36, Span: tags.Span{In: 30, Out: 200}, States: 90, Height: 64}}

	still := filmSegment()
	still.Span, still.Hold = tags.Span{In: 300, Out: 301}, 60
	arrow := []Overlay{{Path: "/segments/arrow.png", X: 10, Y: 20, Span: tags.Span{In: 0, Out: 60}, Ease: 7}}

	ring := []Overlay{{Path: "/segments/ring.png", X: 10, Y: 20, Span: tags.Span{In: 5, Out: 40}, Ease: 7, Way: []plan.RingKey{
		{Frame: 5, At: plan.Spot{X: 10, Y: 20}}, {Frame: 8, At: plan.Spot{X: 16, Y: 20}}, {Frame: 11, At: plan.Spot{X: -3, Y: 26}},
	}}}

	odd := filmSegment()
	src := *odd.Source
	src.Rate, src.Variable, src.Interlaced, src.Audio = tags.Rate{Num: 25, Den: 1}, true, true, -1
	src.Width, src.Height, src.Preroll = 720, 576, 3*tags.Second
	src.Colour.Transfer = "arib-std-b67"
	odd.Source, odd.Fit = &src, plan.Letterbox(720, 576, house)

	hard := func(encoder string) plan.Segment {
		s := filmSegment()
		s.Encoder = s.Encoder.With(encoder)
		return s
	}
	// Two angles by turns in one film.
	stacked, below := filmSegment(), *plain.Source
	below.Rate, below.Ticks, below.Width, below.Height = tags.Rate{Num: 25, Den: 1}, tags.Rate{Num: 12_800, Den: 1}, 1280, 720
	stacked.House, stacked.Fit = plan.House{Width: 540, Height: 960, Rate: ntsc}, plan.Fit{X: 0, Y: 152, Width: 540, Height: 302}
	stacked.Below = &plan.Below{Source: &below, Span: tags.Span{In: 700, Out: 826}, Into: tags.Second / 100, Fit: plan.Fit{X: 0, Y: 456, Width: 540, Height: 302}}

	panned := filmSegment()
	panned.House, panned.Fit = plan.House{Width: 540, Height: 960, Rate: ntsc}, plan.Fit{Width: 540, Height: 722}
	panned.Pan = &plan.Pan{Width: 1282, Keys: []plan.PanKey{{At: 0, X: 100}, {At: 6, X: 100}, {At: 12, X: 130}, {At: 18, X: 90}}}

	slate := plan.Segment{Kind: plan.Slate, House: house, Card: &plan.Card{Title: "Numbers"}, Hold: 120, Encoder: x264}

	for name, c := range map[string]struct {
		segment plan.Segment
		slots   Slots
	}{
		"plain":    {plain, Slots{Film: "/film/wk1 end'zone: 100%.mp4"}},
		"labelled": {labelled, Slots{Film: "/film/endzone.mp4", Overlays: labels}},
		"slow":     {slow, Slots{Film: "/film/endzone.mp4", Overlays: clock}},
		"still":    {still, Slots{Film: "/film/endzone.mp4", Overlays: arrow}},
		"ring":     {plain, Slots{Film: "/film/endzone.mp4", Overlays: ring}},
		"odd":      {odd, Slots{Film: "/film/-dash.mts"}},
		// Of what was never seen working: only that it is as it was meant.
		"nvenc":        {hard("h264_nvenc"), Slots{Film: "/film/endzone.mp4"}},
		"qsv":          {hard("h264_qsv"), Slots{Film: "/film/endzone.mp4"}},
		"vaapi":        {hard("h264_vaapi"), Slots{Film: "/film/endzone.mp4"}},
		"videotoolbox": {hard("h264_videotoolbox"), Slots{Film: "/film/endzone.mp4"}},
		"stacked":      {stacked, Slots{Film: "/film/turns.mp4", Below: "/film/turns.mp4"}},
		"panned":       {panned, Slots{Film: "/film/endzone.mp4"}},
		"slate":        {slate, Slots{Card: "/segments/card.png"}},
	} {
		t.Run(name, func(t *testing.T) {
			c.slots.Out = "/segments/segment.mov"
			args, err := SegmentArgs(c.segment, c.slots)
			if err != nil {
				t.Fatal(err)
			}
			golden(t, name+".args", strings.Join(args, "\n")+"\n")
		})
	}
}

// Two inputs whose numbers are swapped are one and the same to ffmpeg-go, which then
// drops one without a word. The graph must notice.
func TestSwappedInputsAreNotLost(t *testing.T) {
	g := &graph{}
	a := g.input("/film/a.mp4", filmFormats, options{"ss": "3", "t": "5"})
	b := g.input("/film/a.mp4", filmFormats, options{"ss": "5", "t": "3"})
	joined := g.combine([]*stream{a, b}, "hstack")
	if args, err := g.compile([]*stream{joined}, "/segments/out.mov", options{}); err == nil {
		t.Errorf("compiled to %q, want an error", args)
	}
}

// Two labels whose places are swapped are two overlays, each with its own picture.
func TestSwappedOverlaysStayTwo(t *testing.T) {
	s := filmSegment()
	args, err := SegmentArgs(s, Slots{Film: "/film/a.mp4", Out: "/segments/out.mov", Overlays: []Overlay{
		{Path: "/segments/a.png", X: 10, Y: 20, Span: tags.Span{In: 0, Out: 150}},
		{Path: "/segments/b.png", X: 20, Y: 10, Span: tags.Span{In: 0, Out: 150}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(args, " ")
	for _, want := range []string{"file:/segments/a.png", "file:/segments/b.png", "x=10:y=20", "x=20:y=10"} {
		if strings.Count(all, want) != 1 {
			t.Errorf("%q stands %d times in %s", want, strings.Count(all, want), all)
		}
	}
}

func TestUnknownKindIsRefused(t *testing.T) {
	s := filmSegment()
	s.Kind = "dance"
	if _, err := SegmentArgs(s, Slots{}); err == nil {
		t.Error("no error")
	}
}

func TestJoinArgs(t *testing.T) {
	for name, sound := range map[string]bool{"join": true, "join-mute": false} {
		args, err := JoinArgs(Join{List: "/segments/list", Metadata: "/segments/metadata", Sound: sound, House: house, Out: "/out/reel.mp4"})
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name+".args", strings.Join(args, "\n")+"\n")
	}
}

// However many clips are joined, each starts within half a microsecond of its frame.
func TestListFileDoesNotDrift(t *testing.T) {
	paths, frames := make([]string, 100), make([]tags.Frame, 100)
	for i := range paths {
		paths[i], frames[i] = "/segments/0a.mov", 7
	}
	list, err := ListFile("/segments/work", paths, frames, ntsc)
	if err != nil {
		t.Fatal(err)
	}
	var total int64
	for line := range strings.Lines(list) {
		if d, ok := strings.CutPrefix(strings.TrimSpace(line), "duration "); ok {
			whole, part, _ := strings.Cut(d, ".")
			total += number(t, whole)*1_000_000 + number(t, part)
		}
	}
	// 700 frames of 1001/30000 s are 23.356 666… s.
	if total != 23_356_667 {
		t.Errorf("the list is %d µs long, want 23356667", total)
	}
}

// Whatever the cache folder is called, its name is not in the list.
func TestListFileNamesKeysOnly(t *testing.T) {
	for _, dir := range []string{"it's", `back\slash`, "line\nbreak"} {
		list, err := ListFile("/"+dir+"/work/1", []string{"/" + dir + "/0a/0a.mov"}, []tags.Frame{1}, ntsc)
		if err != nil || !strings.Contains(list, "file '../../0a/0a.mov'\n") || strings.Contains(list, dir) {
			t.Errorf("folder %q: %q (%v)", dir, list, err)
		}
	}
}

func TestMetadataFile(t *testing.T) {
	got := MetadataFile("a=b;c#d\\e\nf", []Chapter{{"one", tags.Span{In: 0, Out: 120}}, {"50% #2; x=y", tags.Span{In: 120, Out: 270}}}, ntsc)
	golden(t, "metadata", got)
}

func number(t *testing.T, digits string) int64 {
	t.Helper()
	var n int64
	for _, d := range digits {
		if d < '0' || d > '9' {
			t.Fatalf("%q is no number", digits)
		}
		n = n*10 + int64(d-'0')
	}
	return n
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}
