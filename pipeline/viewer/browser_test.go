package viewer_test

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/png"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

func TestMain(m *testing.M) {
	code := m.Run()
	browser.End()
	os.Exit(code)
}

// screen is a page with films in step, in a browser.
type screen struct {
	*browser.Browser
	t     *testing.T
	films []*viewer.Film
}

// policy is the strictest that the module works under.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; media-src 'self'"

// openScreen shows films in a page.
func openScreen(t *testing.T, v http.Handler, films ...*viewer.Film) *screen {
	t.Helper()
	b := browser.Start(t)
	mux := http.NewServeMux()
	mux.Handle("/film/", http.StripPrefix("/film", v))
	mux.Handle("/", http.FileServer(http.Dir("testdata")))
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		mux.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	b.Open(server.URL+"/page.html", 700)
	s := &screen{b, t, films}
	b.Wait("window.seen")
	ids := ""
	for _, f := range films {
		ids += fmt.Sprintf("%q,", f.ID)
	}
	b.Eval("open("+ids+")", nil)
	t.Cleanup(func() { b.Eval("screen.close()", nil) })
	return s
}

// state is what a pane says of itself.
type state struct {
	Frame   tags.Frame
	Seconds float64
	Playing bool
	Smooth  bool
	Fault   string
}

func (s *screen) state(pane int) (got state) {
	s.t.Helper()
	s.Eval(fmt.Sprintf("(({frame, seconds, playing, smooth, fault}) => ({frame, seconds, playing, smooth, fault}))(screen.panes[%d])", pane), &got)
	return got
}

// number reads the number of the frame off what the browser has on the screen.
func (s *screen) number(pane int) tags.Frame {
	s.t.Helper()
	var got struct{ Data string }
	s.Must("Page.captureScreenshot", nil, &got)
	data, err := base64.StdEncoding.DecodeString(got.Data)
	if err != nil {
		s.t.Fatal(err)
	}
	picture, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		s.t.Fatal(err)
	}
	n, err := strip.Read(picture, image.Rect(0, 360*pane, 640, 360*pane+360))
	if err != nil {
		s.t.Errorf("pane %d: %v", pane, err)
	}
	return n
}

// stands holds that a pane stands at frame want and shows it.
func (s *screen) stands(pane int, want tags.Frame) {
	s.t.Helper()
	got := s.state(pane)
	if shows := s.number(pane); got.Playing || got.Frame != want || shows != want || got.Fault != "" {
		s.t.Errorf("pane %d says %+v and shows %d, want it to stand at %d", pane, got, shows, want)
	}
}

// sight is what a pane said of itself and what it showed then.
type sight struct {
	Pane    int
	Frame   tags.Frame
	Shows   tags.Frame
	Playing bool
}

// seen is all sights since it was called last.
func (s *screen) seen() (all []sight) {
	s.t.Helper()
	s.Eval("seen.splice(0)", &all)
	return all
}

// lag is how much later than it says a page that is told of a picture of a video may find the
// video to be, on a busy machine: three pictures of most film.
const lag = tags.Second / 10

// plays plays for a while and pauses, and holds that what was on the screen was the frame that
// was said: always where it stands, mostly while a video plays, and never one before it. It
// returns what the leading pane showed.
func (s *screen) plays(script string, until string) (frames []tags.Frame) {
	s.t.Helper()
	s.seen()
	s.Eval(script, nil)
	s.Wait(until)
	s.Eval("screen.pause()", nil)
	sights := s.seen()
	late := 0
	for _, at := range sights {
		switch {
		case at.Shows == at.Frame:
		case at.Playing && at.Shows > at.Frame && at.Shows <= at.Frame+s.films[at.Pane].Source.Rate.Ceil(lag):
			late++
		default:
			s.t.Errorf("%s: pane %d says frame %d and shows %d", script, at.Pane, at.Frame, at.Shows)
		}
		if at.Pane == 0 && at.Playing {
			frames = append(frames, at.Frame)
		}
	}
	if late > len(sights)/3 {
		s.t.Errorf("%s: of %d frames seen %d were others than said", script, len(sights), late)
	}
	for pane := range s.films {
		s.stands(pane, s.state(pane).Frame)
	}
	return frames
}

// The frame on the screen is the frame that its number says: stepping, playing, paused, in a
// loop, of film that the browser plays itself.
func TestScreen(t *testing.T) {
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), b.film(footage{"film.mp4", rate2997, 700, true, nil}))
	if err != nil {
		t.Fatal(err)
	}
	if !f.Plain {
		t.Fatal("film as most cameras make it is not played as it is")
	}
	s := openScreen(t, v, f)
	s.Wait("screen.lead.smooth")
	for _, step := range []struct {
		script string
		want   tags.Frame
	}{
		{"screen.show(0)", 0},
		{"screen.step(1)", 1},
		{"screen.step(-5)", 0},
		{"screen.show(431)", 431},
		{"screen.step(-1)", 430},
		{"screen.step(-30)", 400},
		{"screen.step(1)", 401},
		{"screen.show(1e6)", 699},
		{"screen.step(1)", 699},
		{"screen.step(-1)", 698},
		{"Promise.all([screen.step(-1), screen.step(-1), screen.step(-1)])", 695},
	} {
		s.Eval(step.script, nil)
		s.stands(0, step.want)
		if got, want := s.state(0).Seconds, (f.Source.First + f.Source.Rate.Duration(step.want)).Seconds(); got < want-1e-6 || got > want+1e-6 {
			t.Errorf("frame %d is at %f s, want %f", step.want, got, want)
		}
	}
	s.Eval("screen.expect([5, 600])", nil)
	started, _ := v.Runs()
	s.Eval("screen.show(600)", nil)
	s.stands(0, 600)
	if again, _ := v.Runs(); started == 0 || again > started+2 {
		t.Errorf("%d runs were started for a jump that was expected", again-started)
	}
	for _, speed := range []string{"1", "0.25", "2"} {
		s.Eval("screen.show(290)", nil)
		frames := s.plays("screen.speed = "+speed+"; screen.play()", "screen.frame > 310")
		if len(frames) == 0 || frames[0] < 290 || frames[0] > 300 {
			t.Errorf("at %s × it plays %v, want it to begin at 290", speed, frames)
		}
	}
	s.Eval("screen.speed = 1; screen.show(400)", nil)
	frames := s.plays("window.rounds = 0; screen.addEventListener('frame', () => { if (screen.frame === 395) rounds++; }); screen.play({in: 395, out: 405})", "rounds > 3")
	const late = 15 // a busy browser tells of the last frame late, and plays on until it does
	for _, n := range frames {
		if n < 395 || n >= 405+late {
			t.Errorf("the loop from 395 to 405 shows %d", n)
		}
	}
	// To the end, where it stops by itself.
	s.Eval("screen.show(680)", nil)
	s.plays("screen.play()", "!screen.playing")
	if got := s.state(0).Frame; got < 698 {
		t.Errorf("at the end it stands at %d, want 699", got)
	}
}

// smoothFilm shows film that the browser plays by itself.
func smoothFilm(t *testing.T) *screen {
	t.Helper()
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), b.film(footage{"film.mp4", rate2997, 700, true, nil}))
	if err != nil {
		t.Fatal(err)
	}
	s := openScreen(t, v, f)
	s.Wait("screen.lead.smooth")
	return s
}

// A still that is on its way to the screen when the film goes elsewhere never comes over the
// frame that the video found there.
func TestLateStill(t *testing.T) {
	s := smoothFilm(t)
	s.Eval("screen.show(290)", nil)
	s.Eval(`window.real = createImageBitmap; window.held = []; window.createImageBitmap = (blob) => new Promise((done) => held.push(() => done(real(blob)))); 1`, nil)
	s.Eval("void screen.step(1)", nil)
	s.Wait("held.length > 0")
	s.Eval("screen.show(99)", nil) // whose still is held as well, so that the video is first
	s.stands(0, 99)
	s.Eval("held[0](); new Promise((done) => setTimeout(done, 300))", nil)
	s.stands(0, 99)
	s.Eval("window.createImageBitmap = real; held.forEach((go) => go()); 1", nil)
	s.stands(0, 99)
}

// What is marked while a video plays is the frame that was on the screen when the key went down,
// by when the browser expected each to come there (requestVideoFrameCallback's
// expectedDisplayTime), and where it stands it is the frame that stands.
func TestSeenAt(t *testing.T) {
	s := smoothFilm(t)
	var stood tags.Frame
	s.Eval("screen.show(290)", nil)
	if s.Eval("screen.lead.seenAt(performance.now())", &stood); stood != 290 {
		t.Errorf("at frame 290 what was seen is %d", stood)
	}
	for _, factor := range []float64{1, .25, 2} {
		s.Eval("screen.show(100)", nil)
		s.Eval(fmt.Sprintf("screen.speed = %g; void screen.play()", factor), nil)
		s.Wait("screen.frame > 104")
		var presses []struct {
			Shows, Seen tags.Frame
			Took        float64 // seconds, to look
		}
		s.Eval("press(24)", &presses)
		s.Eval("screen.pause()", nil)
		last := tags.Frame(100)
		for _, p := range presses {
			// A video has a picture one or two before it comes to the screen, and to look takes time.
			most := s.films[0].Source.Rate.Ceil(lag+tags.Time(p.Took*float64(tags.Second)*factor)) + 1
			if p.Seen < last || p.Seen > p.Shows || p.Seen < p.Shows-most {
				t.Errorf("at %g × frame %d was seen after %d, when the video had %d %.3f s later", factor, p.Seen, last, p.Shows, p.Took)
			}
			last = p.Seen
		}
	}
}

// A jump is on the screen once the video has its very frame, while the still is on its way; a
// step from there waits for its still.
func TestGlimpse(t *testing.T) {
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	for _, made := range []footage{{"film.mp4", rate2997, 700, true, nil}, {"transport.ts", rate5994, 700, true, []string{"-g", "60"}}} {
		t.Run(made.name, func(t *testing.T) {
			brief.Only(t, made.name == "film.mp4")
			f, err := v.Add(t.Context(), b.film(made))
			if err != nil {
				t.Fatal(err)
			}
			gate := make(chan struct{})
			s := openScreen(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if strings.Contains(r.URL.Path, "/stills/") {
					select {
					case <-gate:
					case <-r.Context().Done():
						return
					}
				}
				v.ServeHTTP(w, r)
			}), f)
			s.Wait("screen.lead.smooth")
			for _, n := range []tags.Frame{431, 0, 299, 300, 699, 42, 301} {
				s.Eval(fmt.Sprintf("screen.show(%d)", n), nil)
				s.stands(0, n)
			}
			s.Eval("void screen.step(1)", nil)
			s.Eval("screen.show(17)", nil)
			s.stands(0, 17)
			s.Eval("void screen.show(500); void screen.show(501); void screen.show(20); screen.show(502)", nil) // faster than they come
			s.stands(0, 502)
			close(gate)
			s.Eval("screen.step(1)", nil)
			s.stands(0, 503)
			s.plays("screen.play()", "screen.frame > 530")
			s.Eval("screen.play()", nil)
			s.Wait("screen.frame > 545")
			s.Eval("screen.show(100)", nil)
			s.stands(0, 100)
		})
	}
}

// Two films of other rates are in step, of which one is played by a stand-in.
func TestInStep(t *testing.T) {
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	var films []*viewer.Film
	for _, made := range []footage{{"film.mp4", rate2997, 700, true, nil}, {"transport.ts", rate5994, 700, true, []string{"-g", "60"}}} {
		f, err := v.Add(t.Context(), b.film(made))
		if err != nil {
			t.Fatal(err)
		}
		films = append(films, f)
	}
	s := openScreen(t, v, films...)
	s.Eval("screen.align([90, 200])", nil)
	for _, step := range []struct {
		script string
		want   [2]tags.Frame
	}{
		{"screen.show(120)", [2]tags.Frame{120, 260}},
		{"screen.step(-1)", [2]tags.Frame{119, 258}},
		{"screen.leadBy(1).then(() => screen.step(1))", [2]tags.Frame{119, 259}},
		{"screen.step(1)", [2]tags.Frame{120, 260}},
		{"screen.leadBy(0).then(() => screen.align([90, 300]))", [2]tags.Frame{120, 360}},
	} {
		s.Eval(step.script, nil)
		for pane, want := range step.want {
			s.stands(pane, want)
		}
	}
	s.Wait("screen.panes.every((pane) => pane.smooth)")
	s.Eval("screen.show(200)", nil)
	s.plays("screen.play()", "screen.frame > 260")
	lead, other := s.state(0).Frame, s.state(1).Frame
	if want := 300 + 2*(lead-90); other != want {
		t.Errorf("paused at %d, the other film is at %d, want %d", lead, other, want)
	}
}

// Film that no browser plays is played by its stills until there is something better.
func TestPlayedByStills(t *testing.T) {
	b := newBench(t)
	v := viewer.New(b.library, viewer.Options{})
	defer v.Close()
	f, err := v.Add(t.Context(), b.film(footage{"transport.ts", rate5994, 700, true, []string{"-g", "60"}}))
	if err != nil {
		t.Fatal(err)
	}
	s := openScreen(t, v, f)
	s.Eval("screen.show(100)", nil)
	frames := s.plays("screen.play()", "screen.frame > 150")
	for i, n := range frames {
		if n != 100+tags.Frame(i) && n != 101+tags.Frame(i) {
			t.Fatalf("played by stills it shows %v", frames)
		}
	}
	for _, n := range s.plays("window.rounds = 0; screen.addEventListener('frame', () => { if (screen.frame === 140) rounds++; }); screen.play({in: 140, out: 145})", "rounds > 2") {
		if n < 140 || n >= 145 {
			t.Errorf("the loop from 140 to 145 shows %d", n)
		}
	}
}

// Film that this browser does not play, though others do, is played by a stand-in.
func TestUnplayable(t *testing.T) {
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), b.film(footage{"film.mp4", rate2997, 700, true, nil}))
	if err != nil {
		t.Fatal(err)
	}
	s := openScreen(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/film.mp4") {
			w.Header().Set("Content-Type", "video/mp4")
			_, _ = w.Write([]byte("no film"))
			return
		}
		v.ServeHTTP(w, r)
	}), f)
	s.Wait(`screen.lead.smooth && screen.lead.video.file === "standin.mp4"`)
	s.Eval("screen.show(290)", nil)
	s.plays("screen.play()", "screen.frame > 310")
	var place [4]float64
	s.Eval("(({x, y, width, height}) => [x, y, width, height])(screen.lead.place)", &place)
	if place != [4]float64{0, 0, 640, 360} {
		t.Errorf("the picture is at %v", place)
	}
}

// Timecodes of the module are those of the tags.
func TestTimecode(t *testing.T) {
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), b.film(footage{"film.mp4", rate2997, 60, true, nil}))
	if err != nil {
		t.Fatal(err)
	}
	s := openScreen(t, v, f)
	for _, rate := range []tags.Rate{rate2997, rate5994, {Num: 25, Den: 1}, {Num: 24000, Den: 1001}} {
		for _, counting := range []tags.Counting{"", tags.NonDrop, tags.DropFrame} {
			drop := counting == tags.DropFrame
			if drop && !rate.DropFrame() {
				continue
			}
			for _, n := range []tags.Frame{0, 1, 1799, 1800, 1801, 3599, 3600, 17981, 17982, 107_891, 107_892, 2_589_407, 2_589_408} {
				var got string
				s.Eval(fmt.Sprintf(`timecode({start: 7, counting: %q, rate: {num: %d, den: %d}}, %d)`, counting, rate.Num, rate.Den, n), &got)
				if want := fmt.Sprint(rate.Timecode(n+7, drop)); got != want {
					t.Errorf("frame %d at %s, counted %q, is %s, want %s", n, rate, counting, got, want)
				}
			}
		}
	}
}
