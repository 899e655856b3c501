package desk

import (
	"bytes"
	"fmt"
	"image"
	stddraw "image/draw"
	"image/png"
	"net/http"
	"strconv"
	"strings"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// preview is a reel that is watched before it is made: what is drawn for it is drawn when it is
// asked for.
type preview struct {
	number int
	plan   *plan.Plan
}

// show sets the plan whose pictures are drawn when asked for. It returns the addresses of what is
// drawn for entry n.
func (r *reels) show(p *plan.Plan) func(n int) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.preview = preview{r.preview.number + 1, p}
	number := r.preview.number
	return func(n int) string { return fmt.Sprintf("drawn/%d/%d", number, n) }
}

// over is something drawn over film: where, in parts of the film's picture, and from which frame
// of the film until which.
type over struct {
	Picture string     `json:"picture"`
	X       float64    `json:"x"`
	Y       float64    `json:"y"`
	Width   float64    `json:"width"`
	Height  float64    `json:"height"`
	In      tags.Frame `json:"in"`
	Out     tags.Frame `json:"out"` // the first without it
	// States is how many pictures lie in Picture, row after row of so many Columns. Each stands
	// for so many frames of the film.
	States  int     `json:"states"`
	Columns int     `json:"columns"`
	Each    float64 `json:"each"`
	// Way is where it goes, where it moves: evenly between two places.
	Way []overAt `json:"way,omitempty"`
}

// overAt is where something drawn is at a frame of the film.
type overAt struct {
	Frame tags.Frame `json:"frame"`
	X     float64    `json:"x"`
	Y     float64    `json:"y"`
}

// serveDrawn answers with what is drawn for an entry of the last preview: "3.png" is the slate
// that entry 3 is, "4" the list of what lies over its film, and "4-1.png" the second of that.
func (s *Server) serveDrawn(w http.ResponseWriter, r *http.Request) {
	s.reels.mu.Lock()
	p := s.reels.preview
	s.reels.mu.Unlock()
	name, isPicture := strings.CutSuffix(r.PathValue("what"), ".png")
	number, layer, isLayer := strings.Cut(name, "-")
	n, err := strconv.Atoi(number)
	if err != nil || r.PathValue("preview") != strconv.Itoa(p.number) || p.plan == nil || n < 0 || n >= len(p.plan.Entries) {
		http.NotFound(w, r)
		return
	}
	segment := p.plan.Entries[n].Segment
	var picture image.Image
	l, errLayer := strconv.Atoi(layer)
	switch {
	case !isPicture && !isLayer && segment.Kind == plan.Film:
		list, err := overlays(segment, "drawn/"+r.PathValue("preview")+"/"+number)
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		writeJSON(w, list)
		return
	case isPicture && isLayer && errLayer == nil && l >= 0 && l < len(segment.Layers):
		var drawn draw.Picture
		var states int
		if drawn, states, err = layerPicture(segment.Layers[l], segment); err == nil && states == 0 {
			http.NotFound(w, r)
			return
		}
		if err == nil {
			picture = inColumns(drawn.Image, states)
		}
	case isPicture && !isLayer && segment.Card != nil:
		picture, err = (&render.Local{Tool: s.machine.Tool, Films: s.machine.Library}).Slate(r.Context(), segment)
	default:
		http.NotFound(w, r)
		return
	}
	var out bytes.Buffer
	if err == nil {
		err = (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&out, picture)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "image/png")
	_, _ = w.Write(out.Bytes()) // whoever asked may have gone
}

// overlays is what lies over the film of a segment, with pictures at addresses below base.
func overlays(s plan.Segment, base string) ([]over, error) {
	list := []over{}
	whole := s.Fit
	if s.Pan != nil {
		whole = plan.Fit{X: s.Fit.X - s.Pan.X(0), Y: s.Fit.Y, Width: s.Pan.Width, Height: s.Fit.Height}
	}
	at := func(n tags.Frame) tags.Frame {
		return s.Span.In + s.Source.Rate.Floor(s.Speed.Film(s.House.Rate.Duration(n)))
	}
	for i, layer := range s.Layers {
		p, states, err := layerPicture(layer, s)
		if err != nil {
			return nil, err
		}
		if states == 0 {
			continue
		}
		size := p.Image.Bounds().Size()
		size.Y /= states
		in, out := at(layer.Span.In), at(layer.Span.Out)
		o := over{
			Picture: fmt.Sprintf("%s-%d.png", base, i),
			X:       float64(p.At.X-whole.X) / float64(whole.Width), Y: float64(p.At.Y-whole.Y) / float64(whole.Height),
			Width: float64(size.X) / float64(whole.Width), Height: float64(size.Y) / float64(whole.Height),
			In: in, Out: out,
			States: states, Columns: columns(size.Y, states), Each: float64(out-in) / float64(layer.Span.Len()),
		}
		if ring := layer.Ring; ring != nil {
			for _, k := range ring.Way {
				dx, dy := float64(k.At.X-ring.At.X)/float64(whole.Width), float64(k.At.Y-ring.At.Y)/float64(whole.Height)
				o.Way = append(o.Way, overAt{at(k.Frame), o.X + dx, o.Y + dy})
			}
		}
		list = append(list, o)
	}
	return list, nil
}

// layerPicture is what a layer looks like: so many states of it, one a frame, one below the
// other. Of none nothing is shown.
func layerPicture(l plan.Layer, s plan.Segment) (p draw.Picture, states int, err error) {
	switch {
	case l.Label != nil:
		p, err = draw.Label(*l.Label, s.Look, s.House)
	case l.Ring != nil:
		p, err = draw.Ring(*l.Ring, s.Look, s.House)
	case l.Clock != nil:
		dial, err := draw.Clock(*l.Clock, l.Span, s.Look, s.House)
		return dial.Picture, dial.States, err
	default:
		return p, 0, nil
	}
	return p, 1, err
}

// mostTall is how tall a picture may be that browsers surely show.
const mostTall = 4096

// columns is in how many columns states of that height lie, so that none is too tall.
func columns(height, states int) int {
	rows := max(mostTall/height, 1)
	return (states + rows - 1) / rows
}

// inColumns is states that lie one below the other, row after row of so many columns.
func inColumns(tall *image.NRGBA, states int) *image.NRGBA {
	width, height := tall.Bounds().Dx(), tall.Bounds().Dy()/states
	many := columns(height, states)
	if many == 1 {
		return tall
	}
	laid := image.NewNRGBA(image.Rect(0, 0, many*width, (states+many-1)/many*height))
	for i := range states {
		to := image.Rect(0, 0, width, height).Add(image.Pt(i%many*width, i/many*height))
		stddraw.Draw(laid, to, tall, image.Pt(0, i*height), stddraw.Src)
	}
	return laid
}
