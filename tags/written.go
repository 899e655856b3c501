package tags

import (
	"fmt"
	"strings"
)

// Written is what a play says of itself on one angle, as it was written; what is absent
// is nil or empty.
type Written struct {
	Angle         string // empty for what stands on the play itself and means the first angle
	File          string // absolute
	In, Out, Snap *Instant
}

// Written is what p says of itself on film: on the play itself, if it does so there, then
// angle by angle.
func (p *Play) Written() []Written {
	var all []Written
	own := Written{In: p.in, Out: p.out}
	if snap, ok := p.Marks.At(Snap); ok {
		own.Snap = snap
	}
	if own.In != nil || own.Out != nil || own.Snap != nil {
		all = append(all, own)
	}
	for _, a := range p.angles {
		all = append(all, Written{Angle: a.Name, File: a.File, In: a.In, Out: a.Out, Snap: a.Snap})
	}
	return all
}

// Same reports whether two instants are written as one and the same time.
func (at Instant) Same(other Instant) bool {
	at.Pos = other.Pos
	return at == other
}

// String writes at so that [ParseInstant] reads the same instant: to the millisecond
// where that is all of it, else to the nanosecond.
func (at Instant) String() string {
	sign := ""
	n := at.N
	if at.From == FromSnap {
		sign = "+"
		if n < 0 {
			sign, n = "-", -n
		}
	}
	switch at.Unit {
	case FrameCount:
		return fmt.Sprintf("%sf%d", sign, n)
	case TimecodeUnit, DropTimecode:
		return at.Timecode().String()
	}
	seconds, rest := n/int64(Second), n%int64(Second)
	// Reading rounds down, so writing rounds up.
	fraction := fmt.Sprintf("%09d", (rest*1_000_000_000+int64(Second)-1)/int64(Second))
	for len(fraction) > 3 && strings.HasSuffix(fraction, "0") {
		fraction = fraction[:len(fraction)-1]
	}
	if at.From == FromSnap {
		return fmt.Sprintf("%s%d.%ss", sign, seconds, fraction)
	}
	return fmt.Sprintf("%d:%02d:%02d.%s", seconds/3600, seconds/60%60, seconds%60, fraction)
}

// Written is what r says of its own in and out, which stand on the first angle; what is
// absent is nil.
func (r *Rep) Written() Written { return Written{In: r.in, Out: r.out} }
