package exchange

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

const filmed = `trenchcut: 1
game: {id: wk1, us: Cedar Hollow}
film: {endzone: {file: /film/ez one.mp4}, sideline: {file: /film/sl.mp4}, tight: {}}
people: {marlow: {name: Teo Marlow, team: us, jersey: 91}}
plays:
  - {play: 9, type: run, angles: {endzone: {in: 0:01:40, out: 0:01:45}}}
  - play: 3
    type: dropback
    quarter: 1
    clock: "11:32"
    down: 3
    distance: 8
    angles:
      endzone: {in: 0:00:20, out: 0:00:28, snap: 0:00:22}
      tight: {file: /film/clip3.mp4}
    marks: {release: +2.64s, finish: +9s}
    reps:
      - {rusher: marlow, battle: won, marks: {beat: +1.9s}}
  - {play: 4, angles: {endzone: {in: 0:00:27, out: 0:00:35}}}
  - {play: 5, angles: {sideline: {in: 0:00:30, out: 0:00:35}}}
`

// shotsOf is the plays of filmed on one angle, at 30000/1001 from timecode 01:00:00:00.
func shotsOf(t *testing.T, angle string) []Shot {
	t.Helper()
	game, faults := tags.ParseGame("wk1.game.yaml", []byte(filmed), vocabulary(t))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	clock := tags.Clock{Rate: tags.Rate{Num: 30000, Den: 1001}, Start: 108_000}
	extents := map[string]tags.Extent{
		"/film/ez one.mp4": {Clock: clock, Frames: 5000},
		"/film/sl.mp4":     {Clock: clock, Frames: 5000},
		"/film/clip3.mp4":  {Clock: tags.Clock{Rate: tags.Rate{Num: 25, Den: 1}}, Frames: 200},
	}
	shots, err := Shots(game.Plays, angle, extents)
	if err != nil {
		t.Fatal(err)
	}
	return shots
}

func TestChapters(t *testing.T) {
	var out bytes.Buffer
	if err := writeChapters(&out, shotsOf(t, "endzone")); err != nil {
		t.Fatal(err)
	}
	// Frames 600 to 839 and on, at 1001/30000 s each: 600 × 1001/30000 is 20.020 s, 810 is
	// 27.027 s, 1049 is 35.00163… s.
	want := `WEBVTT

wk1-p003
00:00:20.020 --> 00:00:27.027
Play 3: Q1 11:32, 3 &amp; 8, dropback

wk1-p004
00:00:27.027 --> 00:00:35.002
Play 4

wk1-p009
00:01:40.000 --> 00:01:45.005
Play 9: run
`
	if diff := cmp.Diff(want, out.String()); diff != "" {
		t.Error(diff)
	}
	if err := checkWebVTT(out.String()); err != nil {
		t.Error(err)
	}
	out.Reset()
	if err := writeChapters(&out, shotsOf(t, "tight")); err != nil || !strings.Contains(out.String(), "00:00:00.000 --> 00:00:08.000") {
		t.Errorf("a clip to its end is %s (%v)", out.String(), err)
	}
	if err := writeChapters(&out, append(shotsOf(t, "tight"), shotsOf(t, "endzone")...)); err == nil {
		t.Error("made chapters of two films")
	}
	game, _ := tags.ParseGame("wk1.game.yaml", []byte(filmed), vocabulary(t))
	if _, err := Shots(game.Plays, "attic", nil); !errors.Is(err, ErrNoShot) {
		t.Errorf("error %v, want ErrNoShot", err)
	}
	if got, want := CueTime(101*3600*tags.Second+61*tags.Second/2), "101:00:30.500"; got != want {
		t.Errorf("time %s, want %s", got, want)
	}
}

var (
	vttTime      = `(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})`
	vttTimings   = regexp.MustCompile(`^` + vttTime + `[ \t]+-->[ \t]+` + vttTime + `$`)
	vttReference = regexp.MustCompile(`&(amp|lt|gt|lrm|rlm|nbsp);`)
)

// checkWebVTT holds text to the syntax of a WebVTT file using chapter title text: W3C,
// WebVTT: The Web Video Text Tracks Format, sections 4.1 to 4.4 (www.w3.org/TR/webvtt1).
func checkWebVTT(text string) error {
	text = strings.TrimPrefix(text, "\ufeff")
	head, body, ok := strings.Cut(text, "\n\n")
	if line, _, _ := strings.Cut(head, "\n"); !ok || line != "WEBVTT" && !strings.HasPrefix(line, "WEBVTT ") {
		return fmt.Errorf("begins with %q", head)
	}
	if strings.ContainsAny(text, "\r\x00") {
		return errors.New("holds CR or NUL")
	}
	last := -1
	for block := range strings.SplitSeq(strings.Trim(body, "\n"), "\n\n") {
		lines := strings.Split(strings.Trim(block, "\n"), "\n")
		if !strings.Contains(lines[0], "-->") {
			lines = lines[1:] // its identifier
		}
		if len(lines) < 2 {
			return fmt.Errorf("no cue: %q", block)
		}
		m := vttTimings.FindStringSubmatch(lines[0])
		if m == nil {
			return fmt.Errorf("no timings: %q", lines[0])
		}
		start, end := vttMillis(m[1:5]), vttMillis(m[5:9])
		if start < last || end <= start {
			return fmt.Errorf("times out of order: %q", lines[0])
		}
		last = start
		for _, line := range lines[1:] {
			bare := vttReference.ReplaceAllString(line, "")
			if strings.ContainsAny(bare, "&<") || strings.Contains(line, "-->") {
				return fmt.Errorf("no chapter title: %q", line)
			}
		}
	}
	return nil
}

func vttMillis(parts []string) int {
	n := 0
	for i, unit := range []int{3_600_000, 60_000, 1000, 1} {
		v, _ := strconv.Atoi("0" + parts[i])
		n += v * unit
	}
	return n
}

// The check itself must be able to fail.
func TestCheckWebVTT(t *testing.T) {
	for _, bad := range []string{
		"", "WEBVTTX\n\n", "WEBVTT\n\na\n00:01.000 --> 00:02.00\nx\n", "WEBVTT\n\n00:02.000 --> 00:02.000\nx\n", "WEBVTT\n\n00:02.000 --> 00:03.000\n3 & 8\n",
		"WEBVTT\n\n00:02.000 --> 00:03.000\nx\n\n00:01.000 --> 00:03.000\nx\n", "WEBVTT\n\n00:02.000-->00:03.000\nx\n", "WEBVTT\n\n0:00:02.000 --> 0:00:03.000\nx\n", "WEBVTT\n\n00:02.000 --> 00:03.000\n",
	} {
		if checkWebVTT(bad) == nil {
			t.Errorf("%q passed", bad)
		}
	}
}

// otioFields is the fields of each object: OpenTimelineIO documentation, "Serialized Data
// (Fields Only)", with children, which that list leaves out, from its "File Format
// Specification".
var otioFields = map[string]string{
	"Timeline.1":          "global_start_time metadata name tracks",
	"Stack.1":             "children effects enabled markers metadata name source_range",
	"Track.1":             "children effects enabled kind markers metadata name source_range",
	"Clip.2":              "active_media_reference_key effects enabled markers media_references metadata name source_range",
	"ExternalReference.1": "available_image_bounds available_range metadata name target_url",
	"Marker.2":            "color comment marked_range metadata name",
	"TimeRange.1":         "duration start_time",
	"RationalTime.1":      "rate value",
}

// checkOTIO holds a value to the fields of its schema, and counts the objects of each.
func checkOTIO(v any, count map[string]int) error {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			if err := checkOTIO(item, count); err != nil {
				return err
			}
		}
	case map[string]any:
		if schema, ok := v["OTIO_SCHEMA"].(string); ok {
			count[schema]++
			fields := slices.DeleteFunc(slices.Sorted(maps.Keys(v)), func(k string) bool { return k == "OTIO_SCHEMA" })
			if got := strings.Join(fields, " "); got != otioFields[schema] {
				return fmt.Errorf("%s has the fields %s", schema, got)
			}
		}
		for _, item := range v {
			if err := checkOTIO(item, count); err != nil {
				return err
			}
		}
	}
	return nil
}

func TestTimeline(t *testing.T) {
	var out bytes.Buffer
	if err := writeTimeline(&out, "third downs", shotsOf(t, "endzone"), "/film/out"); err != nil {
		t.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(out.Bytes(), &tree); err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	if err := checkOTIO(tree, count); err != nil {
		t.Error(err)
	}
	// Three clips with a range and a medium each, and a snap, a release and a beat; the
	// finish lies past the out.
	want := map[string]int{"Timeline.1": 1, "Stack.1": 1, "Track.1": 1, "Clip.2": 3, "ExternalReference.1": 3, "Marker.2": 3, "TimeRange.1": 9, "RationalTime.1": 18}
	if diff := cmp.Diff(want, count); diff != "" {
		t.Error(diff)
	}
	clip := tree.(map[string]any)["tracks"].(map[string]any)["children"].([]any)[0].(map[string]any)["children"].([]any)[1].(map[string]any)
	// 20 s × 30000/1001 = 599.4, so from frame 600; 28 s is 839.16, so up to 840, not shown.
	// Snap: 22 s is 659.34. Beat: 23.9 s is 716.28. Release: 24.64 s is 738.46.
	got := []float64{start(clip["source_range"]), length(clip["source_range"])}
	for _, m := range clip["markers"].([]any) {
		got = append(got, start(m.(map[string]any)["marked_range"]))
	}
	if diff := cmp.Diff([]float64{108_600, 240, 108_660, 108_717, 108_739}, got); diff != "" {
		t.Error(diff)
	}
	golden(t, "testdata/timeline.golden", out.Bytes())
}

// Characters by RFC 3986: what is neither unreserved nor allowed in a segment is
// percent-encoded as UTF-8 (sections 2.1, 3.3), and a first segment with a colon would be
// taken for a scheme (4.2).
func TestMediaURL(t *testing.T) {
	for _, c := range []struct{ path, folder, want string }{
		{"/season/film/ez.mp4", "/season", "film/ez.mp4"},
		{"/season/film/ez.mp4", "/season/out/deep", "../../film/ez.mp4"},
		{"/season/wk 1 50% #2?.mp4", "/season", "wk%201%2050%25%20%232%3F.mp4"},
		{"/season/Tāvita.mp4", "/season", "T%C4%81vita.mp4"},
		{"/season/a:b.mp4", "/season", "./a:b.mp4"},
		{"/season/ez 1.mp4", "", "file:///season/ez%201.mp4"},
	} {
		got := mediaURL(c.path, c.folder)
		if got != c.want {
			t.Errorf("%s from %q is %s, want %s", c.path, c.folder, got, c.want)
		}
		// Resolved against the timeline's own address it is the file again (section 5).
		base := &url.URL{Scheme: "file", Path: c.folder + "/x.otio"}
		if back, err := base.Parse(got); err != nil || back.Path != c.path {
			t.Errorf("%s leads from %q to %v (%v), want %s", got, c.folder, back, err, c.path)
		}
	}
}

func start(r any) float64 {
	return r.(map[string]any)["start_time"].(map[string]any)["value"].(float64)
}

func length(r any) float64 {
	return r.(map[string]any)["duration"].(map[string]any)["value"].(float64)
}
