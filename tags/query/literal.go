package query

import (
	"fmt"
	"slices"
	"strings"

	"cel.dev/cel-go/common/ast"
	celop "cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"

	"trenchcut/tags"
)

// literals holds the texts that an expression compares facts with to the words those
// facts may have, as terms do. It gives the expression back with names for aliases.
func (q *Query) literals(where string, tree *ast.AST) (string, Errors) {
	text := []rune(where)
	var wrong Errors
	type alias struct {
		at         int
		text, name string
	}
	var aliases []alias
	for _, c := range comparisons(tree.Expr()) {
		i, ok := q.registry.byCEL[c.fact]
		value, isText := c.literal.AsLiteral().(types.String)
		if !ok || !isText {
			continue
		}
		f := q.registry.Facts[i]
		if f.Kind != Word && f.Kind != List && f.Kind != Person {
			continue
		}
		name, known, what, hint := q.registry.meant(f, string(value))
		at := tree.SourceInfo().GetStartLocation(c.literal.ID())
		switch span, _ := tree.SourceInfo().GetOffsetRange(c.literal.ID()); {
		case !known:
			e := q.celError(where, at.Line(), at.Column(), what)
			e.Hint = hint
			wrong = append(wrong, e)
		case name != string(value):
			aliases = append(aliases, alias{int(span.Start), string(value), name})
		}
	}
	// From the end, so that the places before stay where they are.
	slices.SortFunc(aliases, func(a, b alias) int { return b.at - a.at })
	for _, a := range aliases {
		end := a.at + 1 + len([]rune(a.text))
		// A word needs no escapes; one written with them is left for what it is.
		if end < len(text) && string(text[a.at+1:end]) == a.text && strings.ContainsRune(`'"`, text[a.at]) && text[end] == text[a.at] {
			text = slices.Replace(text, a.at+1, end, []rune(a.name)...)
		}
	}
	return string(text), wrong
}

// meant is the name or id by which an expression must ask for a text, or what is wrong with
// it. Somebody whom the season does not know may be named: the expression may be for others.
func (r *Registry) meant(f Fact, text string) (name string, ok bool, what, hint string) {
	if f.Kind != Person {
		name, ok = r.word(f, text)
		return name, ok, fmt.Sprintf("unknown %s %q", f.Name, text), r.didYouMeanWord(f, text)
	}
	switch ids, what, hint := r.who(f, text); {
	case len(ids) == 1:
		return ids[0], true, "", ""
	case ids == nil && len(tags.WhoIs(text, r.persons(f))) > 1:
		return text, false, what, hint
	default:
		return text, true, "", ""
	}
}

// comparison is a fact held against a literal.
type comparison struct {
	fact    string // its name in CEL
	literal ast.Expr
}

// comparisons is set == "short", set in ["short", "jump"] and "spin" in move, wherever
// they stand in an expression.
func comparisons(e ast.Expr) []comparison {
	var found []comparison
	ast.PreOrderVisit(e, ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.CallKind {
			return
		}
		call := e.AsCall()
		switch call.FunctionName() {
		case celop.Equals, celop.NotEquals, celop.In:
		default:
			return
		}
		left, right := call.Args()[0], call.Args()[1]
		for _, pair := range [][2]ast.Expr{{left, right}, {right, left}} {
			fact, other := pair[0], pair[1]
			switch {
			case fact.Kind() != ast.IdentKind:
			case other.Kind() == ast.LiteralKind:
				found = append(found, comparison{fact.AsIdent(), other})
			case other.Kind() == ast.ListKind:
				for _, item := range other.AsList().Elements() {
					if item.Kind() == ast.LiteralKind {
						found = append(found, comparison{fact.AsIdent(), item})
					}
				}
			}
		}
	}))
	return found
}
