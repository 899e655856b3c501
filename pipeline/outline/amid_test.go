package outline

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// threePlays is a graph of three shots of four seconds at 30 a second, on each of which a
// block begins to move after a second and a half.
func threePlays() string {
	var shots, all strings.Builder
	for i, line := range []int{9, 25, 1} {
		fmt.Fprintf(&shots, "color=c=0x4f704c:s=320x180:r=30:d=4,drawgrid=w=1000:h=40:x=0:y=%d:t=3:c=white[f%d];"+
			"color=c=orange:s=70x50:r=30:d=4[m%d];[f%d][m%d]overlay=x='100+70*max(t-1.5,0)':y=%d,format=yuv420p[v%d];", line, i, i, i, i, 20+30*i, i)
		fmt.Fprintf(&all, "[v%d]", i)
	}
	return shots.String() + all.String() + "concat=n=3[o]"
}

// A recording that begins amid a group of pictures is outlined from the first picture that
// stands alone, whatever its coding, and what is before that is named.
func TestFilmThatBeginsAmidAGroup(t *testing.T) {
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	library := film.NewLibrary(tool, t.TempDir())
	run := func(args ...string) {
		t.Helper()
		if err := tool.Run(context.Background(), args, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	for name, coding := range map[string][]string{
		"h264":      {"-c:v", "libx264", "-preset", "ultrafast", "-g", "40", "-bf", "2", "-sc_threshold", "0"},
		"long-h264": {"-c:v", "libx264", "-preset", "ultrafast", "-g", "100", "-bf", "2", "-sc_threshold", "0"},
		"hevc":      {"-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none:keyint=40:min-keyint=40:scenecut=0"},
		"mpeg2":     {"-c:v", "mpeg2video", "-b:v", "2M", "-g", "40", "-bf", "2", "-sc_threshold", "1000000000"},
	} {
		t.Run(name, func(t *testing.T) {
			brief.Only(t, name == "h264")
			dir := t.TempDir()
			whole, amid := filepath.Join(dir, "whole.ts"), filepath.Join(dir, "amid.ts")
			run(append(append([]string{"-filter_complex", threePlays(), "-map", "[o]"}, coding...), "file:"+whole)...)
			run("-ss", "1", "-i", "file:"+whole, "-c", "copy", "-copyinkf", "file:"+amid)
			find := func(file string) *Proposal {
				t.Helper()
				p, err := Find(context.Background(), library, Request{
					File: filepath.Join(dir, "wk1.game.yaml"), Footage: []*Footage{{Angles: []string{"endzone"}, Files: []string{file}}},
					Vocabulary: vocabulary, Floor: tags.Second / 2,
				}, nil)
				if err != nil {
					t.Fatal(err)
				}
				return p
			}
			want, got := find(whole), find(amid)
			if len(want.Shots) != 3 || len(got.Shots) != 3 || len(want.Lost) > 0 {
				t.Fatalf("%d shots of the whole film, %d of the one begun amid a group, want 3; lost %v", len(want.Shots), len(got.Shots), want.Lost)
			}
			// Both films end with the same frame.
			shift := want.Shots[2].Span.Out - got.Shots[2].Span.Out
			key, before := firstKey(t, tool, amid)
			if len(got.Lost) != 1 || got.Lost[0].Frames != before || before < 5 {
				t.Fatalf("lost %+v, want the %d pictures before the first key picture", got.Lost, before)
			}
			// Frames are counted from the first that can be decoded.
			src := got.Shots[0].Source
			if in, first := got.Shots[0].Span.In, src.Rate.Floor(src.First+src.Rate.Duration(1)/2); in != 0 || first != key {
				t.Errorf("the first shot begins at frame %d and frame 0 comes %d frames after the start, want 0 and %d", in, first, key)
			}
			for i := 1; i < 3; i++ {
				a, b := want.Shots[i], got.Shots[i]
				if a.Span.In-b.Span.In != shift || !a.Snaps || !b.Snaps || a.Snap-b.Snap != shift {
					t.Errorf("shot %d: %+v, snap %d; of the whole film %+v, snap %d, which begins %d frames earlier", i+1, b.Span, b.Snap, a.Span, a.Snap, shift)
				}
			}
			picture, err := got.ContactSheet(context.Background(), library, nil)
			if err != nil {
				t.Fatal(err)
			}
			if err := got.Write(ContactFile(got.File), picture, files.Policy{}); err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(got.File)
			if err != nil {
				t.Fatal(err)
			}
			if in := fmt.Sprintf("{in: %s, out: ", got.Lost[0].End); !strings.Contains(string(data), in) {
				t.Errorf("the tag file does not begin the first play with %q:\n%s", in, data)
			}
		})
	}
}

// firstKey is the frame that the first key packet of a film of 30 frames a second holds, by
// the file's own times, and how many packets hold pictures that are shown before it: the cut
// may leave out some of those, or keep some from before the film's start.
func firstKey(t *testing.T, tool ffmpeg.Tool, path string) (key, before tags.Frame) {
	t.Helper()
	report, err := tool.Probe(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	start, err := strconv.ParseFloat(report.Format.Start, 64)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range report.Packets {
		if strings.Contains(p.Flags, "K") {
			for _, other := range report.Packets {
				if *other.PTS < *p.PTS {
					before++
				}
			}
			return tags.Frame(math.Round((float64(*p.PTS)/90_000 - start) * 30)), before
		}
	}
	t.Fatalf("%s has no key packet", path)
	return 0, 0
}

// What begins amid a group and is damaged further on, too, is not excused.
func TestDamageIsNotExcused(t *testing.T) {
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := func(name string) string { return filepath.Join(dir, name) }
	for _, args := range [][]string{
		{"-filter_complex", threePlays(), "-map", "[o]", "-c:v", "libx264", "-preset", "ultrafast", "-g", "40", "-sc_threshold", "0", "file:" + path("whole.ts")},
		{"-ss", "1", "-i", "file:" + path("whole.ts"), "-c", "copy", "-copyinkf", "-bsf:v", `noise=amount=if(between(n\,100\,110)\,20\,0)`, "file:" + path("amid.ts")},
	} {
		if err := tool.Run(context.Background(), args, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	_, err = Find(context.Background(), film.NewLibrary(tool, ""), Request{
		File: path("wk1.game.yaml"), Footage: []*Footage{{Angles: []string{"endzone"}, Files: []string{path("amid.ts")}}}, Vocabulary: vocabulary,
	}, nil)
	var faults tags.Faults
	if !errors.As(err, &faults) || !strings.Contains(err.Error(), "cannot be looked through") {
		t.Errorf("error %v, want that the film is damaged", err)
	}
}
