package watch

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"slices"

	"trenchcut/tags"
)

// The size of a still, in pixels.
const (
	stillWidth  = 256
	stillHeight = 144
)

// Still is a frame of a film in small, kept while the film was looked through.
type Still struct {
	At   tags.Frame
	JPEG []byte
}

// Picture decodes s.
func (s Still) Picture() (image.Image, error) {
	m, err := jpeg.Decode(bytes.NewReader(s.JPEG))
	if err != nil {
		return nil, fmt.Errorf("read the still of frame %d: %w", s.At, err)
	}
	return m, nil
}

// stillOf is frame n, whose planes are of a still's size.
func stillOf(n tags.Frame, planes []byte) Still {
	const light, colour = stillWidth * stillHeight, stillWidth * stillHeight / 4
	m := &image.YCbCr{
		Y: planes[:light], Cb: planes[light : light+colour], Cr: planes[light+colour : light+2*colour],
		YStride: stillWidth, CStride: stillWidth / 2,
		SubsampleRatio: image.YCbCrSubsampleRatio420, Rect: image.Rect(0, 0, stillWidth, stillHeight),
	}
	var data bytes.Buffer
	_ = jpeg.Encode(&data, m, &jpeg.Options{Quality: 90}) // a buffer takes everything
	return Still{n, data.Bytes()}
}

func within(stills []Still, span tags.Span) []Still {
	before := func(s Still, n tags.Frame) int { return int(s.At - n) }
	from, _ := slices.BinarySearchFunc(stills, span.In, before)
	to, _ := slices.BinarySearchFunc(stills, span.Out, before)
	return stills[from:max(from, to)]
}

// picture chooses the stills of s from those of its film.
func (s *Shot) picture(stills []Still, rate tags.Rate) {
	if own := within(stills, s.Span); len(own) > 0 {
		s.Begin, s.Formation, s.End = &own[0], &own[s.formation(own, rate)], &own[len(own)-1]
	}
}

// formation is which of stills, at least one, tells the play best: the last before the men
// move, or where no snap was guessed the one nearest to the middle.
func (s *Shot) formation(stills []Still, rate tags.Rate) int {
	best := 0
	for i, still := range stills {
		if s.Snaps {
			if still.At <= s.Snap-rate.Floor(tags.Second/8) {
				best = i
			}
			continue
		}
		off := func(n tags.Frame) tags.Frame { d := 2*n - s.Span.In - s.Span.Out; return max(d, -d) }
		if off(still.At) < off(stills[best].At) {
			best = i
		}
	}
	return best
}

// chosen is the stills that the shots of g show, taken for one film of several shots or for a
// clip.
func (g *Glance) chosen() []Still {
	var list []Still
	for _, clip := range []bool{false, true} {
		for _, s := range g.shots(clip) {
			for _, still := range []*Still{s.Begin, s.Formation, s.End} {
				if still != nil {
					list = append(list, *still)
				}
			}
		}
	}
	slices.SortFunc(list, func(a, b Still) int { return int(a.At - b.At) })
	return slices.CompactFunc(list, func(a, b Still) bool { return a.At == b.At })
}
