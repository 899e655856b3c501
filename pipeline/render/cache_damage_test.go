package render_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/render"
)

var damages = flag.Int("damages", 3, "how often TestDamagedCache damages a segment")

// damage changes data as disks and memory do: a flipped bit, a block of zeros, an end that is
// gone. It says what it did.
func damage(r *rand.Rand, data []byte) ([]byte, string) {
	data = bytes.Clone(data)
	switch at := r.IntN(len(data)); r.IntN(3) {
	case 0:
		data[at] ^= 1 << r.IntN(8)
		return data, fmt.Sprintf("bit flipped in byte %d of %d", at, len(data))
	case 1:
		at = min(at/512*512, max(len(data)-512, 0))
		block := data[at:min(at+512, len(data))]
		if bytes.Count(block, []byte{0}) == len(block) {
			block[0] = 1
		} else {
			clear(block)
		}
		return data, fmt.Sprintf("block at %d of %d zeroed", at, len(data))
	default:
		return data[:at], fmt.Sprintf("cut short to %d of %d", at, len(data))
	}
}

// Whatever becomes of a segment in the cache, no reel is made of it: the segment is made again
// and the reel is the same bytes.
func TestDamagedCache(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(91, 4, 300, "endzone")), nil)
	reel, _ := b.make(p, "reel.mp4")
	want, err := os.ReadFile(reel)
	if err != nil {
		t.Fatal(err)
	}
	segments, err := filepath.Glob(filepath.Join(b.maker.Store.Root, "*", "*.mov"))
	if err != nil || len(segments) != 6 {
		t.Fatalf("%d segments in the store (%v), want 6", len(segments), err)
	}
	r := rand.New(rand.NewPCG(92, 0))
	out := filepath.Join(b.dir, "again.mp4")
	lost := 0
	for range *damages {
		segment := segments[r.IntN(len(segments))]
		whole, err := os.ReadFile(segment)
		if err != nil {
			t.Fatal(err)
		}
		damaged, how := damage(r, whole)
		if err := os.WriteFile(segment, damaged, 0o666); err != nil {
			t.Fatal(err)
		}
		report, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
		if err != nil || report.Rendered != 1 {
			t.Errorf("%s: %+v (%v), want one segment rendered", how, report, err)
			lost++
		} else if got, err := os.ReadFile(out); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: the reel is not the same bytes (%v)", how, err)
			lost++
		}
		if mended, err := os.ReadFile(segment); err != nil || !bytes.Equal(mended, whole) {
			t.Errorf("%s: the segment is not as it was (%v)", how, err)
		}
		for _, file := range []string{out, render.ManifestPath(out)} {
			if err := os.Remove(file); err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Logf("%d tries, %d survived, %d lost", *damages, *damages-lost, lost)
}

// A record of a film that was changed in the cache is found out: the film is looked at again.
func TestDamagedFilmRecord(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 60})
	ctx := context.Background()
	want, err := b.library.Source(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(b.dir, "cache", "film")
	records, err := filepath.Glob(filepath.Join(folder, "*.json"))
	if err != nil || len(records) != 1 {
		t.Fatalf("records %q (%v), want one", records, err)
	}
	whole, err := os.ReadFile(records[0])
	if err != nil {
		t.Fatal(err)
	}
	changed := bytes.Replace(whole, []byte("30000"), []byte("30001"), 1)
	if bytes.Equal(changed, whole) {
		t.Fatalf("no rate in %q", whole)
	}
	tries := [][]byte{changed}
	r := rand.New(rand.NewPCG(93, 0))
	for range *damages {
		damaged, _ := damage(r, whole)
		tries = append(tries, damaged)
	}
	for _, record := range tries {
		if err := os.WriteFile(records[0], record, 0o666); err != nil {
			t.Fatal(err)
		}
		if got, err := film.NewLibrary(b.maker.Tool, folder).Source(ctx, path); err != nil || got != want {
			t.Errorf("the record %q makes the film %+v (%v), want %+v", record, got, err, want)
		}
		if mended, err := os.ReadFile(records[0]); err != nil || !bytes.Equal(mended, whole) {
			t.Errorf("the record is %q (%v), want it as it was", mended, err)
		}
	}
	t.Logf("%d tries", len(tries))
}

// cuttingShort is a maker's ffmpeg that loses the last two fifths of what it joins, exits well
// and says nothing.
func (b *bench) cuttingShort() string {
	script := filepath.Join(b.dir, "ffmpeg")
	text := fmt.Sprintf(`#!/bin/sh
%q "$@" || exit
case "$*" in *concat*) ;; *) exit 0 ;; esac
for out; do :; done
out=${out#file:}
truncate -s $(($(stat -c %%s "$out") * 3 / 5)) "$out"
`, b.maker.Tool.FFmpeg)
	if err := os.WriteFile(script, []byte(text), 0o777); err != nil {
		b.t.Fatal(err)
	}
	return script
}

// A join that lost its end is no reel, be it in this run or in an earlier one whose manifest
// describes it as it is.
func TestJoinCutShort(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("the script that stands in for ffmpeg is for Linux")
	}
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	season := b.season(map[string]string{"endzone": path}, plays(94, 3, 300, "endzone"))
	whole := b.maker.Tool
	for name, mute := range map[string]bool{"sound": false, "mute": true} {
		p := b.plan(season, nil)
		p.Delivery.Mute = mute
		out := filepath.Join(b.dir, name+".mp4")
		b.maker.Tool.FFmpeg = b.cuttingShort()
		if _, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {}); err == nil {
			t.Errorf("%s: a reel that was cut short passed", name)
		}
		b.maker.Tool = whole
		for _, file := range []string{out, render.ManifestPath(out)} {
			if _, err := os.Lstat(file); err == nil {
				t.Errorf("%s was left", file)
			}
		}
		b.make(p, name+".mp4")
		want, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(out, int64(len(want))*3/5); err != nil {
			t.Fatal(err)
		}
		b.describe(out)
		if _, again := b.make(p, name+".mp4"); again.Unchanged {
			t.Errorf("%s: a reel that was cut short is unchanged", name)
		}
		if got, err := os.ReadFile(out); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: the reel is not the same bytes (%v)", name, err)
		}
	}
}

// describe makes the manifest of the reel at out describe it as it is now.
func (b *bench) describe(out string) {
	b.t.Helper()
	data, err := os.ReadFile(render.ManifestPath(out))
	if err != nil {
		b.t.Fatal(err)
	}
	var m render.Manifest
	if err := json.Unmarshal(data, &m); err != nil {
		b.t.Fatal(err)
	}
	if m.Reel.Fingerprint, err = content.Fingerprint(out); err != nil {
		b.t.Fatal(err)
	}
	if data, err = json.Marshal(m); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(render.ManifestPath(out), data, 0o666); err != nil {
		b.t.Fatal(err)
	}
}

// A reel that is there already keeps to the most that it may take, too.
func TestUnchangedReelIsTooLarge(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 100})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(95, 1, 100, "endzone")), nil)
	out, _ := b.make(p, "reel.mp4")
	info, err := os.Stat(out)
	if err != nil {
		t.Fatal(err)
	}
	for most, fits := range map[int64]bool{info.Size() - 1: false, info.Size(): true} {
		b.maker.MaxBytes = most
		_, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
		var large *render.TooLargeError
		if errors.As(err, &large) == fits || fits && err != nil {
			t.Errorf("a reel of %d bytes that may take %d: error %v", info.Size(), most, err)
		}
	}
}
