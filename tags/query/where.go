package query

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"

	"trenchcut/tags"
)

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
	canonical, wrong := q.literals(where, ast.NativeRep())
	if wrong != nil {
		return term{}, wrong, nil
	}
	t := term{text: where, cel: canonical}
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
	e := TermError{Term: where, Offset: max(column, 0), What: message} // some have no place
	if lines := strings.Split(where, "\n"); line >= 1 && line <= len(lines) {
		e.Term = lines[line-1]
	}
	switch {
	case undeclared.MatchString(message):
		name := undeclared.FindStringSubmatch(message)[1]
		e.What = fmt.Sprintf("unknown name %q", name)
		e.Hint = q.didYouMeanName(where, name)
		e.err = errUnknownKey(name)
	case overload.MatchString(message):
		m := overload.FindStringSubmatch(message)
		var kinds []string
		for kind := range strings.SplitSeq(m[2], ", ") {
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
	var names []string
	for _, f := range q.registry.Facts {
		if f.Name != f.CEL() && strings.Contains(where, f.Name) && strings.Contains(f.Name, name) {
			return fmt.Sprintf("write %s for %s", f.CEL(), f.Name)
		}
		names = append(names, f.CEL())
	}
	for choice := range q.registry.vocabulary.Choices {
		if strings.Contains(choice, name) && strings.Contains(where, choice) {
			return choice + " is a term by itself, outside --where"
		}
	}
	for _, f := range q.registry.Facts {
		if slices.Contains(q.registry.words(f), name) {
			return fmt.Sprintf("a word stands in quotes: %s == %q", f.CEL(), name)
		}
	}
	return tags.DidYouMean(name, names)
}
