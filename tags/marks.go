package tags

import (
	"math/bits"
	"slices"
)

// Mark names an instant within a play.
type Mark string

// The marks, in the order they happen to a rush that is won; release may come before
// any of getoff to beat.
const (
	Snap    Mark = "snap"
	Getoff  Mark = "getoff"  // the rusher's first movement
	Contact Mark = "contact" // first contact with the blocker
	Turn    Mark = "turn"    // his path changes
	Beat    Mark = "beat"    // his hips past the blocker's hips
	Release Mark = "release" // ball out
	Finish  Mark = "finish"  // the rush is over
)

// AllMarks is every mark, in order.
var AllMarks = []Mark{Snap, Getoff, Contact, Turn, Beat, Release, Finish}

// MarkNames is the name of every mark, in order.
func MarkNames() []string {
	names := make([]string, len(AllMarks))
	for i, m := range AllMarks {
		names[i] = string(m)
	}
	return names
}

// place is the mark's place among all of them, or -1.
func (m Mark) place() int { return slices.Index(AllMarks, m) }

// Marks is the instants that are known; a mark that is absent is unknown, never "no". A
// season has half a million of them, so they lie side by side.
type Marks struct {
	known uint8 // a bit for each of AllMarks
	at    []Instant
}

// At is the instant of a mark, and whether it is known. It is good until the next Set.
func (ms Marks) At(m Mark) (*Instant, bool) {
	place := m.place()
	if place < 0 || ms.known&(1<<place) == 0 {
		return nil, false
	}
	return &ms.at[ms.before(place)], true
}

// Set makes the instant of a mark known; a mark that is none of AllMarks is passed over.
func (ms *Marks) Set(m Mark, at Instant) {
	place := m.place()
	switch {
	case place < 0:
	case ms.known&(1<<place) != 0:
		ms.at[ms.before(place)] = at
	default:
		ms.at = slices.Insert(ms.at, ms.before(place), at)
		ms.known |= 1 << place
	}
}

// forget makes a mark unknown.
func (ms *Marks) forget(m Mark) {
	if place := m.place(); place >= 0 && ms.known&(1<<place) != 0 {
		i := ms.before(place)
		ms.at = slices.Delete(ms.at, i, i+1)
		ms.known &^= 1 << place
	}
}

// before is how many known marks come before the one at place.
func (ms Marks) before(place int) int { return bits.OnesCount8(ms.known & (1<<place - 1)) }
