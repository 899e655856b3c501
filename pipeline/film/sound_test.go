package film_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// tick is sound that is silent but for a short tone amid every second.
const tick = "aevalsrc='if(between(mod(t,1),0.5,0.52),0.8*sin(2*PI*1000*t),0)':s=48000:d="

// ticksIn is when the tones start, as heard.
func ticksIn(s film.Sound) []tags.Time {
	var at []tags.Time
	quiet := s.Rate
	for i, v := range s.Samples {
		if max(v, -v) < 4000 {
			quiet++
			continue
		}
		if quiet > s.Rate/2 {
			at = append(at, s.From+tags.Time(i)*(tags.Second/film.SoundRate))
		}
		quiet = 0
	}
	return at
}

// Sound is heard where the film has it, on the time of its pictures, wherever it is entered.
func TestHear(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	for name, args := range map[string][]string{
		"plain.mp4": {"-c:a", "aac"},
		"pcm.mov":   {"-c:a", "pcm_s16le"},
		"late.ts":   {"-c:a", "mp2", "-output_ts_offset", "3000"},
		"flac.mkv":  {"-c:a", "flac"},
		"opus.mkv":  {"-c:a", "libopus"},
		"thin.mp4":  {"-c:a", "aac", "-ac", "1", "-ar", "22050"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(dir, name)
			makeFilm(t, tool, path, slices.Concat([]string{
				"-f", "lavfi", "-i", "testsrc2=s=64x36:r=30000/1001:d=12", "-f", "lavfi", "-i", tick + "12",
				"-c:v", "libx264", "-preset", "ultrafast", "-g", "60", "-pix_fmt", "yuv420p", "-ac", "2",
			}, args)...)
			src, err := library.Source(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			near := 3 * tags.Millisecond
			if name == "opus.mkv" { // which ffmpeg 5.1 plays earlier, by what its coder needs to begin
				near += 7 * tags.Millisecond
			}
			for _, span := range [][2]tags.Time{
				{0, 1 << 62},
				{0, 5 * tags.Second},
				{3*tags.Second + 400*tags.Millisecond, 9*tags.Second + 700*tags.Millisecond},
				{7*tags.Second + 123*tags.Millisecond, 1 << 62},
			} {
				told := tags.Frame(0)
				got, err := library.Hear(context.Background(), path, span[0], span[1], func(more tags.Frame) { told += more })
				if err != nil {
					t.Fatal(err)
				}
				want := int((min(span[1], 12*tags.Second)-span[0])/tags.Second - 1)
				at := ticksIn(got)
				if len(at) < want {
					t.Fatalf("from %s on %d ticks are heard, want %d or more", span[0], len(at), want)
				}
				for _, tick := range at {
					// The first picture may come a little after the film's start.
					tick -= src.First
					if off := tick%tags.Second - tags.Second/2; max(off, -off) > near {
						t.Errorf("from %s on, a tick is heard at %s", span[0], tick)
					}
				}
				length := tags.Time(len(got.Samples)) * (tags.Second / film.SoundRate)
				if off := length - (min(span[1], 12*tags.Second) - span[0]); max(off, -off) > 40*tags.Millisecond {
					t.Errorf("from %s to %s %s was heard", span[0], span[1], length)
				}
				if frames := (tags.Rate{Num: 30000, Den: 1001}).Floor(length); told != frames {
					t.Errorf("told of %d frames, want %d", told, frames)
				}
			}
		})
	}
}

func TestHearFails(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	mute, cut := filepath.Join(dir, "mute.mp4"), filepath.Join(dir, "cut.mp4")
	makeFilm(t, tool, mute, "-f", "lavfi", "-i", "color=s=64x36:r=25", "-frames:v", "50", "-pix_fmt", "yuv420p")
	makeFilm(t, tool, cut, "-f", "lavfi", "-i", "testsrc2=s=64x36:r=25:d=8", "-f", "lavfi", "-i", tick+"8", "-pix_fmt", "yuv420p", "-movflags", "+faststart")
	info, err := os.Stat(cut)
	if err != nil {
		t.Fatal(err)
	}
	between := filepath.Join(dir, "between.mp4")
	cutBetweenPackets(t, tool, cut, between, info.Size()/2)
	if err := os.Truncate(cut, info.Size()/2); err != nil {
		t.Fatal(err)
	}
	odd := filepath.Join(dir, "odd.mkv")
	makeFilm(t, tool, odd, "-f", "lavfi", "-i", "color=s=64x36:r=25:d=4", "-f", "lavfi", "-i", tick+"4", "-pix_fmt", "yuv420p", "-c:a", "libopus")
	breakPacket(t, tool, odd)
	for name, c := range map[string]struct {
		path    string
		in, out tags.Time
		says    string
	}{
		"damaged Opus":                  {odd, 0, 4 * tags.Second, "complained"},
		"no sound":                      {mute, 0, tags.Second, "no sound"},
		"none":                          {filepath.Join(dir, "gone.mp4"), 0, tags.Second, "gone.mp4"},
		"past it":                       {mute, 3 * tags.Second, 4 * tags.Second, "nothing lies between"},
		"backwards":                     {mute, tags.Second, tags.Second, "nothing lies between"},
		"cut short":                     {cut, 0, 8 * tags.Second, "cut.mp4"},
		"cut short between two packets": {between, 0, 8 * tags.Second, "should go on to 0:00:08"},
	} {
		if got, err := library.Hear(context.Background(), c.path, c.in, c.out, nil); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: heard %d samples (%v), want it to fail with %q", name, len(got.Samples), err, c.says)
		}
	}
}

// breakPacket spoils the head of one packet of the Opus in a Matroska film: it has fifty times as much
// sound as a packet may.
func breakPacket(t *testing.T, tool ffmpeg.Tool, film string) {
	t.Helper()
	out, err := exec.Command(tool.FFprobe, "-v", "error", "-select_streams", "a", "-show_entries", "packet=pos", "-of", "csv=p=0", film).Output()
	if err != nil {
		t.Fatal(err)
	}
	at := strings.Fields(string(out))
	pos, err := strconv.Atoi(strings.TrimSuffix(at[len(at)/2], ","))
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(film)
	if err != nil {
		t.Fatal(err)
	}
	copy(data[pos+4:], "\xff\x7f") // behind the track's number, its time and its flags
	if err := os.WriteFile(film, data, 0o666); err != nil {
		t.Fatal(err)
	}
}

// cutBetweenPackets copies film to short, up to where the first packet of sound behind size bytes
// starts. Of such film ffmpeg says nothing to who asks for its sound.
func cutBetweenPackets(t *testing.T, tool ffmpeg.Tool, film, short string, size int64) {
	t.Helper()
	out, err := exec.Command(tool.FFprobe, "-v", "error", "-select_streams", "a", "-show_entries", "packet=pos", "-of", "csv=p=0", film).Output()
	if err != nil {
		t.Fatal(err)
	}
	end := int64(0)
	for line := range strings.FieldsSeq(string(out)) {
		pos, err := strconv.ParseInt(strings.TrimSuffix(line, ","), 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		if pos >= size {
			end = pos
			break
		}
	}
	data, err := os.ReadFile(film)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(short, data[:end], 0o666); err != nil {
		t.Fatal(err)
	}
}

// Silence that the film holds is heard as such: with it at the film's end, and with sound that
// ends before the pictures.
func TestHearSilence(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, t.TempDir())
	dir := t.TempDir()
	for name, sound := range map[string]string{"quiet.mp4": "aevalsrc=0:s=48000:d=4", "early.mp4": tick + "2"} {
		path := filepath.Join(dir, name)
		makeFilm(t, tool, path, "-f", "lavfi", "-i", "color=s=64x36:r=25:d=4", "-f", "lavfi", "-i", sound, "-pix_fmt", "yuv420p")
		got, err := library.Hear(context.Background(), path, 0, 4*tags.Second, nil)
		if err != nil || len(got.Samples) != 4*film.SoundRate {
			t.Errorf("%s: heard %d samples (%v), want %d", name, len(got.Samples), err, 4*film.SoundRate)
		}
	}
}
