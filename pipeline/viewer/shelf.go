package viewer

import (
	"container/list"

	"trenchcut/tags"
)

// place names one still.
type place struct {
	sized
	n tags.Frame
}

// sized is a film at one width, of which stills are kept.
type sized struct {
	film  *Film
	width int
}

// shelf keeps stills, and lets go of those that were not asked for longest once they are more
// than there is room for.
type shelf struct {
	room, taken int64
	order       *list.List // of *still, the one asked for last first
	stills      map[place]*list.Element
}

type still struct {
	place
	jpeg []byte
}

// overhead is about how many bytes a still takes beside its picture.
const overhead = 256

func newShelf(room int64) *shelf {
	return &shelf{room: room, order: list.New(), stills: map[place]*list.Element{}}
}

func (s *shelf) get(p place) ([]byte, bool) {
	e, ok := s.stills[p]
	if !ok {
		return nil, false
	}
	s.order.MoveToFront(e)
	return e.Value.(*still).jpeg, true
}

func (s *shelf) has(p place) bool {
	_, ok := s.stills[p]
	return ok
}

func (s *shelf) put(p place, jpeg []byte) {
	if _, ok := s.get(p); ok {
		return
	}
	s.stills[p] = s.order.PushFront(&still{p, jpeg})
	s.taken += int64(len(jpeg)) + overhead
	for s.taken > s.room && s.order.Len() > 1 {
		last := s.order.Back()
		old := s.order.Remove(last).(*still)
		delete(s.stills, old.place)
		s.taken -= int64(len(old.jpeg)) + overhead
	}
}
