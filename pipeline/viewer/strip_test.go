package viewer_test

import (
	"encoding/json"
	"net/http"
	"path/filepath"
	"testing"
	"time"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

// waitFor asks for an address until it is there.
func waitFor(t *testing.T, v *viewer.Viewer, address string) []byte {
	t.Helper()
	for range 12_000 { // which is minutes, since it is made when nothing else is to be done
		w := get(v, address)
		switch w.Code {
		case http.StatusOK:
			return w.Body.Bytes()
		case http.StatusAccepted:
			var p viewer.Progress
			if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || p.Done < 0 || p.Done > p.Of || p.State != viewer.Waiting && p.State != viewer.Making {
				t.Fatalf("%s is at %+v (%v)", address, p, err)
			}
		default:
			t.Fatalf("%s is %d %s", address, w.Code, w.Body)
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s never comes", address)
	return nil
}

// Sound and motion are where they are in the film, and are worked out once.
func TestStrip(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	// A tone from second 4 to 5 of 10, 20 dB below full scale, and a bar that moves from 6 to 8.
	path := filepath.Join(b.dir, "film.mp4")
	if err := b.tool.Run(t.Context(), []string{
		"-f", "lavfi", "-i", "color=c=green:s=320x180:r=30:d=10,drawbox=x=100:y=50:w=60:h=60:c=white:t=fill",
		"-f", "lavfi", "-i", "color=c=yellow:s=60x120:r=30:d=10",
		"-f", "lavfi", "-i", "aevalsrc=exprs='0.1*sin(2*PI*440*t)*between(t,4,5)':s=48000:d=10",
		"-filter_complex", "[0][1]overlay=x='20+120*clip(t-6,0,2)':y=30", "-map", "2:a", "-c:v", "libx264", "-g", "300", "-c:a", "aac", "-pix_fmt", "yuv420p", "file:" + path,
	}, nil, nil); err != nil {
		t.Fatal(err)
	}
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	sound, motion := waitFor(t, v, "/"+f.ID+"/sound.bin"), waitFor(t, v, "/"+f.ID+"/motion.bin")
	if len(sound) != 100 || len(motion) != 100 {
		t.Fatalf("%d columns of sound and %d of motion in ten seconds, want 100", len(sound), len(motion))
	}
	for c := range sound {
		at := tags.Time(c) * tags.Second / viewer.Columns
		// 20 of 60 dB down is two thirds up.
		if loud, want := sound[c], at >= 4*tags.Second && at < 5*tags.Second; want != (loud > 165) || want && loud > 175 || c < 38 && loud > 20 {
			t.Errorf("at %s the sound is %d", at, loud)
		}
		if moves := motion[c]; at >= 6200*tags.Millisecond && at < 7900*tags.Millisecond && moves < 100 || (c < 58 || c > 82) && moves > 60 {
			t.Errorf("at %s the motion is %d", at, moves)
		}
	}
	again := viewer.New(film.NewLibrary(b.tool, filepath.Join(b.dir, "cache")), viewer.Options{})
	defer again.Close()
	if _, err := again.Add(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	for _, kind := range []string{"sound", "motion"} {
		if w := get(again, "/"+f.ID+"/"+kind+".bin"); w.Code != http.StatusOK {
			t.Errorf("the %s is worked out twice: %d", kind, w.Code)
		}
	}
}
