package demo

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/templates"
)

// film is one file to be drawn: a game from one camera.
type film struct {
	game          *tags.Game
	angle         string
	file          string // absolute
	tags          []byte // of the game's file
	width, height int
	rate          tags.Rate
	sound         bool
	frames        tags.Frame
	shots         []shot // in order
}

// tail is how long a film goes on after its last out.
const tail = tags.Second

// season reads the demo's tag files as they will lie in dir.
func season(dir string) (map[string][]byte, []*film, error) {
	names, err := fs.Glob(templates.FS, "demo/*"+tags.Suffix)
	if err != nil || len(names) == 0 {
		return nil, nil, fmt.Errorf("demo: no tag files among the templates: %w", err)
	}
	v, err := tags.DefaultVocabulary()
	if err != nil {
		return nil, nil, err
	}
	files := map[string][]byte{}
	var films []*film
	for _, name := range names {
		data, err := templates.FS.ReadFile(name)
		if err != nil {
			return nil, nil, fmt.Errorf("demo: %w", err)
		}
		file := filepath.Join(dir, filepath.Base(name))
		files[file] = data
		g, faults := tags.ParseGame(file, data, v)
		if err := faults.Err(); err != nil {
			return nil, nil, fmt.Errorf("demo: %w", err)
		}
		for _, f := range g.Films {
			drawn, err := newFilm(g, f, data)
			if err != nil {
				return nil, nil, err
			}
			films = append(films, drawn)
		}
	}
	return files, films, nil
}

// newFilm says how a game's film is made. One camera is another make than the rest:
// smaller, slower and deaf, so that reels of mixed film can be seen to work.
func newFilm(g *tags.Game, of tags.Film, data []byte) (*film, error) {
	f := &film{
		game: g, angle: of.Angle, file: of.File, tags: data,
		width: 1280, height: 720, rate: tags.Rate{Num: 30000, Den: 1001}, sound: true,
	}
	if g.ID == "wk2-granite" && f.angle == "sideline" {
		f.width, f.height, f.rate, f.sound = 960, 540, tags.Rate{Num: 25, Den: 1}, false
	}
	g.SetClock(f.file, tags.Clock{Rate: f.rate})
	for _, p := range g.Plays {
		v, err := p.View(f.angle)
		if err != nil {
			return nil, fmt.Errorf("demo: %w", err)
		}
		if n := len(f.shots); n > 0 && v.In < f.shots[n-1].view.Out {
			return nil, fmt.Errorf("demo: play %d starts on %s before play %d ends", p.Number, f.angle, f.shots[n-1].play.Number)
		}
		f.shots = append(f.shots, shot{p, v, newScene(p)})
	}
	if len(f.shots) == 0 {
		return nil, fmt.Errorf("demo: game %s has no plays", g.ID)
	}
	f.frames = f.rate.FrameAt(f.shots[len(f.shots)-1].view.Out + tail)
	return f, nil
}

// args is how ffmpeg is to make the film of frames on its standard input, and of the
// sound in a file where there is one. One thread and no CPU-dependent choices, so that
// the same pictures give the same bytes.
func (f *film) args(sound, out string) []string {
	args := []string{
		"-hide_banner", "-loglevel", "error", "-y",
		"-f", "rawvideo", "-pix_fmt", "yuv420p", "-video_size", fmt.Sprintf("%dx%d", f.width, f.height),
		"-framerate", f.rate.String(), "-color_range", "tv", "-i", "pipe:0",
	}
	if sound != "" {
		args = append(args, "-f", "s16le", "-ar", strconv.Itoa(sampleRate), "-ac", "2", "-i", "file:"+sound,
			"-c:a", "aac", "-b:a", "96k", "-flags:a", "+bitexact")
	}
	gop := strconv.FormatInt(2*f.rate.Nominal(), 10)
	return append(args,
		// The pictures name their colours too: from 7.1 on ffmpeg converts those that name none.
		"-vf", "setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709",
		"-c:v", "libx264", "-preset", "superfast", "-crf", "24", "-g", gop, "-pix_fmt", "yuv420p",
		"-threads", "1", "-x264-params", "cpu-independent=1",
		"-color_primaries", "bt709", "-color_trc", "bt709", "-colorspace", "bt709", "-color_range", "tv",
		"-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact",
		"-movflags", "+faststart", "-f", "mp4", "file:"+out)
}

// about is f in a few words, for errors.
func (f *film) about() string {
	return strings.TrimSuffix(filepath.Base(f.file), filepath.Ext(f.file))
}
