package query

import (
	"context"
	"slices"
	"sync"

	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"

	"trenchcut/tags"
)

// readList names the reads of a vocabulary, as a list of words.
const readList = "read"

// readFacts is the facts that are asked of reads, and that no read may ask for.
var readFacts = []string{"read", "read-taken", "read-missed"}

func withoutReads(facts []Fact) []Fact {
	return slices.DeleteFunc(slices.Clone(facts), func(f Fact) bool { return f.list == readList })
}

// reading answers which reads were there for a rep. The conditions are compiled when the
// first rep is asked about, so that who asks nothing of reads pays nothing.
type reading struct {
	registry *Registry
	once     sync.Once
	asks     *Registry // the facts that reads may ask for
	programs []program
	kept     keptVerdicts
}

func newReading(r *Registry) *reading { return &reading{registry: r} }

// compile leaves out a read that has a fault; [Check] has told of it.
func (rs *reading) compile() {
	q := rs.query()
	rs.asks = q.registry
	rs.programs = make([]program, len(rs.registry.vocabulary.Reads))
	for i, rd := range rs.registry.vocabulary.Reads {
		if terms, faults, err := q.parseRead(rd); err == nil && faults.Grave() == 0 {
			rs.programs[i], _ = q.compile(terms)
		}
	}
	rs.kept.keep(rs.asks, rs.programs)
}

// query is one that knows every fact but those of reads.
func (rs *reading) query() *Query {
	r := &Registry{
		vocabulary: rs.registry.vocabulary, season: rs.registry.season,
		byName: map[string]int{}, byCEL: map[string]int{},
	}
	for _, f := range withoutReads(rs.registry.Facts) {
		r.add(f)
	}
	return &Query{registry: r}
}

// verdicts is whether each read was there for r.
func (rs *reading) verdicts(r *tags.Rep) []Verdict {
	rs.once.Do(rs.compile)
	return rs.kept.of(r, func() []Verdict { return rs.judge(r) })
}

func (rs *reading) judge(r *tags.Rep) []Verdict {
	said := make([]Verdict, len(rs.programs))
	j := newJudge(rs.asks, program{})
	for i, p := range rs.programs {
		if p.Program != nil {
			j.program = p
			// A read that takes too much work for a rep is not known to have been there.
			said[i], _ = j.judge(context.Background(), subject{r.Play, r})
		}
	}
	return said
}

// ReadsThere is whether each read of the vocabulary, in its order, was there for a rep. The list
// is shared by reps that are alike and must not be changed.
func (r *Registry) ReadsThere(rep *tags.Rep) []Verdict { return r.reads.verdicts(rep) }

// there is the reads that were there for r; false where none was, and of some it is not
// known.
func (rs *reading) there(r *tags.Rep) ([]tags.Read, bool) {
	var reads []tags.Read
	known := true
	for i, said := range rs.verdicts(r) {
		switch said {
		case Holds:
			reads = append(reads, rs.registry.vocabulary.Reads[i])
		case Unknown:
			known = false
		}
	}
	return reads, known || reads != nil
}

// fact is a list fact of the reads that were there, taken and missed.
func (rs *reading) fact(name, doc string, which func(r *tags.Rep, there []tags.Read) (names []string, known bool)) Fact {
	open := func(r *tags.Rep) []string {
		var open []string
		for i, said := range rs.verdicts(r) {
			if said != Unknown {
				continue
			}
			rd := rs.registry.vocabulary.Reads[i]
			if names, known := which(r, []tags.Read{rd}); !known || len(names) > 0 {
				open = append(open, rd.Name)
			}
		}
		return open
	}
	return Fact{Name: name, Kind: List, Doc: doc, list: readList, open: open, of: ofRep(func(r *tags.Rep) (any, bool) {
		reads, known := rs.there(r)
		if !known {
			return nil, false
		}
		names, known := which(r, reads)
		return append([]string{}, names...), known // empty is not unknown
	})}
}

// readsList is a list of reads as CEL sees it. Of the reads in open it is not known whether they
// are in the list.
type readsList struct {
	traits.Lister
	open  []string
	judge *judge
}

// Contains reports whether a read is in the list.
func (l readsList) Contains(value ref.Val) ref.Val {
	if name, ok := value.(types.String); ok && slices.Contains(l.open, string(name)) {
		return l.unknown()
	}
	return l.Lister.Contains(value)
}

// Equal is false where other lacks a read of the list. Otherwise it is not known, since a read that
// is open may be in the list too.
func (l readsList) Equal(other ref.Val) ref.Val {
	list, ok := other.(traits.Lister)
	for it := l.Lister.Iterator(); it.HasNext() == types.True; {
		if !ok || list.Contains(it.Next()) == types.False {
			return types.False
		}
	}
	return l.unknown()
}

// Size is how many reads are known to be in the list. Where none is, it is not known: an open one
// may be.
func (l readsList) Size() ref.Val {
	if n := l.Lister.Size(); n != types.IntZero {
		return n
	}
	return l.unknown()
}

// Fold gives folder, for all, exists and the like, each read of the list and then one that is not
// known, which stands for those that are open.
func (l readsList) Fold(folder traits.Folder) {
	n := 0
	for it := l.Lister.Iterator(); it.HasNext() == types.True; n++ {
		if !folder.FoldEntry(types.Int(n), it.Next()) {
			return
		}
	}
	folder.FoldEntry(types.Int(n), l.unknown())
}

func (l readsList) unknown() ref.Val {
	l.judge.missing = append(l.judge.missing, readList)
	return l.judge.notTagged
}

// readNames is the names of the reads that were there.
func readNames(_ *tags.Rep, there []tags.Read) ([]string, bool) {
	names := make([]string, len(there))
	for i, rd := range there {
		names[i] = rd.Name
	}
	return names, true
}

func readsTaken(r *tags.Rep, there []tags.Read) ([]string, bool) {
	taken, _, known := r.Answered(there)
	return taken, known
}

func readsMissed(r *tags.Rep, there []tags.Read) ([]string, bool) {
	_, others, known := r.Answered(there)
	if !known {
		return nil, false
	}
	return r.Missed(others)
}
