package demo

import (
	"flag"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
	"trenchcut/tags/invent"
)

// The part of the picture that a phone shows keeps the rusher in it, and the passer at the
// finish, where it is followed at all: held to where the men are of whom the film is drawn,
// on the demo's film and on that of invented games on which no threshold was set.
func TestFollow(t *testing.T) {
	_, films := theSeason(t)
	demo := follow(t, films)
	held := follow(t, inventedFilms(t, 0, *followGames))
	for name, f := range map[string]followed{"the demo": demo, "invented games": held} {
		t.Logf("%s: %+v", name, f)
		if f.plays < 20 || f.sure*2 < f.plays {
			t.Errorf("%s: %d of %d plays are followed", name, f.sure, f.plays)
		}
		if f.man*100 < f.looked*94 {
			t.Errorf("%s: the rusher is in %d of %d pictures", name, f.man, f.looked)
		}
		if f.cut*200 > f.sure {
			t.Errorf("%s: the passer is cut off at the finish of %d plays of %d", name, f.cut, f.sure)
		}
	}
}

// followGames is how many invented games are followed; of 80 there are 1,100 such plays.
var followGames = flag.Int("followgames", 3, "invented games to follow")

// followed counts plays, those that are followed, pictures of those, in how many the man is,
// and plays whose passer is cut off at the finish.
type followed struct{ plays, sure, looked, man, cut int }

func follow(t *testing.T, films []*film) (sum followed) {
	t.Helper()
	const width = plan.PhonePart
	for _, f := range films {
		if f.angle != "endzone" {
			continue
		}
		small := *f
		small.width, small.height = 128, 72
		p := newPainter(&small)
		for i, s := range small.shots {
			if s.tagged == 0 || !s.view.Snaps || !slices.Contains([]string{"dropback", "play-action", "quick"}, s.play.Type) {
				continue
			}
			c := small.camera(s)
			x := func(p point) float64 {
				x, _, _ := c.project(s.spot.add(p).up(.3))
				return x / 128
			}
			var trail watch.Trail
			p.open(i)
			first := -tags.Second / 2
			for at := first.Seconds(); at <= s.finish; at += .1 {
				p.frame(small.rate.FrameAt(s.view.Snap + tags.Time(at*float64(tags.Second))))
				trail.See(p.planes)
			}
			sum.plays++
			man := math.Round(x(s.pairs[0].rusher(0))*100) / 100 // as it is marked
			way, ok := trail.Motion(first).Window(width, &man)
			if !ok {
				continue
			}
			sum.sure++
			shows := func(since float64, p point) bool {
				return math.Abs(x(p)-way.At(tags.Time(since*float64(tags.Second)))) < width/2-.015
			}
			for since := 0.0; since <= s.finish; since += .1 {
				sum.looked++
				if shows(since, s.pairs[0].rusher(s.slowed(since))) {
					sum.man++
				}
			}
			if !shows(s.finish, s.passer(s.slowed(s.finish))) {
				sum.cut++
			}
		}
	}
	return sum
}

// inventedFilms is the film of invented games.
func inventedFilms(t *testing.T, from, games int) []*film {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	var films []*film
	for seed := range games {
		_, text := invent.Game(uint64(from+seed)+40000, 0, 70)
		g, faults := tags.ParseGame(filepath.Join(t.TempDir(), "wk1.game.yaml"), text, v)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		for _, of := range g.Films {
			f, err := newFilm(g, of, nil)
			if err != nil {
				t.Fatal(err)
			}
			films = append(films, f)
		}
	}
	return films
}
