package query

import (
	"fmt"
	"strings"

	"cel.dev/cel-go/cel"

	"trenchcut/tags"
)

// Query is a choice of reps or plays: terms that must all hold, and a CEL expression.
type Query struct {
	registry *Registry
	env      *cel.Env
	terms    []term
	program  cel.Program // nil where nothing was asked
	ofRep    bool
}

// Parse reads terms, and a CEL expression where it is not empty, in the words of v and
// of what the season holds. Its error is [Errors].
func Parse(terms []string, where string, v *tags.Vocabulary, season *tags.Season) (*Query, error) {
	q := &Query{registry: NewRegistry(v, season)}
	var wrong Errors
	for _, text := range terms {
		t, err := q.registry.parseTerm(text)
		if err != nil {
			wrong = append(wrong, *err)
			continue
		}
		q.terms = append(q.terms, t)
	}
	if strings.TrimSpace(where) != "" {
		t, errs, err := q.parseWhere(where)
		if err != nil {
			return nil, err
		}
		wrong = append(wrong, errs...)
		q.terms = append(q.terms, t)
	}
	if wrong != nil {
		return nil, wrong
	}
	for _, t := range q.terms {
		q.ofRep = q.ofRep || t.ofRep
	}
	if len(q.terms) == 0 {
		return q, nil
	}
	var err error
	q.program, err = q.compile(q.terms)
	return q, err
}

// environment is CEL with a variable for every fact, made when it is first needed.
func (q *Query) environment() (*cel.Env, error) {
	if q.env != nil {
		return q.env, nil
	}
	options := []cel.EnvOption{cel.CrossTypeNumericComparisons(true)}
	for _, f := range q.registry.Facts {
		options = append(options, cel.Variable(f.CEL(), f.celType()))
	}
	var err error
	if q.env, err = cel.NewEnv(options...); err != nil {
		return nil, fmt.Errorf("make the query's names known: %w", err)
	}
	return q.env, nil
}

func (f Fact) celType() *cel.Type {
	switch {
	case f.many():
		return cel.ListType(cel.StringType)
	case f.Kind == YesNo:
		return cel.BoolType
	case f.Kind == Clock || f.whole:
		return cel.IntType
	case f.Kind == Number || f.Kind == Seconds:
		return cel.DoubleType
	default:
		return cel.StringType
	}
}

func (q *Query) compile(terms []term) (cel.Program, error) {
	env, err := q.environment()
	if err != nil {
		return nil, err
	}
	parts := make([]string, len(terms))
	for i, t := range terms {
		parts[i] = "(" + t.cel + "\n)" // an expression may end in a comment
	}
	ast, issues := env.Compile(strings.Join(parts, " && "))
	if err := issues.Err(); err != nil {
		return nil, fmt.Errorf("compile the query: %w", err)
	}
	program, err := env.Program(ast)
	if err != nil {
		return nil, fmt.Errorf("compile the query: %w", err)
	}
	return program, nil
}

// Registry is every fact the query could have named.
func (q *Query) Registry() *Registry { return q.registry }

// String is what was asked for, in words for a slate: "inside-counter, set short".
func (q *Query) String() string {
	if len(q.terms) == 0 {
		return "everything"
	}
	words := make([]string, len(q.terms))
	for i, t := range q.terms {
		words[i] = t.words
	}
	return strings.Join(words, ", ")
}

// Unjudged counts what could not be judged, because facts that decide it are not known.
type Unjudged struct {
	Unknown int
	Missing []string // what was not tagged, the most often missed first
}

// Result is the reps that were chosen, in film order.
type Result struct {
	Reps []*tags.Rep
	Unjudged
}

// PlayResult is the plays that were chosen, in film order.
type PlayResult struct {
	Plays []*tags.Play
	Unjudged
}

// Reps is every rep of the season that meets the query.
func (q *Query) Reps(season *tags.Season) Result {
	var result Result
	j := newJudge(q.registry, q.program)
	for _, r := range season.Reps() {
		switch j.judge(subject{r.Play, r}) {
		case Holds:
			result.Reps = append(result.Reps, r)
		case Unknown:
			result.Unknown++
			j.note()
		}
	}
	result.Missing = j.often()
	return result
}

// Plays is every play of the season that meets the query: by itself where the query
// asks only about plays, otherwise by any of its reps.
func (q *Query) Plays(season *tags.Season) PlayResult {
	var result PlayResult
	j := newJudge(q.registry, q.program)
	for _, p := range season.Plays() {
		switch q.judgePlay(j, p) {
		case Holds:
			result.Plays = append(result.Plays, p)
		case Unknown:
			result.Unknown++
			j.note()
		}
	}
	result.Missing = j.often()
	return result
}

func (q *Query) judgePlay(j *judge, p *tags.Play) Verdict {
	if !q.ofRep || len(p.Reps) == 0 {
		return j.judge(subject{play: p})
	}
	said := Fails
	var missing []string
	for _, r := range p.Reps {
		switch j.judge(subject{p, r}) {
		case Holds:
			return Holds
		case Unknown:
			said = Unknown
			missing = append(missing, j.missing...)
		}
	}
	j.missing = missing
	return said
}

// TermCount is how many reps or plays one term of a query chooses by itself.
type TermCount struct {
	Term string
	N    int
	Hint string // where it chooses none because the season has no such value
}

// ByTerm is how many reps, or plays, each term chooses by itself, for telling which of
// them left nothing.
func (q *Query) ByTerm(season *tags.Season, plays bool) ([]TermCount, error) {
	counts := make([]TermCount, len(q.terms))
	for i, t := range q.terms {
		program, err := q.compile([]term{t})
		if err != nil {
			return nil, err
		}
		alone := Query{registry: q.registry, program: program, ofRep: t.ofRep}
		n := len(alone.Reps(season).Reps)
		if plays {
			n = len(alone.Plays(season).Plays)
		}
		counts[i] = TermCount{t.text, n, t.unseen}
	}
	return counts, nil
}
