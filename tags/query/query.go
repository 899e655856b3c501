package query

import (
	"cmp"
	"context"
	"errors"
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
	program  program // its Program is nil where nothing was asked
	ofRep    bool
	judged   judgedQuery
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

func (q *Query) compile(terms []term) (program, error) {
	env, err := q.environment()
	if err != nil {
		return program{}, err
	}
	parts := make([]string, len(terms))
	for i, t := range terms {
		parts[i] = "(" + t.cel + "\n)" // an expression may end in a comment
	}
	ast, issues := env.Compile(strings.Join(parts, " && "))
	if err := issues.Err(); err != nil {
		return program{}, fmt.Errorf("compile the query: %w", err)
	}
	p, err := newProgram(env, ast)
	if err != nil {
		return program{}, fmt.Errorf("compile the query: %w", err)
	}
	return p, nil
}

// Registry is every fact the query could have named.
func (q *Query) Registry() *Registry { return q.registry }

// String is what was asked for, for whoever asked: each term in words, a CEL expression as it
// was written.
func (q *Query) String() string {
	if len(q.terms) == 0 {
		return "everything"
	}
	words := make([]string, len(q.terms))
	for i, t := range q.terms {
		words[i] = cmp.Or(t.words, t.text)
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
	if q.judged.season == season {
		return q.judged.reps
	}
	result, _ := q.reps(context.Background(), season) // [Query.Judge] tells what may be wrong
	return result
}

func (q *Query) reps(ctx context.Context, season *tags.Season) (Result, error) {
	reps, unjudged, err := meeting(q, season.Reps(), func(j *judge, r *tags.Rep) (Verdict, error) {
		return j.judge(ctx, subject{r.Play, r})
	})
	return Result{reps, unjudged}, err
}

// meeting returns those of all that meet q, and counts those that cannot be judged.
func meeting[T any](q *Query, all []T, verdict func(*judge, T) (Verdict, error)) (list []T, unjudged Unjudged, err error) {
	j := newJudge(q.registry, q.program)
	for _, x := range all {
		said, err := verdict(j, x)
		if err != nil {
			return nil, Unjudged{}, err
		}
		switch said {
		case Holds:
			list = append(list, x)
		case Unknown:
			unjudged.Unknown++
			j.note()
		}
	}
	unjudged.Missing = j.often()
	return list, unjudged, nil
}

// Plays is every play of the season that meets the query: by itself where the query
// asks only about plays, otherwise by any of its reps.
func (q *Query) Plays(season *tags.Season) PlayResult {
	if q.judged.season == season {
		return q.judged.plays
	}
	result, _ := q.plays(context.Background(), season) // as in Reps
	return result
}

func (q *Query) plays(ctx context.Context, season *tags.Season) (PlayResult, error) {
	plays, unjudged, err := meeting(q, season.Plays(), func(j *judge, p *tags.Play) (Verdict, error) {
		return q.judgePlay(ctx, j, p)
	})
	return PlayResult{plays, unjudged}, err
}

// Judge puts the query to every rep and play of the season ahead of [Query.Reps] and
// [Query.Plays], where it may take long: where its conditions have loops. It fails with
// [ErrCostly] where one takes too much work, and at once when ctx ends.
func (q *Query) Judge(ctx context.Context, season *tags.Season) error {
	if !q.program.loops {
		return nil
	}
	done := make(chan error, 1)
	judged := &judgedQuery{season: season}
	go func() {
		var errReps, errPlays error
		judged.reps, errReps = q.reps(ctx, season)
		if errReps == nil {
			judged.plays, errPlays = q.plays(ctx, season)
		}
		done <- errors.Join(errReps, errPlays)
	}()
	select {
	case err := <-done:
		if err == nil {
			q.judged = *judged
		}
		return err
	case <-ctx.Done():
		// One step of a loop may be long by itself, such as comparing lists of lists, and cannot
		// be ended: it is left alone.
		return context.Cause(ctx)
	}
}

// judgedQuery is what a query chooses of a season.
type judgedQuery struct {
	season *tags.Season
	reps   Result
	plays  PlayResult
}

func (q *Query) judgePlay(ctx context.Context, j *judge, p *tags.Play) (Verdict, error) {
	if !q.ofRep || len(p.Reps) == 0 {
		return j.judge(ctx, subject{play: p})
	}
	said := Fails
	var missing []string
	for _, r := range p.Reps {
		verdict, err := j.judge(ctx, subject{p, r})
		switch {
		case err != nil || verdict == Holds:
			return verdict, err
		case verdict == Unknown:
			said = Unknown
			missing = append(missing, j.missing...)
		}
	}
	j.missing = missing
	return said, nil
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
