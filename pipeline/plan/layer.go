package plan

import (
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// Layer is one thing over the picture during Span, in frames of the segment.
type Layer struct {
	Span  tags.Span `json:"span"`
	Label *Label    `json:"label,omitempty"`
	Clock *Clock    `json:"clock,omitempty"`
	Ring  *Ring     `json:"ring,omitempty"`
	// Drawing is one of the staff's, on a picture that stands still. It is written by its
	// first name, so that keys stay.
	Drawing *Drawing `json:"shape,omitempty"`
}

// Label is what a label says: Lead is read first and from the back row, Lines below it, and
// Tab, the number of the one man whom it is of, stands large beside them. It stands in the
// lower left, or in the upper left where Top says so.
type Label struct {
	Tab   string   `json:"tab,omitempty"`
	Lead  string   `json:"lead"`
	Lines []string `json:"lines,omitempty"`
	Top   bool     `json:"top,omitempty"`
	// Broad says that the picture stands still to be read, so that the label may be as wide
	// as leaves room for the clock. Others keep to their corner.
	Broad bool `json:"broad,omitempty"`
	// Room is the part of the picture it has to itself; zero is none, and it is over the film.
	Room Fit `json:"room,omitzero"`
}

// Clock is the rush clock: the time since the snap, to the hundredth, on a scale with a
// mark at Limit. It starts at zero and is caught at Stop.
type Clock struct {
	First tags.Time `json:"first"` // since the snap, when frame 0 of the segment is shown
	Speed Speed     `json:"speed"`
	Stop  tags.Time `json:"stop"`
	Limit tags.Time `json:"limit"`
	// Caught are the instants it names, from when they come.
	Caught []Caught `json:"caught,omitempty"`
	Room   Fit      `json:"room,omitzero"` // as a label's
}

// Caught is an instant that the rush clock names.
type Caught struct {
	At   tags.Time `json:"at"` // since the snap
	Name string    `json:"name"`
}

// At is what the clock reads when frame n of the segment is shown, by the house's rate: no
// less than zero, and no more than Stop.
func (c Clock) At(n tags.Frame, house tags.Rate) tags.Time {
	return min(max(c.First+c.Speed.Film(house.Duration(n)), 0), c.Stop)
}

// Spot is a place in the house picture, in pixels.
type Spot struct {
	X int `json:"x"`
	Y int `json:"y"`
}

// Drawing is drawn on a picture that stands still.
type Drawing struct {
	Kind   string `json:"kind"` // circle, arrow, line or path
	Points []Spot `json:"points"`
	Film   Fit    `json:"film,omitzero"` // as a ring's
	// Grow is over how many frames it is drawn, from its start to its end; 0 is at once.
	Grow tags.Frame `json:"grow,omitempty"`
}

// spot is where a place in the film's picture lies in the house picture.
func (f Fit) spot(p tags.Point) Spot {
	return Spot{f.X + int(p.X*float64(f.Width)+.5), f.Y + int(p.Y*float64(f.Height)+.5)}
}

// spot is where a place in the film's picture lies in the house picture at a frame of s, whose
// film has its place at fit.
func (s Segment) spot(fit Fit, p tags.Point, at tags.Frame) Spot {
	if s.Pan == nil {
		return fit.spot(p)
	}
	whole := Fit{fit.X - s.Pan.X(at), fit.Y, s.Pan.Width, fit.Height}
	return whole.spot(p)
}

// Speed is how much film passes while it is shown, as a fraction; zero is 1.
type Speed struct {
	Num int64 `json:"num"`
	Den int64 `json:"den"`
}

// Normal reports whether film is shown as fast as it was filmed.
func (s Speed) Normal() bool { return s.Num == s.Den }

func (s Speed) known() Speed {
	if s.Den == 0 {
		return Speed{1, 1}
	}
	return s
}

// Film is how much film passes while shown lasts.
func (s Speed) Film(shown tags.Time) tags.Time {
	s = s.known()
	return shown * tags.Time(s.Num) / tags.Time(s.Den)
}

// Shown is how long film of that length is shown.
func (s Speed) Shown(film tags.Time) tags.Time {
	s = s.known()
	return film * tags.Time(s.Den) / tags.Time(s.Num)
}

// mostSlow is how slow film may be shown: ten frames for one.
const mostSlow = 10

// ParseSpeed reads 0.5, 1/2 or 50%: from a tenth to as fast as filmed.
func ParseSpeed(s string) (Speed, error) {
	wrong := fmt.Errorf("speed %q is not one from 1/%d to 1, such as 0.5", s, mostSlow)
	num, den, fraction := strings.Cut(strings.TrimSuffix(s, "%"), "/")
	whole, part, _ := strings.Cut(num, ".")
	if len(whole)+len(part) > 6 || len(den) > 4 {
		return Speed{}, wrong
	}
	n, err := strconv.ParseUint("0"+whole+part, 10, 32)
	if err != nil {
		return Speed{}, wrong
	}
	speed := Speed{int64(n), 1}
	for range part {
		speed.Den *= 10
	}
	switch percent := strings.HasSuffix(s, "%"); {
	case fraction:
		d, err := strconv.ParseUint(den, 10, 32)
		if err != nil || part != "" || percent {
			return Speed{}, wrong
		}
		speed.Den = int64(d)
	case percent:
		speed.Den *= 100
	}
	if speed.Num <= 0 || speed.Den <= 0 || speed.Num > speed.Den || speed.Num*mostSlow < speed.Den {
		return Speed{}, wrong
	}
	a, b := speed.Num, speed.Den
	for b != 0 {
		a, b = b, a%b
	}
	return Speed{speed.Num / a, speed.Den / a}, nil
}
