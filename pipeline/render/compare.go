package render

import (
	"context"
	"fmt"
	"image"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Pictures are compared small, in grey, this wide at most.
const compareWidth = 480

// How far a picture of a reel may be from the picture of film that it should show, in steps of
// light, of 255. Of film whose frames carry their number, coded small and fine, right pictures
// were at most 2.8 off, 6.3 in a block, and 0.13 further than one beside; pictures one frame
// wrong were 190 off in a block and 2.2 further than the right one.
const (
	mostMean  = 6.0  // on the average
	mostBlock = 40.0 // on the average of any block of blockSide by blockSide
	blockSide = 16
	// Where a picture beside the one that should be shown is nearer than this part of it, and
	// by more than nearerBy, that one is shown.
	nearerPart = 0.8
	nearerBy   = 0.15
)

// besides is how many pictures on either side of the planned one are compared as well.
const besides = 2

// damagedHeld is how far before damaged film the picture is looked for that stands for pictures
// that do not decode.
const damagedHeld = 10 * tags.Second

// smallOf is the size that pictures of a house are compared in.
func smallOf(h plan.House) plan.House {
	w := min(h.Width, compareWidth)
	return plan.House{Width: w / 2 * 2, Height: h.Height * w / h.Width / 2 * 2, Rate: h.Rate}
}

// probes is which frames of an entry are compared: the first, the last and one in the middle,
// or every one.
func probes(s plan.Segment, every bool) []tags.Frame {
	n := s.Frames()
	if !every {
		list := []tags.Frame{0, n / 2, n - 1}
		return slices.Compact(list)
	}
	list := make([]tags.Frame, n)
	for k := range list {
		list[k] = tags.Frame(k)
	}
	return list
}

// comparison holds the pictures of a reel to its plan.
type comparison struct {
	maker *Maker
	films Films
	plan  *plan.Plan
	small plan.House
	dir   string
	every bool
	shown [][]byte // of the reel, those that are compared, by its frames
}

// compare holds the reel at out to p. It returns how many frames were compared: none of film
// and of the staff's own pictures that are not here.
func (m *Maker) compare(ctx context.Context, out string, p *plan.Plan, films Films, every bool, events Events) (frames, compared tags.Frame, err error) {
	dir, err := os.MkdirTemp("", "trenchcut-verify-")
	if err != nil {
		return 0, 0, err
	}
	defer os.RemoveAll(dir)
	c := &comparison{maker: m, films: films, plan: p, small: smallOf(p.House), dir: dir, every: every, shown: make([][]byte, p.Frames())}
	wanted := make([]bool, p.Frames())
	for i, place := range p.Places() {
		for _, k := range probes(p.Entries[i].Segment, every) {
			wanted[place.In+k] = true
		}
	}
	err = m.Tool.ReelPictures(ctx, out, c.small, func(picture []byte) error {
		if frames < p.Frames() && wanted[frames] {
			c.shown[frames] = append([]byte(nil), picture...)
		}
		if frames++; frames%64 == 0 {
			events(Event{Checking, min(frames, p.Frames()), p.Frames()})
		}
		return nil
	})
	if err != nil {
		return frames, 0, fmt.Errorf("decode %s: %w", out, err)
	}
	if frames != p.Frames() {
		return frames, 0, fmt.Errorf("%s shows %d frames, its manifest says %d", out, frames, p.Frames())
	}
	var count atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(m.Workers, 1))
	for i, place := range p.Places() {
		if !c.here(ctx, p.Entries[i].Segment) {
			continue
		}
		group.Go(func() error {
			if err := c.entry(ctx, i, place.In); err != nil {
				return fmt.Errorf("%s, at %s of the reel: %w", p.Entries[i].Chapter, p.House.Rate.Duration(place.In), err)
			}
			count.Add(int64(len(probes(p.Entries[i].Segment, every))))
			return nil
		})
	}
	err = group.Wait()
	return frames, tags.Frame(count.Load()), err
}

// here reports whether the films of a segment, or the staff's own picture that it shows, are
// here to be compared with. That films are not is told of all together.
func (c *comparison) here(ctx context.Context, s plan.Segment) bool {
	if s.Picture != "" {
		_, err := c.films.Path(ctx, s.Picture)
		return err == nil
	}
	for _, film := range s.Films() {
		if _, err := c.films.Path(ctx, film.Fingerprint); err != nil {
			return false
		}
	}
	return true
}

// entry compares entry i, which begins at frame in of the reel.
func (c *comparison) entry(ctx context.Context, i int, in tags.Frame) error {
	s := c.plan.Entries[i].Segment
	if s.Kind == plan.Slate {
		return c.slate(ctx, i, in)
	}
	if err := c.film(ctx, s, *s.Source, s.Fit, in, func(k tags.Frame) tags.Frame { return s.Span.In + sourceFrame(s, k, 0) }, i, "film"); err != nil {
		return err
	}
	if b := s.Below; b != nil {
		return c.film(ctx, s, *b.Source, b.Fit, in, func(k tags.Frame) tags.Frame { return b.Span.In + sourceFrame(s, k, b.Into) }, i, "below")
	}
	return nil
}

// sourceFrame is which frame of a film, counted from the first of its span, is on when the
// segment shows its frame k: the film that the segment shows, or the one below it, of whose
// first frame into has passed at the start.
func sourceFrame(s plan.Segment, k tags.Frame, into tags.Time) tags.Frame {
	if s.Hold > 0 {
		return 0
	}
	rate := s.Source.Rate
	at := new(big.Rat).Mul(big.NewRat(int64(k)*s.House.Rate.Den, s.House.Rate.Num), big.NewRat(s.Speed.Num, s.Speed.Den))
	if s.Below != nil && into > 0 {
		rate = s.Below.Source.Rate
		at.Add(at, big.NewRat(int64(into), int64(tags.Second)))
	}
	at.Mul(at, big.NewRat(rate.Num, rate.Den))
	return tags.Frame(new(big.Int).Div(at.Num(), at.Denom()).Int64())
}

// film compares the pictures of one film in an entry with that film.
func (c *comparison) film(ctx context.Context, s plan.Segment, src plan.Source, fit plan.Fit, in tags.Frame, frame func(k tags.Frame) tags.Frame, i int, which string) error {
	path, err := c.films.Path(ctx, src.Fingerprint)
	if err != nil {
		return err
	}
	hidden, err := c.hidden(s)
	if err != nil {
		return err
	}
	ticks := probes(s, c.every)
	guard := src.Rate.Duration(1) / 4
	if src.Variable {
		guard = tags.Millisecond / 1000
	}
	at := func(k tags.Frame) tags.Time { return src.First + src.Rate.Duration(frame(k)) + guard }
	// What is compared is decoded in runs, so that no more of it is held than one needs.
	const run = 64
	for n := 0; n < len(ticks); {
		to := n + 1
		for c.every && to < len(ticks) && to-n < run {
			to++
		}
		margin := (besides + 1) * max(src.Rate.Duration(1), tags.Second/5)
		list := filepath.Join(c.dir, fmt.Sprintf("%d-%s-%d", i, which, n))
		from := at(ticks[n]) - margin
		if s.Damaged { // the picture that is on may be from long before
			from = at(0) - damagedHeld
		}
		house, small, whole := s.House, c.small, fit
		if s.Pan != nil { // the whole of the film's picture, of which each frame shows a part
			house.Width, whole.X, whole.Width = s.Pan.Width, 0, s.Pan.Width
			small.Width = c.small.Width * s.Pan.Width / s.House.Width / 2 * 2
		}
		shown, err := c.maker.Tool.FilmPictures(ctx, path, ffmpeg.Stretch{
			Source: src, From: from, To: at(ticks[to-1]) + margin, Fit: whole, House: house, Small: small, Damaged: s.Damaged,
		}, list)
		if err != nil {
			return err
		}
		for _, k := range ticks[n:to] {
			part := shown
			if s.Pan != nil {
				part = parts(shown, small.Width, s.Pan.X(k)*small.Width/s.Pan.Width, c.small.Width)
			}
			if err := c.one(s, fit, c.shown[in+k], part, at(k), hidden(k)); err != nil {
				return fmt.Errorf("frame %d should show frame %d of the film: %w", k, frame(k), err)
			}
		}
		n = to
	}
	return nil
}

// parts is grey pictures of width by any height, cut to so many columns from x on.
func parts(list []ffmpeg.Shown, width, x, columns int) []ffmpeg.Shown {
	x = min(x, width-columns)
	out := make([]ffmpeg.Shown, len(list))
	for i, s := range list {
		out[i].At = s.At
		for row := 0; row+width <= len(s.Picture); row += width {
			out[i].Picture = append(out[i].Picture, s.Picture[row+x:row+x+columns]...)
		}
	}
	return out
}

// one compares a picture of the reel with the picture of film that is on at a time, and with its
// neighbours.
func (c *comparison) one(s plan.Segment, fit plan.Fit, picture []byte, film []ffmpeg.Shown, at tags.Time, hidden []image.Rectangle) error {
	on := -1
	for i, f := range film {
		if f.At <= at {
			on = i
		}
	}
	if on < 0 {
		return fmt.Errorf("the film shows nothing there")
	}
	room := c.scaled(image.Rect(fit.X, fit.Y, fit.X+fit.Width, fit.Y+fit.Height), s.House).Inset(1)
	for i := range hidden {
		hidden[i] = c.scaled(hidden[i], s.House).Inset(-2)
	}
	mean, block := differ(picture, film[on].Picture, c.small.Width, room, hidden)
	nearest, which := mean, 0
	for i := max(on-besides, 0); i <= min(on+besides, len(film)-1); i++ {
		if near, _ := differ(picture, film[i].Picture, c.small.Width, room, hidden); near < nearest {
			nearest, which = near, i-on
		}
	}
	c.maker.log().Debug("compared", "mean", mean, "block", block, "nearest", nearest)
	if mean > mostMean || block > mostBlock {
		return fmt.Errorf("the picture is another: it is %.1f of 255 off on the average and %.1f where it is most", mean, block)
	}
	if nearest < nearerPart*mean && nearest < mean-nearerBy {
		return fmt.Errorf("it shows the picture that is %+d from there", which)
	}
	return nil
}

// scaled is a rectangle of a picture of the house in the small picture.
func (c *comparison) scaled(r image.Rectangle, house plan.House) image.Rectangle {
	x, y := float64(c.small.Width)/float64(house.Width), float64(c.small.Height)/float64(house.Height)
	return image.Rect(int(float64(r.Min.X)*x), int(float64(r.Min.Y)*y), int(float64(r.Max.X)*x+1), int(float64(r.Max.Y)*y+1))
}

// hidden tells where the film does not show at a frame of s, because something is drawn there.
func (c *comparison) hidden(s plan.Segment) (func(k tags.Frame) []image.Rectangle, error) {
	type place struct {
		span tags.Span
		at   image.Rectangle
		ring *plan.Ring
	}
	var all []place
	for _, layer := range s.Layers {
		var o ffmpeg.Overlay
		p, err := drawn(layer, s, &o)
		if err != nil {
			return nil, err
		}
		size := p.Image.Bounds().Size()
		if o.States > 1 {
			size.Y = o.Height
		}
		all = append(all, place{layer.Span, image.Rectangle{Min: p.At, Max: p.At.Add(size)}, layer.Ring})
	}
	return func(k tags.Frame) []image.Rectangle {
		var list []image.Rectangle
		for _, p := range all {
			switch {
			case k < p.span.In || k >= p.span.Out:
			case p.ring != nil:
				now := p.ring.Place(k)
				list = append(list, p.at.Add(image.Pt(now.X-p.ring.At.X, now.Y-p.ring.At.Y)))
			default:
				list = append(list, p.at)
			}
		}
		return list
	}, nil
}

// slate compares the pictures of a slate with the slate drawn again.
func (c *comparison) slate(ctx context.Context, i int, in tags.Frame) error {
	s := c.plan.Entries[i].Segment
	local := &Local{Tool: c.maker.Tool, Films: c.films}
	card, err := local.Slate(ctx, s)
	if err != nil {
		return err
	}
	path := filepath.Join(c.dir, fmt.Sprintf("card%d.png", i))
	if err := writePicture(path, draw.Picture{Image: card}.PNG); err != nil {
		return err
	}
	defer os.Remove(path)
	want, err := c.maker.Tool.CardPicture(ctx, path, c.small)
	if err != nil {
		return err
	}
	hidden, err := c.hidden(s)
	if err != nil {
		return err
	}
	room := image.Rect(0, 0, c.small.Width, c.small.Height)
	for _, k := range probes(s, c.every) {
		list := hidden(k)
		for j := range list {
			list[j] = c.scaled(list[j], s.House).Inset(-2)
		}
		if mean, block := differ(c.shown[in+k], want, c.small.Width, room, list); mean > mostMean || block > mostBlock {
			return fmt.Errorf("frame %d is not the slate: it is %.1f of 255 off on the average and %.1f where it is most", k, mean, block)
		}
	}
	return nil
}

// differ is how far two grey pictures are apart within room, but for what is hidden: on the
// average, and in the block where they are furthest apart.
func differ(x, y []byte, width int, room image.Rectangle, hidden []image.Rectangle) (mean, worst float64) {
	var sum, count int
	for top := room.Min.Y; top < room.Max.Y; top += blockSide {
		for left := room.Min.X; left < room.Max.X; left += blockSide {
			block := image.Rect(left, top, left+blockSide, top+blockSide).Intersect(room)
			if slices.ContainsFunc(hidden, block.Overlaps) {
				continue
			}
			s := 0
			for py := block.Min.Y; py < block.Max.Y; py++ {
				for at := py*width + block.Min.X; at < py*width+block.Max.X; at++ {
					s += max(int(x[at])-int(y[at]), int(y[at])-int(x[at]))
				}
			}
			n := block.Dx() * block.Dy()
			sum, count = sum+s, count+n
			worst = max(worst, float64(s)/float64(n))
		}
	}
	return float64(sum) / float64(max(count, 1)), worst
}
