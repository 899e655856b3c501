package tags

import "strconv"

// DownAndDistance is "3&8", or the down alone where the distance is not known.
func (p *Play) DownAndDistance() string {
	switch {
	case p.Down == nil:
		return ""
	case p.Distance == nil:
		return strconv.Itoa(*p.Down)
	default:
		return strconv.Itoa(*p.Down) + "&" + strconv.Itoa(*p.Distance)
	}
}
