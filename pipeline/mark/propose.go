package mark

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"trenchcut/tags"
)

// Before a spot is proposed, spots of the same quarter on the same angle must be of two men who line up so
// many feet apart, and agree on where the line is to such a part of the picture.
const (
	proposeApart = 6
	proposeAgree = .05
)

// lineUp is a spot on an angle, and how far from the ball its man lines up.
type lineUp struct {
	out   float64 // feet to the right, as the defense sees it
	at    tags.Point
	there bool // in the play itself
}

// Proposed is where the rusher of a rep lines up at the snap on an angle, 0 to 1 of the picture, as his
// alignment and side tell by spots that are marked already: those of the same quarter, because teams change
// ends, and of the play itself first, because the camera aims anew at each. It fails where they do not tell,
// and says why.
func (l Look) Proposed(play int, rep, angle string) (at tags.Point, err error) {
	p := l.play(play)
	if p == nil {
		return at, errors.New("no spot is proposed: the play is only begun")
	}
	if v, err := p.View(angle); err != nil || !v.Snaps {
		return at, fmt.Errorf("no spot is proposed: the snap is not marked on %s", angle)
	}
	out, known := 0.0, false
	for _, r := range p.Reps {
		if r.Rusher.ID == rep {
			out, known = r.Outside()
		}
	}
	if !known {
		return at, errors.New("no spot is proposed: tag where he lined up and on which side")
	}
	var all []lineUp
	for _, other := range l.Game.Plays {
		if !sameQuarter(p, other) {
			continue
		}
		for _, r := range other.Reps {
			spot, marked := r.Spot[angle]
			if out, known := r.Outside(); marked && known && !(other == p && r.Rusher.ID == rep) {
				all = append(all, lineUp{out, spot, other == p})
			}
		}
	}
	return propose(all, out)
}

func sameQuarter(a, b *tags.Play) bool {
	return a.Quarter == nil && b.Quarter == nil || a.Quarter != nil && b.Quarter != nil && *a.Quarter == *b.Quarter
}

// propose is where on the straight line through spots a man lines up who is so far out.
func propose(all []lineUp, out float64) (at tags.Point, err error) {
	few := errors.New("no spot is proposed: mark those of two men of this quarter first who line up apart, on this angle")
	if len(all) == 0 {
		return at, few
	}
	var n, so, sx, sy, soo, sox, soy float64
	least, most := math.Inf(1), math.Inf(-1)
	for _, s := range all {
		n, so, sx, sy = n+1, so+s.out, sx+s.at.X, sy+s.at.Y
		soo, sox, soy = soo+s.out*s.out, sox+s.out*s.at.X, soy+s.out*s.at.Y
		least, most = min(least, s.out), max(most, s.out)
	}
	if most-least < proposeApart {
		return at, few
	}
	spread := n*soo - so*so
	stepX, stepY := (n*sox-so*sx)/spread, (n*soy-so*sy)/spread
	startX, startY := (sx-stepX*so)/n, (sy-stepY*so)/n
	var hereX, hereY, here float64
	for _, s := range all {
		offX, offY := s.at.X-startX-stepX*s.out, s.at.Y-startY-stepY*s.out
		if math.Hypot(offX, offY) > proposeAgree {
			return at, errors.New("no spot is proposed: those marked in this quarter do not agree on where the line is; click on him")
		}
		if s.there {
			hereX, hereY, here = hereX+offX, hereY+offY, here+1
		}
	}
	if here > 0 { // as the camera is aimed at this play
		startX, startY = startX+hereX/here, startY+hereY/here
	}
	at = tags.Point{X: startX + stepX*out, Y: startY + stepY*out}
	if at.X < 0 || at.X > 1 || at.Y < 0 || at.Y > 1 {
		return at, errors.New("no spot is proposed: he would be out of the picture")
	}
	return at, nil
}

// propose shows where the rusher of the rep may be, on the angle shown, until that is taken or moved.
func (f *form) propose() error {
	if f.Rep == "" {
		return errors.New("choose a rep first: the spot is its rusher's")
	}
	field := spotField(f.at.Angle)
	if v, _ := f.look.Value(f.Play, f.Rep, field); v != "" {
		return errors.New("his spot is marked: arrows after the key of the spot move it")
	}
	if _, err := f.look.Proposed(f.Play, f.Rep, f.at.Angle); err != nil {
		return err
	}
	f.close()
	f.Ask, f.Open = AskSpot, field
	return nil
}

// proposedKey is a key while a spot is proposed: the same again or Enter takes it, arrows take it and move
// it, and any other leaves it.
func (f *form) proposedKey(key string) error {
	angle := strings.TrimPrefix(string(f.Open), string(spotField("")))
	k, known := f.keyOf(key)
	arrow := strings.HasPrefix(key, "Arrow")
	f.close()
	switch {
	case key == "Enter", known && k.Do == "propose", arrow:
		at, err := f.look.Proposed(f.Play, f.Rep, angle)
		if err != nil {
			return err
		}
		if err := f.do(spotted(f.look, f.Play, f.Rep, angle, at.X, at.Y)...); err != nil || !arrow {
			return err
		}
		f.at.Angle = angle
		return f.moveSpot(key)
	case key == "Escape":
		return nil
	}
	return f.watchedKey(key)
}
