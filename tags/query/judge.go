package query

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
)

// Verdict is what becomes of a condition that is put to a rep or a play.
type Verdict int

// The verdicts. What the tags do not say is neither yes nor no.
const (
	Fails Verdict = iota
	Holds
	Unknown
)

// judge puts a program to one rep or play after another. It is CEL's activation as
// well.
type judge struct {
	subject
	registry *Registry
	program  program
	missing  []string // what the last judgement missed: facts, or what they derive from
	counts   map[string]int
	// notTagged is an error as a value, which && and || pass over where their other side
	// decides. A name left unresolved would do as well, but for "type", which CEL then takes
	// for the type of types. CEL writes into it where it was met, so no two judges share one.
	notTagged ref.Val
}

func newJudge(r *Registry, p program) *judge {
	return &judge{registry: r, program: p, counts: map[string]int{}, notTagged: types.NewErr("not tagged")}
}

// ResolveName is the fact of a name, as CEL asks for it.
func (j *judge) ResolveName(name string) (any, bool) {
	i, ok := j.registry.byCEL[name]
	if !ok {
		return nil, false
	}
	f := j.registry.Facts[i]
	if f.Name == taggedName {
		return taggedList{j.registry, j.subject}, true
	}
	value, ok := f.of(j.subject)
	if !ok {
		j.missing = append(j.missing, cmp.Or(f.from, f.Name))
		return j.notTagged, true
	}
	if f.open != nil {
		if open := f.open(j.rep); open != nil {
			names, _ := value.([]string)
			return readsList{types.NewStringList(types.DefaultTypeAdapter, names), open, j}, true
		}
	}
	return value, true
}

// Parent is none: there are no names but facts.
func (j *judge) Parent() cel.Activation { return nil }

// judge puts the program to s. What it cannot tell is Unknown; it fails only where the program
// is [ErrCostly] or ctx has ended.
func (j *judge) judge(ctx context.Context, s subject) (Verdict, error) {
	if j.program.Program == nil {
		return Holds, nil
	}
	j.subject, j.missing = s, j.missing[:0]
	value, err := j.program.eval(ctx, j)
	switch {
	case errors.Is(err, ErrCostly):
		return Unknown, err
	case err != nil && ctx.Err() != nil:
		return Unknown, context.Cause(ctx)
	case err != nil:
		return Unknown, nil
	case value == true:
		return Holds, nil
	default:
		return Fails, nil
	}
}

// note counts what the last judgement missed, each fact once.
func (j *judge) note() {
	slices.Sort(j.missing)
	for _, name := range slices.Compact(j.missing) {
		j.counts[name]++
	}
}

func (j *judge) often() []string {
	return slices.SortedFunc(maps.Keys(j.counts), func(a, b string) int {
		return cmp.Or(cmp.Compare(j.counts[b], j.counts[a]), cmp.Compare(a, b))
	})
}
