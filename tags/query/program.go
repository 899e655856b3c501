package query

import (
	"context"
	"errors"
	"sync/atomic"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/interpreter"
)

// ErrCostly says that a condition takes more work or more memory than any sensible one.
var ErrCostly = errors.New("the condition takes too much work: use fewer all, exists, map and filter within one another")

// What a condition may take for one rep or play, in CEL's units: of cost, one is about a step
// or ten bytes of text; of memory, one is an element of a list or a byte of text. The reads and
// choices of the templates loop over nothing; a loop over moves within another takes some
// hundreds.
const (
	mostCost   = 50_000
	mostMemory = 500_000
)

// checkEvery is after how many steps of a loop the end of the context is noticed.
const checkEvery = 100

// program is a compiled condition.
type program struct {
	cel.Program
	ast *ast.AST
	// loops is whether the condition has a loop of its own, such as all or map. Without one it
	// takes no more steps than it has words, so that nothing need be counted.
	loops bool
	// costly is whether it was once: it is not put to another rep then.
	costly *atomic.Bool
}

func newProgram(env *cel.Env, a *cel.Ast) (program, error) {
	loops := len(ast.MatchDescendants(ast.NavigateAST(a.NativeRep()), ast.KindMatcher(ast.ComprehensionKind))) > 0
	var options []cel.ProgramOption
	if loops {
		options = append(options, cel.CostLimit(mostCost), cel.MemoryLimit(mostMemory), cel.InterruptCheckFrequency(checkEvery))
	}
	p, err := env.Program(a, options...)
	return program{p, a.NativeRep(), loops, new(atomic.Bool)}, err
}

// eval is the condition's value for the facts of j. Its error is that the value is not known,
// unless it is [ErrCostly] or ctx has ended.
func (p program) eval(ctx context.Context, j *judge) (any, error) {
	if !p.loops {
		out, _, err := p.Eval(j)
		if err != nil {
			return nil, err
		}
		return out.Value(), nil
	}
	if p.costly.Load() {
		return nil, ErrCostly
	}
	out, _, err := p.ContextEval(ctx, j)
	var cancelled interpreter.EvalCancelledError
	if errors.As(err, &cancelled) && cancelled.Cause != interpreter.ContextCancelled {
		p.costly.Store(true)
		return nil, ErrCostly
	}
	if err != nil {
		return nil, err
	}
	return out.Value(), nil
}
