package query

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"

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

// parseWhere checks a CEL expression on its own, so that its errors have their place.
func (q *Query) parseWhere(where string) (term, Errors, error) {
	env, err := q.environment()
	if err != nil {
		return term{}, nil, err
	}
	ast, issues := env.Compile(where)
	if issues.Err() != nil {
		var wrong Errors
		for _, e := range issues.Errors() {
			if strings.Contains(e.Message, "!error!") {
				continue // only the echo of another
			}
			said := q.celError(where, e.Location.Line(), e.Location.Column(), e.Message)
			// time-to-beat reads as three unknown names, which is one mistake.
			if n := len(wrong); n == 0 || said.Hint == "" || said.Hint != wrong[n-1].Hint {
				wrong = append(wrong, said)
			}
		}
		return term{}, wrong, nil
	}
	if ast.OutputType() != cel.BoolType && ast.OutputType() != cel.DynType {
		what := fmt.Sprintf("the expression gives %s, not yes or no", celKind(ast.OutputType().String()))
		return term{}, Errors{{Term: where, What: what, Hint: "compare it, such as down == 3"}}, nil
	}
	t := term{text: where, words: where, cel: where}
	for _, ref := range ast.NativeRep().ReferenceMap() {
		if i, ok := q.registry.byCEL[ref.Name]; ok && !q.registry.Facts[i].OfPlay {
			t.ofRep = true
		}
	}
	return t, nil, nil
}

var (
	undeclared = regexp.MustCompile(`^undeclared reference to '([^']*)'`)
	overload   = regexp.MustCompile(`^found no matching overload for '_?([^'_]+)_?' applied to '\((.*)\)'$`)
	syntax     = regexp.MustCompile(`^Syntax error: (.*)$`)
	expecting  = regexp.MustCompile(` expecting .*$`)
)

// celError says in this program's words what CEL's compiler found.
func (q *Query) celError(where string, line, column int, message string) TermError {
	e := TermError{Term: where, Offset: column, What: message}
	if lines := strings.Split(where, "\n"); line >= 1 && line <= len(lines) {
		e.Term = lines[line-1]
	}
	switch {
	case undeclared.MatchString(message):
		name := undeclared.FindStringSubmatch(message)[1]
		e.What = fmt.Sprintf("unknown name %q", name)
		e.Hint = q.didYouMeanName(where, name)
	case overload.MatchString(message):
		m := overload.FindStringSubmatch(message)
		var kinds []string
		for _, kind := range strings.Split(m[2], ", ") {
			kinds = append(kinds, celKind(kind))
		}
		e.What = fmt.Sprintf("%s does not go with %s", m[1], strings.Join(kinds, " and "))
		if strings.Contains(m[2], "list(") {
			e.Hint = `look into a list with in: "spin" in move`
		}
	case syntax.MatchString(message):
		e.What = "not an expression: " + expecting.ReplaceAllString(syntax.FindStringSubmatch(message)[1], "")
		e.What = strings.Replace(e.What, "mismatched input '<EOF>'", "it ends too early", 1)
	}
	return e
}

func celKind(kind string) string {
	switch kind {
	case "int", "double", "uint":
		return "a number"
	case "string":
		return "text"
	case "bool":
		return "yes or no"
	case "list(string)":
		return "a list"
	default:
		return kind
	}
}

func (q *Query) didYouMeanName(where, name string) string {
	for choice := range q.registry.vocabulary.Choices {
		if strings.Contains(choice, name) && strings.Contains(where, choice) {
			return choice + " is a term by itself, outside --where"
		}
	}
	var names []string
	for _, f := range q.registry.Facts {
		if f.Name != f.CEL() && strings.Contains(where, f.Name) && strings.Contains(f.Name, name) {
			return fmt.Sprintf("write %s for %s", f.CEL(), f.Name)
		}
		names = append(names, f.CEL())
	}
	for _, f := range q.registry.Facts {
		if slices.Contains(q.registry.words(f), name) {
			return fmt.Sprintf("a word stands in quotes: %s == %q", f.CEL(), name)
		}
	}
	return tags.DidYouMean(name, names)
}

// Facts is every fact the query could have named.
func (q *Query) Facts() []Fact { return q.registry.Facts }

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
	Missing []string // the facts that were not known, the most often missed first
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
		case holds:
			result.Reps = append(result.Reps, r)
		case unknown:
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
		case holds:
			result.Plays = append(result.Plays, p)
		case unknown:
			result.Unknown++
			j.note()
		}
	}
	result.Missing = j.often()
	return result
}

func (q *Query) judgePlay(j *judge, p *tags.Play) verdict {
	if !q.ofRep || len(p.Reps) == 0 {
		return j.judge(subject{play: p})
	}
	said := fails
	var missing []string
	for _, r := range p.Reps {
		switch j.judge(subject{p, r}) {
		case holds:
			return holds
		case unknown:
			said = unknown
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

type verdict int

const (
	fails verdict = iota
	holds
	unknown
)

// judge puts a program to one rep or play after another. It is CEL's activation as
// well.
type judge struct {
	subject
	registry *Registry
	program  cel.Program
	missing  []string // facts that the last judgement asked for in vain
	counts   map[string]int
}

func newJudge(r *Registry, program cel.Program) *judge {
	return &judge{registry: r, program: program, counts: map[string]int{}}
}

// notTagged is an error as a value, which && and || pass over where their other side
// decides. A name left unresolved would do as well, but for "type", which CEL then takes
// for the type of types.
var notTagged = types.NewErr("not tagged")

// ResolveName is the fact of a name, as CEL asks for it.
func (j *judge) ResolveName(name string) (any, bool) {
	i, ok := j.registry.byCEL[name]
	if !ok {
		return nil, false
	}
	f := j.registry.Facts[i]
	value, ok := f.of(j.subject)
	if !ok {
		j.missing = append(j.missing, f.Name)
		return notTagged, true
	}
	return value, true
}

// Parent is none: there are no names but facts.
func (j *judge) Parent() cel.Activation { return nil }

func (j *judge) judge(s subject) verdict {
	if j.program == nil {
		return holds
	}
	j.subject, j.missing = s, j.missing[:0]
	out, _, err := j.program.Eval(j)
	switch {
	case err != nil:
		return unknown
	case out.Value() == true:
		return holds
	default:
		return fails
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
