package render_test

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"maps"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// bench is a workplace for tests that make real reels from film whose frames carry
// their number.
type bench struct {
	t       testing.TB
	dir     string
	maker   *render.Maker
	library *film.Library
	films   map[string]plan.Source // of the season
	slates  bool                   // it shares the slates of other tests
}

func newBench(t testing.TB) *bench {
	t.Helper()
	dir := t.TempDir()
	maker, err := newMaker(filepath.Join(dir, "cache"))
	if err != nil {
		t.Fatal(err)
	}
	return &bench{t: t, dir: dir, library: maker.Films.(*film.Library), maker: maker}
}

// sharing is newBench for a test of film, which need not render a slate that another test
// rendered already.
func sharing(t testing.TB) *bench {
	t.Helper()
	b := newBench(t)
	b.slates = true
	return b
}

// toolchain is what ffmpeg says of itself, asked once for all tests.
var toolchain = sync.OnceValues(func() (string, error) {
	tool, err := ffmpeg.Find()
	if err != nil {
		return "", err
	}
	return tool.Version(context.Background())
})

// newMaker makes reels with everything it keeps in the folder cache.
func newMaker(cache string) (*render.Maker, error) {
	tool, err := ffmpeg.Find()
	if err != nil {
		return nil, err
	}
	version, err := toolchain()
	return &render.Maker{
		Tool: tool, Toolchain: version, Films: film.NewLibrary(tool, filepath.Join(cache, "film")), Workers: 2, Version: "test",
		Store: render.Dir{Root: filepath.Join(cache, "segments")},
	}, err
}

// footage is a film to be made.
type footage struct {
	name   string
	width  int
	height int
	rate   tags.Rate
	frames tags.Frame
	sound  bool
	mux    []string // further arguments for ffmpeg
}

var (
	rate2997 = tags.Rate{Num: 30000, Den: 1001}
	rate25   = tags.Rate{Num: 25, Den: 1}
	rate5994 = tags.Rate{Num: 60000, Den: 1001}
)

// chirp is the sound of every footage: for the first 20 ms of each second of film, a
// sweep from 500 to 6000 Hz, whose place can be found to the sample.
const chirp = "0.5*sin(2*PI*(500*mod(t\\,1)+137500*mod(t\\,1)*mod(t\\,1)))*lt(mod(t\\,1)\\,0.02)"

// shot holds the bytes of footage that was made for any test, by how it is made.
var shot sync.Map // of func() ([]byte, error)

// film makes the footage, or copies it where another test had the same made.
func (b *bench) film(f footage) string {
	b.t.Helper()
	path := filepath.Join(b.dir, f.name)
	key := fmt.Sprint(filepath.Ext(f.name), f.width, f.height, f.rate, f.frames, f.sound, f.mux)
	once, _ := shot.LoadOrStore(key, sync.OnceValues(func() ([]byte, error) {
		if err := b.shoot(f, path); err != nil {
			return nil, err
		}
		return os.ReadFile(path)
	}))
	data, err := once.(func() ([]byte, error))()
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		b.t.Fatal(err)
	}
	return path
}

// shoot makes the footage, with groups of 250 pictures and three B-frames, the hardest to
// cut exactly.
func (b *bench) shoot(f footage, path string) error {
	args := []string{"-f", "rawvideo", "-pix_fmt", "rgba", "-s", fmt.Sprintf("%dx%d", f.width, f.height), "-r", f.rate.String(), "-i", "pipe:0"}
	if f.sound {
		args = append(args, "-f", "lavfi", "-i", fmt.Sprintf("aevalsrc=exprs=%s:s=48000:c=stereo:d=%s", chirp, f.rate.Duration(f.frames).Decimal()), "-c:a", "aac", "-b:a", "192k")
	}
	args = append(args, "-pix_fmt", "yuv420p", "-c:v", "libx264", "-preset", "ultrafast", "-refs", "3", "-crf", "18", "-g", "250", "-bf", "3", "-sc_threshold", "0")
	args = append(append(args, f.mux...), "file:"+path)
	r, w := io.Pipe()
	go func() { w.CloseWithError(strip.Film(w, f.width, f.height, f.frames)) }()
	return b.maker.Tool.Run(context.Background(), args, r, nil)
}

// season reads a tag file that names films as angles, with the plays given.
func (b *bench) season(films map[string]string, plays string) *tags.Season {
	b.t.Helper()
	quoted := map[string]string{}
	for angle, film := range films {
		quoted[angle] = strconv.Quote(film)
	}
	return b.seasonOf(quoted, plays)
}

// seasonOf is season with each film as YAML: a name, or a list of them.
func (b *bench) seasonOf(films map[string]string, plays string) *tags.Season {
	b.t.Helper()
	var text strings.Builder
	text.WriteString("trenchcut: 1\ngame: {id: wk1-test, date: 2026-09-05, us: Cedar Hollow, opponent: Harbor State}\nfilm:\n")
	for _, angle := range slices.Sorted(maps.Keys(films)) {
		fmt.Fprintf(&text, "  %s: {file: %s}\n", angle, films[angle])
	}
	text.WriteString("people:\n  marlow: {name: Teo Marlow, team: us, jersey: 91}\n  okafor: {name: Ike Okafor, team: us, jersey: 55}\nplays:\n" + plays)
	file := filepath.Join(b.dir, "wk1"+tags.Suffix)
	if err := os.WriteFile(file, []byte(text.String()), 0o666); err != nil {
		b.t.Fatal(err)
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		b.t.Fatal(err)
	}
	season, faults, err := tags.Cache{}.Load([]string{file}, vocabulary)
	if err != nil {
		b.t.Fatal(err)
	}
	found, missing, err := b.library.Survey(context.Background(), season.Games)
	if err != nil {
		b.t.Fatal(err)
	}
	b.films = found
	faults = append(append(faults, missing...), season.Games[0].CheckFilm(plan.Extents(found))...)
	if faults.Grave() > 0 {
		b.t.Fatal(faults)
	}
	return season
}

// slateFrames is how long slates stand in tests, so that film takes most of each reel.
const slateFrames = 6

// plan plans the reel of every play of the season. Its slates are short and have no still of
// film, so that tests share them.
func (b *bench) plan(season *tags.Season, change func(*plan.Recipe)) *plan.Plan {
	b.t.Helper()
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		b.t.Fatal(err)
	}
	recipe.Title, recipe.NoStills = "Test", true
	if change != nil {
		change(&recipe)
	}
	p, err := plan.Build(season, plan.Choice{Asked: "everything", Plays: season.Plays(), Reps: season.Reps()}, recipe, b.films)
	if err != nil {
		b.t.Fatal(err)
	}
	if len(p.LeftOut) > 0 {
		b.t.Fatalf("left out: %q", p.LeftOut)
	}
	for i := range p.Entries {
		if s := &p.Entries[i].Segment; s.Kind == plan.Slate {
			s.Hold = slateFrames
		}
	}
	return p
}

func (b *bench) make(p *plan.Plan, name string) (out string, report render.Report) {
	b.t.Helper()
	out = filepath.Join(b.dir, name)
	b.takeSlates(p)
	report, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
	if err != nil {
		b.t.Fatal(err)
	}
	b.leaveSlates(p)
	return out, report
}

// rendered holds the slates that any test rendered: their movies, by key.
var rendered sync.Map // of []byte

// takeSlates puts slates of p that are rendered already into the store.
func (b *bench) takeSlates(p *plan.Plan) {
	b.t.Helper()
	b.eachSlate(p, func(key plan.Key, path string) error {
		movie, ok := rendered.Load(key)
		if !ok {
			return nil
		}
		return errors.Join(os.MkdirAll(filepath.Dir(path), 0o777), os.WriteFile(path, movie.([]byte), 0o666))
	})
}

// leaveSlates keeps the slates of p for other tests.
func (b *bench) leaveSlates(p *plan.Plan) {
	b.t.Helper()
	b.eachSlate(p, func(key plan.Key, path string) error {
		movie, err := os.ReadFile(path)
		rendered.LoadOrStore(key, movie)
		return err
	})
}

// eachSlate calls do with each slate of p and its place in the store, if slates are shared.
func (b *bench) eachSlate(p *plan.Plan, do func(key plan.Key, path string) error) {
	b.t.Helper()
	for _, e := range p.Entries {
		if !b.slates || e.Segment.Kind != plan.Slate {
			continue
		}
		key, err := e.Segment.Key(b.maker.Toolchain)
		if err != nil {
			b.t.Fatal(err)
		}
		path, err := b.maker.Store.Open(context.Background(), key)
		if err == nil {
			err = do(key, path)
		}
		if err != nil {
			b.t.Fatal(err)
		}
	}
}

// The size reels are decoded to for looking at: small, but large enough for the strip.
const lookWidth, lookHeight = 640, 360

// frames decodes one stream of a film or reel and calls look with each picture, in grey,
// which is look's until it returns.
func (b *bench) frames(path string, stream int, look func(n int, picture *image.Gray)) (count int) {
	b.t.Helper()
	return b.framesUpTo(1<<30, path, stream, look)
}

// framesUpTo is frames for the first most pictures.
func (b *bench) framesUpTo(most int, path string, stream int, look func(n int, picture *image.Gray)) (count int) {
	b.t.Helper()
	raw := filepath.Join(b.t.TempDir(), "raw")
	every, err := b.maker.Tool.RateMode(context.Background(), "passthrough")
	if err != nil {
		b.t.Fatal(err)
	}
	args := append([]string{"-i", "file:" + path, "-map", fmt.Sprintf("0:%d", stream)}, every...)
	err = b.maker.Tool.Run(context.Background(), append(args, "-frames:v", strconv.Itoa(most),
		"-vf", fmt.Sprintf("scale=%d:%d,settb=1/25,setpts=N,fps=25", lookWidth, lookHeight), "-pix_fmt", "gray", "-f", "rawvideo", "file:"+raw,
	), nil, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	defer os.Remove(raw)
	f, err := os.Open(raw)
	if err != nil {
		b.t.Fatal(err)
	}
	defer f.Close()
	picture := image.NewGray(image.Rect(0, 0, lookWidth, lookHeight))
	for n := 0; ; n++ {
		if _, err := io.ReadFull(f, picture.Pix); errors.Is(err, io.EOF) {
			return n
		} else if err != nil {
			b.t.Fatal(err)
		}
		look(n, picture)
	}
}

// sound decodes a reel's sound to samples of one channel.
func (b *bench) sound(path string) []int16 {
	b.t.Helper()
	raw := filepath.Join(b.t.TempDir(), "raw")
	err := b.maker.Tool.Run(context.Background(), []string{"-i", "file:" + path, "-map", "0:a:0", "-ac", "1", "-ar", "48000", "-f", "s16le", "file:" + raw}, nil, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	data, err := os.ReadFile(raw)
	if err != nil {
		b.t.Fatal(err)
	}
	samples := make([]int16, len(data)/2)
	for i := range samples {
		samples[i] = int16(data[2*i]) | int16(data[2*i+1])<<8
	}
	return samples
}

// want is the source frame that the reel must show at frame k of a segment: at equal
// rates the k-th of the span, else the one that is on when the house ticks for the
// k-th time, at the segment's speed; where the picture stands, the one.
func want(s plan.Segment, k tags.Frame) tags.Frame {
	if s.Hold > 0 {
		return s.Span.In
	}
	house, src := s.House.Rate, s.Source.Rate
	return s.Span.In + tags.Frame(int64(k)*house.Den*src.Num*s.Speed.Num/(house.Num*src.Den*s.Speed.Den))
}

// wantBelow is want of the film below: the frame that is on Into and k ticks of the house,
// at the segment's speed, after the first of its span starts.
func wantBelow(s plan.Segment, k tags.Frame) tags.Frame {
	if s.Hold > 0 {
		return s.Below.Span.In
	}
	at := new(big.Rat).Mul(big.NewRat(int64(k)*s.House.Rate.Den, s.House.Rate.Num), big.NewRat(s.Speed.Num, s.Speed.Den))
	at.Add(at, big.NewRat(int64(s.Below.Into), int64(tags.Second)))
	at.Mul(at, big.NewRat(s.Below.Source.Rate.Num, s.Below.Source.Rate.Den))
	return s.Below.Span.In + tags.Frame(new(big.Int).Div(at.Num(), at.Denom()).Int64())
}

// place is where film that is fitted by f lies in a picture of the size looked at.
func place(f plan.Fit, house plan.House) image.Rectangle {
	x, y := float64(lookWidth)/float64(house.Width), float64(lookHeight)/float64(house.Height)
	return image.Rect(int(float64(f.X)*x), int(float64(f.Y)*y), int(float64(f.X+f.Width)*x), int(float64(f.Y+f.Height)*y))
}

// checkFrames reads the number off every frame of a reel and holds it to the plan.
func (b *bench) checkFrames(p *plan.Plan, reel string) {
	b.t.Helper()
	b.checkNumbers(p, reel, func(n tags.Frame) tags.Frame { return n })
}

// checkWhole holds every frame and the sound of a reel of whole film to the plan; said is what
// was told of the film, which must be nothing against it.
func (b *bench) checkWhole(p *plan.Plan, reel, said string) {
	b.t.Helper()
	b.checkFrames(p, reel)
	if strings.Contains(said, "silence") || strings.Contains(said, "missing") {
		b.t.Errorf("whole film is called broken: %s", said)
	}
	b.checkSound(p, reel)
}

// checkSound holds the sound of each clip of a reel to the plan, by the chirps of film at
// 30000/1001 frames a second.
func (b *bench) checkSound(p *plan.Plan, reel string) {
	b.t.Helper()
	heard := b.sound(reel)
	var start tags.Frame
	for _, e := range p.Entries {
		if s := e.Segment; s.Kind == plan.Film {
			// Sound starts with the first picture, which comes a little into the stream.
			offset := chirpOffset(heard, p.House.Rate.Duration(start), rate2997.Duration(s.Span.In), rate2997.Duration(s.Span.Out))
			b.t.Logf("%s: sound is %.3f ms late", e.Chapter, offset)
			if math.Abs(offset) > 3 {
				b.t.Errorf("%s: sound is %.3f ms late, want within 3 ms", e.Chapter, offset)
			}
		}
		start += e.Segment.Frames()
	}
}

// checkNumbers is checkFrames for film whose frame n carries the number that carries says.
func (b *bench) checkNumbers(p *plan.Plan, reel string, carries func(n tags.Frame) tags.Frame) {
	b.t.Helper()
	var expected []func(*image.Gray) error
	for _, e := range p.Entries {
		for k := range e.Segment.Frames() {
			if e.Segment.Kind == plan.Slate {
				expected = append(expected, func(*image.Gray) error { return nil })
				continue
			}
			shows := func(picture *image.Gray, fit plan.Fit, frame tags.Frame) error {
				got, err := strip.Read(picture, place(fit, e.Segment.House))
				if err != nil {
					return fmt.Errorf("%s, frame %d: %w", e.Chapter, k, err)
				}
				if w := carries(frame); got != w {
					return fmt.Errorf("%s, frame %d shows source frame %d, want %d", e.Chapter, k, got, w)
				}
				return nil
			}
			expected = append(expected, func(picture *image.Gray) error {
				err := shows(picture, e.Segment.Fit, want(e.Segment, k))
				if below := e.Segment.Below; below != nil {
					err = errors.Join(err, shows(picture, below.Fit, wantBelow(e.Segment, k)))
				}
				return err
			})
		}
	}
	wrong := 0
	count := b.frames(reel, 0, func(n int, picture *image.Gray) {
		if n >= len(expected) || wrong > 10 {
			return
		}
		if err := expected[n](picture); err != nil {
			b.t.Errorf("reel frame %d: %v", n, err)
			wrong++
		}
	})
	if count != len(expected) || tags.Frame(count) != p.Frames() {
		b.t.Errorf("the reel has %d frames, want %d", count, len(expected))
	}
}

// fewer is few where tests are to be short, else all.
func fewer(all, few int) int {
	if testing.Short() {
		return few
	}
	return all
}
