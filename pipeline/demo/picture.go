package demo

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"slices"

	"trenchcut/tags"
)

// painter draws one film, frame by frame, as planar 4:2:0. Between frames it keeps the
// picture and changes only what moved.
type painter struct {
	film   *film
	canvas *image.RGBA
	ground *image.RGBA
	planes []byte
	dirty  []image.Rectangle
	discs  *discs
	camera camera
	shot   int     // drawn last; -1 before the first
	drawn  float64 // at this time from its snap
}

// shot is one play on the film, with the scene it shows.
type shot struct {
	play *tags.Play
	view tags.View
	*scene
}

func newPainter(f *film) *painter {
	bounds := image.Rect(0, 0, f.width, f.height)
	return &painter{
		film: f, shot: -1,
		canvas: image.NewRGBA(bounds),
		planes: make([]byte, f.width*f.height*3/2),
	}
}

// shotAt is the play shown at t: between two, each keeps its nearer half.
func (f *film) shotAt(t tags.Time) int {
	last := len(f.shots) - 1
	for i := range f.shots[:last] {
		if t < (f.shots[i].view.Out+f.shots[i+1].view.In)/2 {
			return i
		}
	}
	return last
}

// frame draws frame n. Outside in and out a play stands still.
func (p *painter) frame(n tags.Frame) {
	t := p.film.rate.Duration(n)
	i := p.film.shotAt(t)
	s := &p.film.shots[i]
	t = min(max(t, s.view.In), s.view.Out)
	since := (t - s.view.Snap).Seconds()
	if i != p.shot {
		p.open(i)
	} else if since == p.drawn || since < 0 && p.drawn < 0 {
		return
	}
	p.drawn = since
	old := p.dirty
	for _, r := range old {
		draw.Draw(p.canvas, r, p.ground, r.Min, draw.Src)
	}
	p.dirty = nil
	p.men(s.scene, since)
	for _, r := range slices.Concat(old, p.dirty) {
		p.convert(r)
	}
}

// open starts a play: its own place on the field.
func (p *painter) open(i int) {
	f, s := p.film, &p.film.shots[i]
	p.shot = i
	p.camera = f.camera(*s)
	p.ground = paintGround(p.camera, fieldOf(f.game), s.spot.y, f.width, f.height)
	p.caption(s.play)
	if p.discs == nil {
		p.discs = &discs{p.camera.squash(), map[discID]*image.RGBA{}, map[placed]*image.RGBA{}}
	}
	draw.Draw(p.canvas, p.canvas.Bounds(), p.ground, image.Point{}, draw.Src)
	p.dirty = []image.Rectangle{p.canvas.Bounds()}
}

// camera is f's for a play.
func (f *film) camera(s shot) camera {
	quarter := 1
	if s.play.Quarter != nil {
		quarter = *s.play.Quarter
	}
	return cameraOf(f.angle, s.spot, quarter, f.width, f.height)
}

// caption writes the play's number and down below the title-safe area, where no label
// of a reel goes.
func (p *painter) caption(play *tags.Play) {
	text := fmt.Sprint(play.Number)
	if play.Down != nil && play.Distance != nil {
		text = fmt.Sprintf("%d · %d & %d", play.Number, *play.Down, *play.Distance)
	}
	w, h := float64(p.film.width), float64(p.film.height)
	wide := h * 0.0145 * float64(len([]rune(text))+2)
	rect(p.ground, color.RGBA{0, 0, 0, 150}, w-wide, h*0.955, w, h)
	write(p.ground, image.NewUniform(color.RGBA{235, 238, 230, 255}), face(h*0.028), text, w-wide/2, h*0.9775)
}

// men draws everyone, the farthest first, and the ball.
func (p *painter) men(s *scene, t float64) {
	type figure struct {
		id       discID
		x, y     float64
		width    float64
		distance float64
	}
	var all []figure
	for _, m := range s.men {
		x, y, scale := p.camera.project(s.spot.add(m.at(t)).up(0.3))
		all = append(all, figure{discID{ours: m.ours, number: m.number}, x, y, 2 * radius * scale, scale})
	}
	at, height := s.flight(t)
	x, y, scale := p.camera.project(s.spot.add(at).up(height))
	all = append(all, figure{discID{ball: true}, x, y, 1.25 * scale, math.Inf(1)})
	slices.SortStableFunc(all, func(a, b figure) int {
		switch {
		case a.distance < b.distance:
			return -1
		case a.distance > b.distance:
			return 1
		}
		return 0
	})
	for _, f := range all {
		if f.x < -100 || f.y < -100 || f.x > float64(p.film.width)+100 || f.y > float64(p.film.height)+100 {
			continue
		}
		img, corner := p.discs.at(f.id, f.x, f.y, f.width)
		r := img.Bounds().Add(corner)
		draw.Draw(p.canvas, r, img, image.Point{}, draw.Over)
		p.dirty = append(p.dirty, r.Intersect(p.canvas.Bounds()))
	}
}

// convert writes a part of the picture into the planes: ITU-R BT.709, limited range.
func (p *painter) convert(r image.Rectangle) {
	w, h := p.film.width, p.film.height
	r.Min.X, r.Min.Y = r.Min.X&^1, r.Min.Y&^1
	r.Max.X, r.Max.Y = (r.Max.X+1)&^1, (r.Max.Y+1)&^1
	r = r.Intersect(image.Rect(0, 0, w, h))
	luma, cb, cr := p.planes[:w*h], p.planes[w*h:w*h*5/4], p.planes[w*h*5/4:]
	for y := r.Min.Y; y < r.Max.Y; y += 2 {
		for x := r.Min.X; x < r.Max.X; x += 2 {
			var sum [3]int
			for _, at := range [4]int{y*w + x, y*w + x + 1, (y+1)*w + x, (y+1)*w + x + 1} {
				q := p.canvas.Pix[4*at : 4*at+3 : 4*at+3]
				red, green, blue := int(q[0]), int(q[1]), int(q[2])
				luma[at] = byte((11966*red + 40254*green + 4064*blue + 16<<16 + 1<<15) >> 16)
				sum[0] += red
				sum[1] += green
				sum[2] += blue
			}
			at := y/2*(w/2) + x/2
			cb[at] = byte((-6596*sum[0] - 22189*sum[1] + 28784*sum[2] + 128<<18 + 1<<17) >> 18)
			cr[at] = byte((28784*sum[0] - 26145*sum[1] - 2639*sum[2] + 128<<18 + 1<<17) >> 18)
		}
	}
}

// writeTo writes every frame of the film to w; each tells of the frames done.
func (p *painter) writeTo(w io.Writer, each func()) error {
	for n := range p.film.frames {
		p.frame(n)
		if _, err := w.Write(p.planes); err != nil {
			return fmt.Errorf("write frame %d: %w", n, err)
		}
		each()
	}
	return nil
}
