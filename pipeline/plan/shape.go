package plan

// Shape is the outline of a reel's picture.
type Shape string

// The shapes.
const (
	// Wide is 16:9, for the meeting room: each angle by itself, labels over the picture.
	Wide Shape = "wide"
	// Tall is 9:16, for a phone held upright: two angles of a play in step, one above the
	// other, the clock above them and the label below.
	Tall Shape = "tall"
	// Phone is 9:16, filled by a part of the picture that follows the rush, where what moves and
	// where the man stands tell where it is; other film stands whole. Each angle is by itself,
	// with the label and the clock below.
	Phone Shape = "phone"
	// Square is 1:1. Two angles would each be too small in it, so each is shown by itself,
	// with the label and the clock below.
	Square Shape = "square"
)

var shapes = []Shape{Wide, Phone, Tall, Square}

// stacks reports whether two angles of a play stand one above the other.
func (s Shape) stacks() bool { return s == Tall }

// narrow reports whether s is narrower than film is.
func (s Shape) narrow() bool { return s == Tall || s == Phone || s == Square }

// of is house in shape s: its shorter side stays, as far as a picture of that shape may be
// as large or as small, and the other follows.
func (s Shape) of(house House) House {
	short := min(house.Width, house.Height)
	switch s {
	case Tall, Phone:
		short = min(short, MostSide*9/16)
		house.Width, house.Height = short, even((short*16+4)/9)
	case Square:
		short = max(short, LeastLong)
		house.Width, house.Height = short, short
	}
	return house
}

// Layout is where film, labels and the clock stand in a picture. In a wide one the film
// has the whole of it and labels and clock are over it: their rooms are zero.
type Layout struct {
	Film  Fit
	Label Fit
	Clock Fit
}

// Layout is that of a picture in shape s.
func (s Shape) Layout(h House) Layout {
	high := (h.Width*9 + 31) / 32 * 2 // as film of 16:9 is, even
	gap := even(h.Width / 90)
	switch s {
	case Tall:
		top := even(h.Height * 17 / 100)
		end := top + 2*high
		return Layout{
			Film:  Fit{0, top, h.Width, 2 * high},
			Clock: Fit{0, 0, h.Width, top - gap},
			Label: Fit{0, end + gap, h.Width, h.Height - end - gap},
		}
	case Phone:
		end, left := even(int(float64(h.Width)/PhonePart*9/16)), even(h.Width*64/100)
		return Layout{
			Film:  Fit{0, 0, h.Width, end},
			Label: Fit{0, end + gap, left, h.Height - end - gap},
			Clock: Fit{left, end + gap, h.Width - left, h.Height - end - gap},
		}
	case Square:
		top := even(h.Height / 20)
		end, left := top+high, even(h.Width*70/100)
		return Layout{
			Film:  Fit{0, top, h.Width, high},
			Label: Fit{0, end + gap, left, h.Height - end - gap},
			Clock: Fit{left, end + gap, h.Width - left, h.Height - end - gap},
		}
	default:
		return Layout{Film: Fit{0, 0, h.Width, h.Height}}
	}
}

// in fits film of a source into f, whole and centred.
func (f Fit) in(src *Source) Fit {
	film := Letterbox(src.Width, src.Height, House{Width: f.Width, Height: f.Height})
	film.X += f.X
	film.Y += f.Y
	return film
}

// halves is the upper and the lower half of f.
func (f Fit) halves() (above, below Fit) {
	half := f.Height / 2
	return Fit{f.X, f.Y, f.Width, half}, Fit{f.X, f.Y + half, f.Width, f.Height - half}
}

// within is the room for what is drawn on the film: film itself, or zero where that is the whole
// picture.
func (l Layout) within(film Fit) Fit {
	if l.Label == (Fit{}) {
		return Fit{}
	}
	return film
}

// place gives labels and clocks the rooms that are theirs.
func (l Layout) place(layers []Layer) []Layer {
	if l.Label == (Fit{}) {
		return layers
	}
	for i := range layers {
		if label := layers[i].Label; label != nil {
			label.Room, label.Top, label.Broad = l.Label, false, false
		}
		if clock := layers[i].Clock; clock != nil {
			clock.Room = l.Clock
		}
	}
	return layers
}
