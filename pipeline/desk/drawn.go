package desk

import (
	"bytes"
	"fmt"
	"image"
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

// show takes a plan to draw from, in the place of the one before. It returns where what is drawn
// for an entry is found.
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
		var stands bool
		if drawn, stands, err = layerPicture(segment.Layers[l], segment); !stands {
			http.NotFound(w, r)
			return
		}
		picture = drawn.Image
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

// overlays is what lies over the film of a segment, with pictures at addresses below base. The
// rush clock, which is another picture each frame, is none of it.
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
		p, stands, err := layerPicture(layer, s)
		if err != nil {
			return nil, err
		}
		if !stands {
			continue
		}
		size := p.Image.Bounds().Size()
		list = append(list, over{
			Picture: fmt.Sprintf("%s-%d.png", base, i),
			X:       float64(p.At.X-whole.X) / float64(whole.Width), Y: float64(p.At.Y-whole.Y) / float64(whole.Height),
			Width: float64(size.X) / float64(whole.Width), Height: float64(size.Y) / float64(whole.Height),
			In: at(layer.Span.In), Out: at(layer.Span.Out),
		})
	}
	return list, nil
}

// layerPicture is what a layer looks like that is one picture as long as it stands; false is one
// that is not.
func layerPicture(l plan.Layer, s plan.Segment) (p draw.Picture, stands bool, err error) {
	switch {
	case l.Label != nil:
		p, err = draw.Label(*l.Label, s.Look, s.House)
	case l.Ring != nil:
		p, err = draw.Ring(*l.Ring, s.Look, s.House)
	default:
		return p, false, nil
	}
	return p, true, err
}
