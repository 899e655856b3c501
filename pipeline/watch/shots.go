package watch

import (
	"math"
	"slices"

	"trenchcut/tags"
)

// Shot is a run of frames that a camera took without stopping.
type Shot struct {
	Span  tags.Span
	Off   Off        // why it shows no play; empty where it may show one
	Snap  tags.Frame // a guess, where Snaps
	Snaps bool

	// Stills of its begin, of its end and of how the men line up, good to half a second; nil
	// where the shot is too short for one.
	Begin, Formation, End *Still

	Field   float64 // share of the picture in the field's colours, 0 to 1
	Upright float64 // share of its edges that stand upright, 0 to 1
}

// Off is why a shot shows no play.
type Off string

// The reasons why a shot shows no play.
const (
	TooShort Off = "too short"
	NoField  Off = "little field"
	NoLight  Off = "one colour"
)

// ShotsOf is the shots of each of several films of one camera, in order; where the films
// are clips, each is one shot. Shots leave out no frame. One shorter than
// floor shows no play, nor does one that shows little of the field, whose colours are those
// that the films show most.
func ShotsOf(films []*Glance, clips bool, floor tags.Time) [][]Shot {
	all := make([][]Shot, len(films))
	for i, g := range films {
		all[i] = g.shots(clips)
	}
	judge(films, all, floor)
	return all
}

// shots is the shots of g, of which nothing is judged; just one where g is a clip.
func (g *Glance) shots(clip bool) []Shot {
	breaks := []Break{{At: 0, Kind: Cut}}
	if !clip {
		breaks = append(breaks, g.breaks...)
	}
	breaks = append(breaks, Break{g.Source.Frames, Cut})
	var list []Shot
	for k, b := range breaks[1:] {
		s := Shot{Span: tags.Span{In: breaks[k].At, Out: b.At}}
		if s.Span.Len() > 0 {
			s.Snap, _, s.Snaps = g.snap(g.clear(breaks[k], b))
			s.picture(g.stills, g.Source.Rate)
			list = append(list, s)
		}
	}
	return list
}

// clear returns the frames between two breaks in which nothing is seen of the shots around them.
func (g *Glance) clear(from, to Break) tags.Span {
	soft := g.Source.Rate.Floor(tags.Second * 2 / 5)
	span := tags.Span{In: from.At, Out: to.At}
	if from.Kind != Cut {
		span.In += soft
	}
	if to.Kind != Cut {
		span.Out -= soft
	}
	return span
}

// judge says of each shot what it shows.
func judge(films []*Glance, all [][]Shot, floor tags.Time) {
	field := fieldColours(films)
	// The share of the picture that is field depends on the stadium and the lens.
	var usual []float64
	for i, g := range films {
		next := 0
		for k := range all[i] {
			s := &all[i][k]
			var shares, upright, contrast []float64
			for ; next < len(g.looks) && g.looks[next].At < s.Span.Out; next++ {
				l := &g.looks[next]
				shares = append(shares, l.share(field))
				upright = append(upright, l.Upright)
				contrast = append(contrast, l.Contrast)
			}
			s.Field, s.Upright = median(shares), median(upright)
			switch {
			case len(contrast) > 0 && median(contrast) < oneColour:
				s.Off = NoLight
			case g.Source.Rate.Duration(s.Span.Len()) < floor:
				s.Off = TooShort
			default:
				usual = append(usual, s.Field)
			}
		}
	}
	least := median(usual) * littleField
	for i := range all {
		for k := range all[i] {
			if s := &all[i][k]; s.Off == "" && s.Field < least {
				s.Off = NoField
			}
		}
	}
}

// littleField is what part of the usual share of field a shot of a play has at least.
const littleField = 0.4

// fieldColours is which squares of colour are the field's: the most frequent and those next
// to it.
func fieldColours(films []*Glance) (field [huesAcross * huesAcross]bool) {
	var counts [huesAcross * huesAcross]int
	for _, g := range films {
		for i := range g.looks {
			for h, n := range g.looks[i].Colours {
				counts[h] += int(n)
			}
		}
	}
	most := 0
	for h, n := range counts {
		if n > counts[most] {
			most = h
		}
	}
	for h := range field {
		down, right := h/huesAcross-most/huesAcross, h%huesAcross-most%huesAcross
		field[h] = max(down, -down, right, -right) <= 1
	}
	return field
}

// share is what part of the picture has the field's colours.
func (l *look) share(field [huesAcross * huesAcross]bool) float64 {
	n := 0
	for h, in := range field {
		if in {
			n += int(l.Colours[h])
		}
	}
	return float64(n) / halfPixels
}

// snap guesses the snap of the play in span from what moves: men stand, then all of them
// move. step is how many times as much moves behind it as before; ok is false where nothing
// sets in.
func (g *Glance) snap(span tags.Span) (snap tags.Frame, step float64, ok bool) {
	rate := g.Source.Rate
	second := int(rate.Floor(tags.Second))
	// The first frames of a shot were compared with the shot before it.
	in := span.In + tags.Frame(second)/14 + 1
	if span.Out-in < tags.Frame(second) {
		return 0, 0, false
	}
	// A flash lasts so short that the median leaves it out.
	moves := smooth(medians(g.moves[in:span.Out], second/3), second/10)
	n := len(moves)
	sums := make([]float64, n+1)
	for i, m := range moves {
		sums[i+1] = sums[i] + math.Sqrt(float64(m))
	}
	mean := func(a, b int) float64 { return (sums[b] - sums[a]) / float64(b-a) }
	before, after := 2*second, second*3/2
	best, bestAt := 0.0, -1
	for i := second / 3; i < n-second/2; i++ {
		a, b := max(0, i-before), min(n, i+after)
		// The more film on either side, the surer.
		weight := math.Sqrt(float64(min(i-a, second)*min(b-i, second))) / float64(second)
		if rise := (mean(i, b) - mean(a, i)) * weight; rise > best {
			best, bestAt = rise, i
		}
	}
	if bestAt < 0 {
		return 0, 0, false
	}
	low, high := mean(max(0, bestAt-before), bestAt), mean(bestAt, min(n, bestAt+after))
	// Men take a while to get under way: the snap is where it began to rise.
	at, onset := bestAt, low+0.15*(high-low)
	for at > 0 && bestAt-at < second && math.Sqrt(float64(moves[at-1])) > onset {
		at--
	}
	const nothing = 0.05
	step = (high + nothing) / (low + nothing)
	return in + tags.Frame(at), step, step >= leastStep
}

// leastStep is how many times more must move behind a snap than before it.
const leastStep = 1.4

// medians is the running median of values over width of them around each.
func medians(values []float32, width int) []float32 {
	out := make([]float32, len(values))
	window := make([]float32, 0, width+1)
	for i := range values {
		window = append(window[:0], values[max(0, i-width/2):min(len(values), i+width/2+1)]...)
		slices.Sort(window)
		out[i] = window[len(window)/2]
	}
	return out
}

// smooth is the running mean of values over width of them around each.
func smooth(values []float32, width int) []float32 {
	out := make([]float32, len(values))
	for i := range values {
		a, b := max(0, i-width/2), min(len(values), i+width/2+1)
		sum := float32(0)
		for _, v := range values[a:b] {
			sum += v
		}
		out[i] = sum / float32(b-a)
	}
	return out
}
