package draw

import (
	"fmt"
	"image"
	"strconv"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Dial is a rush clock, drawn: its states, each Height tall, one below the other, one a
// frame. In one picture it costs one overlay, which is most of what it costs.
type Dial struct {
	Picture
	States, Height int
	Named          int // how many of the instants caught have room to be named
}

// scaleEnd is how much of the limit the clock's scale shows, in tenths.
const scaleEnd = 16

// Clock draws c for the frames of span, in the upper right of the title-safe area, or of the
// room that it has to itself.
func Clock(c plan.Clock, span tags.Span, look plan.Look, house plan.House) (Dial, error) {
	colours, err := coloursFor(look, house)
	if err == nil && (span.Len() <= 0 || c.Limit <= 0) {
		err = fmt.Errorf("%d frames, limit %s", span.Len(), c.Limit)
	}
	if err != nil {
		return Dial{}, fmt.Errorf("drawing the clock: %w", err)
	}
	fs := faces{}
	defer fs.done()
	s := newScale(house)
	safe, own := roomIn(c.Room, house)
	most := safe.Dy() / 2 // the room below is the rush's
	if own {
		most = safe.Dy()
	}
	small := fs.get(false, s.size(look.Small))
	pad := s.size(look.Line) / 2
	track := max(s.side/120, 3)
	var digits, named *face // large, to be read on a phone as well, where all of it has room
	var plain int           // how high the clock is with nothing caught
	for _, sizes := range [][2]int{{look.Lead * 3 / 2, look.Lead * 9 / 10}, {look.Lead * 3 / 2, look.Small * 5 / 4}, {look.Lead, look.Small * 5 / 4}} {
		digits, named = fs.get(true, s.size(sizes[0])), fs.get(true, s.size(sizes[1]))
		plain = pad/2 + digits.spacing() + track + small.spacing() + pad/2
		if plain+len(c.Caught)*named.spacing() <= most {
			break
		}
	}
	mark := small.width(limitText(c.Limit))
	inner := max(digits.width("00.00"), 3*mark)
	for _, k := range c.Caught {
		inner = max(inner, named.width(caughtText(k)))
	}
	inner = min(inner, safe.Dx()-2*pad)
	width := (inner + 2*pad + 1) / 2 * 2
	caught := c.Caught
	for len(caught) > 0 && plain+len(caught)*named.spacing() > most {
		caught = caught[:len(caught)-1]
	}
	rows := make([]text, len(caught))
	for i, k := range caught {
		lines, _ := named.fold(caughtText(k), inner, 1)
		rows[i] = text{named, lines, colours.ink}
	}
	height := (plain + len(caught)*named.spacing() + 1) / 2 * 2

	out := Dial{Height: height, Named: len(caught)}
	last := house.Rate.Ceil(c.Speed.Shown(c.Stop - c.First))
	out.States = int(min(max(last-span.In, 0)+1, span.Len()))
	tall := image.NewRGBA(image.Rect(0, 0, width, height*out.States))
	y := pad/2 + digits.spacing()
	at := func(t tags.Time) int {
		end := c.Limit * scaleEnd / 10
		return pad + int(int64(inner-1)*int64(min(t, end))/int64(end))
	}
	tick := max(track/3, 1)
	for i := range out.States {
		now := c.At(span.In+tags.Frame(i), house.Rate)
		top := i * height
		come := 0
		for come < len(caught) && caught[come].At <= now {
			come++
		}
		fill(tall, image.Rect(0, top, width, top+plain+come*named.spacing()), colours.scrim())
		for j, row := range rows[:come] {
			row.write(tall, width-pad-row.width(), top+plain+j*named.spacing())
		}
		reads := hundredths(now)
		digits.write(tall, width-pad-digits.width(reads), top+pad/2+digits.baseline(), reads, colours.ink)
		fill(tall, image.Rect(pad, top+y+track/2-tick/2, pad+inner, top+y+track/2-tick/2+tick), colours.hair())
		fill(tall, image.Rect(pad, top+y, max(at(now), pad), top+y+track), colours.accent)
		// The limit stands out by its place, its length and its number.
		x := at(c.Limit)
		fill(tall, image.Rect(x-tick, top+y-track, x+tick, top+y+2*track), colours.ink)
		small.write(tall, min(x-mark/2, width-pad-mark), top+y+2*track+small.baseline(), limitText(c.Limit), colours.quiet)
	}
	out.Picture = Picture{straight(tall), image.Pt(safe.Max.X-width, safe.Min.Y)}
	return out, nil
}

func caughtText(c plan.Caught) string { return clean(c.Name) + " " + hundredths(c.At) }

// hundredths writes a time since the snap in seconds, rounded down to the hundredth.
func hundredths(t tags.Time) string {
	n := int64(t) / int64(tags.Second/100)
	return fmt.Sprintf("%d.%02d", n/100, n%100)
}

// limitText is a limit, with no more digits than it needs.
func limitText(t tags.Time) string { return strconv.FormatFloat(t.Seconds(), 'f', -1, 64) }
