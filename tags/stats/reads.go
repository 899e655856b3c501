package stats

import "trenchcut/tags"

// Seen is the reads that were there for a rep, and what became of them. Who knows the
// query language finds them; this package does not.
type Seen struct {
	Rep     *tags.Rep
	There   []string
	Unknown []string // reads of which the tags do not say whether they were there
	Taken   []string // what he took of those there, and what he did not, however it ended
	Others  []string
	Judged  bool     // whether Taken and Others are known
	Missed  []string // of Others: see [tags.Rep.Missed]
}

// Read is what one read came to.
type Read struct {
	Name  string
	There int // reps it was there for
	// Unknown is reps of which the tags do not say whether it was there; in nothing else.
	Unknown int
	// Taken is of those whose job it was; unknown where no move is tagged.
	Taken  Rate
	NotHis int
	Missed int
	// What it paid: battles won of the reps that took it, and of those that did not.
	WonTaken Rate
	WonOther Rate
	Pays     *Difference // nil where either has too few reps for a rate
}

// Verdict is what the film says of whether a read pays, in a word.
type Verdict string

// The verdicts, by the interval of the difference.
const (
	Paying  Verdict = "yes"               // all of it is above none
	Costing Verdict = "no, the other way" // all of it is below
	Open    Verdict = "not shown"         // it has none in it, or of some reps it is not known
	TooFew  Verdict = "too few"           // there is none
)

// Verdict is whether the film bears out that taking the read pays.
func (r Read) Verdict() Verdict {
	switch {
	case r.Pays == nil && (r.WonTaken.Bounded() || r.WonOther.Bounded()):
		return Open
	case r.Pays == nil:
		return TooFew
	case r.Pays.Low > 0:
		return Paying
	case r.Pays.High < 0:
		return Costing
	default:
		return Open
	}
}

// Reads is what each of names came to over what was seen, in the order of names; other reads
// that were seen count nowhere. What is seen of reps that [Readers] leaves out must not be
// among it.
func Reads(seen []Seen, names []string) []Read {
	list := make([]Read, len(names))
	at := make(map[string]*Read, len(names))
	for i, name := range names {
		list[i].Name = name
		at[name] = &list[i]
	}
	each := func(of []string, count func(*Read)) {
		for _, name := range of {
			if r := at[name]; r != nil {
				count(r)
			}
		}
	}
	for _, s := range seen {
		each(s.Unknown, func(r *Read) { r.Unknown++ })
		each(s.There, func(r *Read) {
			r.There++
			if !s.Judged {
				r.Taken.addOf(s.Rep, false, false)
			} else if s.Rep.Taken == "not-his-job" {
				r.NotHis++
			}
		})
		each(s.Taken, func(r *Read) {
			r.Taken.addOf(s.Rep, true, true)
			r.WonTaken.addWon(s.Rep)
		})
		each(s.Others, func(r *Read) {
			r.Taken.addOf(s.Rep, false, true)
			r.WonOther.addWon(s.Rep)
		})
		each(s.Missed, func(r *Read) { r.Missed++ })
	}
	for i := range list {
		r := &list[i]
		r.Pays = contrast("", r.WonTaken, r.WonOther).Difference
	}
	return list
}
