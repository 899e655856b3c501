package demo

import (
	"image"
	"testing"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// No label and no clock of a reel of every rush lies over the rusher, his blocker or the
// passer at the finish of a play, and while they rush over none of them but for a moment:
// where each stands is what the demo's film was drawn from.
func TestLabelsKeepClear(t *testing.T) {
	games, _ := theSeason(t)
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	season := &tags.Season{Games: games, Vocabulary: vocabulary}
	films := map[string]plan.Source{}
	choice := plan.Choice{Reps: season.Reps()}
	for _, p := range season.Plays() {
		if len(p.Reps) > 0 {
			choice.Plays = append(choice.Plays, p)
		}
		for _, a := range p.Angles() {
			if v, err := p.View(a); err == nil {
				films[v.File] = plan.Source{Fingerprint: v.File, Rate: tags.Rate{Num: 30000, Den: 1001}, Frames: 1 << 20, Width: 1280, Height: 720, Audio: -1}
			}
		}
	}
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	made, err := plan.Build(season, choice, recipe, films)
	if err != nil {
		t.Fatal(err)
	}
	looked, covered, control := 0, 0, 0
	for _, e := range made.Entries {
		if !e.Clip() {
			continue
		}
		play := play(season, e)
		v, err := play.View(e.Angle)
		if err != nil {
			t.Fatal(err)
		}
		s := newScene(play)
		c := cameraOf(e.Angle, s.spot, quarterOf(play), 1280, 720)
		frame := func(since float64) tags.Frame {
			return e.Segment.Source.Clock().FrameAt(v.Snap+tags.Time(since*float64(tags.Second))) - e.Segment.Span.In
		}
		over := overlays(t, e.Segment)
		foot := image.Rect(64, 592, 760, 684) // where a strip along the foot would lie
		for at := 0.0; at <= s.finish; at += .1 {
			n := min(frame(at), e.Segment.Frames()-1)
			if n < 0 {
				continue
			}
			looked++
			for _, man := range s.watched(c, at) {
				if foot.Overlaps(man) {
					control++
				}
			}
			for _, o := range over {
				if n < o.span.In || n >= o.span.Out {
					continue
				}
				for _, man := range s.watched(c, at) {
					if !o.at.Overlaps(man) {
						continue
					}
					covered++
					if at > s.finish-.3 {
						t.Errorf("%s on %s, %.1f s after the snap: the overlay at %v covers a man at %v", play.Name(), e.Angle, at, o.at, man)
					}
				}
			}
		}
	}
	if control == 0 {
		t.Error("not even a strip along the foot covers anybody: the test sees nothing")
	}
	if looked < 1000 {
		t.Errorf("only %d pictures were looked at", looked)
	}
	if covered*100 > looked {
		t.Errorf("%d men are covered in %d pictures: want fewer than one in a hundred", covered, looked)
	}
	t.Logf("%d men covered in %d pictures, %d by a strip along the foot", covered, looked, control)
}

// overlay is a label or the clock, with where it lies and when.
type overlay struct {
	at   image.Rectangle
	span tags.Span
}

func overlays(t *testing.T, s plan.Segment) []overlay {
	t.Helper()
	var list []overlay
	for _, l := range s.Layers {
		switch {
		case l.Label != nil:
			p, err := draw.Label(*l.Label, s.Look, s.House)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, overlay{p.Image.Rect.Add(p.At), l.Span})
		case l.Clock != nil:
			c, err := draw.Clock(*l.Clock, tags.Span{In: l.Span.Out - 1, Out: l.Span.Out}, s.Look, s.House)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, overlay{image.Rect(0, 0, c.Image.Rect.Dx(), c.Height).Add(c.At), l.Span})
		}
	}
	return list
}

// play is the play that an entry shows.
func play(season *tags.Season, e plan.Entry) *tags.Play {
	for _, p := range season.Plays() {
		if p.Game.ID == e.Game && p.Number == e.Play {
			return p
		}
	}
	return nil
}

func quarterOf(p *tags.Play) int {
	if p.Quarter == nil {
		return 1
	}
	return *p.Quarter
}

// watched is where the tagged rushers, their blockers and the passer stand in a picture.
func (s *scene) watched(c camera, at float64) []image.Rectangle {
	places := []point{s.passer(s.slowed(at))}
	for _, p := range s.pairs[:s.tagged] {
		places = append(places, p.rusher(s.slowed(at)), p.guard.at(s.slowed(at)))
	}
	var list []image.Rectangle
	for _, p := range places {
		x, y, scale := c.project(s.spot.add(p).up(.3))
		r := radius * scale
		list = append(list, image.Rect(int(x-r), int(y-r*.8), int(x+r), int(y+r*.8)))
	}
	return list
}
