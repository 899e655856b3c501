package render_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Film that a camera or a disc cut into files by size, anywhere in the stream, is cut as if it
// were one file: exact across each join, with its sound in step.
func TestParts(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name   string
		packet int // bytes that a part is a whole number of
		mux    []string
	}{
		{"film.mts", 188, []string{"-g", "60", "-f", "mpegts"}},
		{"film.vob", 2048, []string{"-c:v", "mpeg2video", "-b:v", "3M", "-g", "15", "-bf", "2", "-c:a", "mp2", "-f", "dvd"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			brief.Only(t, test.packet == 188)
			t.Parallel()
			b := sharing(t)
			whole := b.film(footage{name: test.name, width: 320, height: 180, rate: rate2997, frames: 600, sound: true, mux: test.mux})
			parts := split(t, whole, test.packet, 3)
			print, err := content.Fingerprint(files.Whole(parts))
			if one, errOne := content.Fingerprint(whole); err != nil || errOne != nil || print != one {
				t.Errorf("the parts are %s (%v), the whole %s (%v)", print, err, one, errOne)
			}
			if err := os.Remove(whole); err != nil {
				t.Fatal(err)
			}
			var text strings.Builder
			const plays = 5
			for i := range plays { // one behind the other, so that each join is in one of them
				fmt.Fprintf(&text, "  - {play: %d, in: f%d, out: f%d}\n", i+1, i*117, i*117+122)
			}
			p := b.plan(b.seasonOf(map[string]string{"endzone": fmt.Sprintf("[%q, %q, %q]", parts[0], parts[1], parts[2])}, text.String()), nil)
			told := b.listen()
			reel, _ := b.make(p, "reel.mp4")
			b.checkWhole(p, reel, told.text.String())

			data, err := os.ReadFile(parts[1])
			if err != nil {
				t.Fatal(err)
			}
			clear(data[len(data)/2 : len(data)/2+40*test.packet])
			if err := os.WriteFile(parts[1], data, 0o666); err != nil {
				t.Fatal(err)
			}
			found, err := b.library.Decode(context.Background(), map[string][]tags.Span{files.Whole(parts): {{In: 0, Out: 600}}}, 1, nil)
			named := slices.ContainsFunc(found, func(d film.Damage) bool {
				return strings.HasPrefix(d.Said, "in part2"+filepath.Ext(test.name)+": ")
			})
			if err != nil || !named {
				t.Errorf("damage of the second part is told as %v (%v)", found, err)
			}
		})
	}
}

// split cuts the file at path into so many parts beside it, each a whole number of packets,
// and none in the middle of the film.
func split(t *testing.T, path string, packet, n int) (parts []string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	packets := len(data) / packet
	for i := range n {
		from, to := packets*i*i/(n*n)*packet, packets*(i+1)*(i+1)/(n*n)*packet
		if i == n-1 {
			to = len(data)
		}
		part := filepath.Join(filepath.Dir(path), fmt.Sprintf("part%d%s", i+1, filepath.Ext(path)))
		if err := os.WriteFile(part, data[from:to], 0o666); err != nil {
			t.Fatal(err)
		}
		parts = append(parts, part)
	}
	return parts
}
