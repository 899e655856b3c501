package ffmpeg

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
)

// The filters that doctor looks for are those that the code of this package names, in calls and
// in the texts of graphs.
func TestNeededFilters(t *testing.T) {
	sources, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{"anullsrc": true} // an input of its own
	look := func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		if f, ok := call.Fun.(*ast.SelectorExpr); ok && (f.Sel.Name == "filter" || f.Sel.Name == "combine") && len(call.Args) > 1 {
			switch name := call.Args[1].(type) {
			case *ast.BasicLit:
				text, err := strconv.Unquote(name.Value)
				if err != nil {
					t.Fatal(err)
				}
				named[text] = true
			case *ast.Ident:
				if name.Name != "name" { // what filter hands on to combine
					t.Errorf("a filter is named by %s, which this test cannot read", name.Name)
				}
			}
		}
		return true
	}
	for _, name := range sources {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, look)
	}
	if len(named) < 20 {
		t.Fatalf("only %d filters were found in the code", len(named))
	}
	part := regexp.MustCompile(`(?:^|[],])([a-z][a-z0-9]+)`)
	interlaced := Stretch{Source: plan.Source{Interlaced: true}}
	for _, m := range part.FindAllStringSubmatch(comparedFilters(interlaced), -1) {
		named[m[1]] = true
	}
	for _, f := range append(slices.Clone(ToneFilters), "hwupload") { // which few need
		delete(named, f)
	}
	want := slices.Sorted(slices.Values(neededFilters))
	if diff := cmp.Diff(want, slices.Sorted(maps.Keys(named))); diff != "" {
		t.Errorf("- is needed, + is named in the code:\n%s", diff)
	}
}

// What a build of ffmpeg that comes with another program lacks is named.
func TestWhole(t *testing.T) {
	if err := Whole(neededEncoders, neededMuxers, neededFilters); err != nil {
		t.Error(err)
	}
	without := func(all []string, names ...string) []string {
		return slices.DeleteFunc(slices.Clone(all), func(s string) bool { return slices.Contains(names, s) })
	}
	err := Whole(without(neededEncoders, "libx264"), neededMuxers, without(neededFilters, "overlay", "fps"))
	want := "this ffmpeg lacks the encoder libx264, the filters fps, overlay: reels need a whole one; " + advice(runtime.GOOS)
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Lists are read as whole builds and small ones (--enable-small, without descriptions) print them.
func TestListed(t *testing.T) {
	for _, c := range []struct {
		out  string
		want []string
	}{
		{"Encoders:\n V..... = Video\n A..... = Audio\n ------\n V....D libx264              libx264 H.264 / AVC (codec h264)\n A....D aac                  AAC\n", []string{"libx264", "aac"}},
		{"Encoders:\r\n V..... = Video\r\n ------\r\n V....D libx264               (codec h264)\r\n A....D aac                 \r\n", []string{"libx264", "aac"}},
		{"Filters:\n  T.. = Timeline support\n  | = Source or sink filter\n TSC overlay           VV->V      \n ... setpts            V->V       Set PTS.\n", []string{"overlay", "setpts"}},
	} {
		if diff := cmp.Diff(c.want, listed(c.out)); diff != "" {
			t.Errorf("%q: - want, + got:\n%s", c.out, diff)
		}
	}
}

// What ffmpeg for Windows says is read as what any other says, however it arrives in parts.
func TestPlainLines(t *testing.T) {
	for _, c := range []struct {
		parts []string
		want  string
	}{
		{[]string{"one\r\ntwo\r\n"}, "one\ntwo\n"},
		{[]string{"one\r", "\ntwo"}, "one\ntwo"},
		{[]string{"1%\r2%\r", "3%\r\r\n"}, "1%\r2%\r3%\r\n"},
		{[]string{"one\ntwo\n"}, "one\ntwo\n"},
	} {
		var got strings.Builder
		lines := plainLines{to: &got}
		for _, part := range c.parts {
			if n, err := lines.Write([]byte(part)); n != len(part) || err != nil {
				t.Errorf("%q: %d, %v", part, n, err)
			}
		}
		if got.String() != c.want {
			t.Errorf("%q: got %q, want %q", c.parts, got.String(), c.want)
		}
	}
}

// A run's output of Windows has the lines of any other.
func TestWindowsLines(t *testing.T) {
	fake := filepath.Join(t.TempDir(), "ffprobe")
	script := "#!/bin/sh\nprintf 'streams.stream.0.index=0\\r\\nstreams.stream.0.codec_type=\"video\"\\r\\nstreams.stream.1.index=1\\r\\nstreams.stream.1.codec_type=\"subtitle\"\\r\\n'\n"
	if err := os.WriteFile(fake, []byte(script), 0o777); err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS == "windows" {
		t.Skip("no shell here")
	}
	w, err := Tool{FFprobe: fake}.Words(t.Context(), "film.mp4")
	if err != nil || w.Said != "" || len(w.Tracks) != 1 || w.Tracks[0].kind != "subtitle" {
		t.Errorf("got %+v, %v; want the track of subtitles alone", w, err)
	}
}
