package query

import (
	"encoding/binary"
	"math"
	"sync"
	"sync/atomic"

	"cel.dev/cel-go/common/ast"
	celop "cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"

	"trenchcut/tags"
)

// mostKept is how many verdicts are kept at most: of reps of a season few differ in all that
// reads ask.
const mostKept = 1 << 14

// keptVerdicts is what reads said of reps, by what they asked of them: reps that are alike in
// that have the same reads. It may be used by several goroutines.
type keptVerdicts struct {
	asked []Fact // by which verdicts are kept; nil where they cannot be
	known sync.Map
	count atomic.Int64
}

// keep begins to keep verdicts of conditions. It keeps none where one of them may ask for
// facts that it does not name.
func (k *keptVerdicts) keep(r *Registry, programs []program) {
	named := map[string]bool{}
	for _, p := range programs {
		if p.Program != nil && !namedIn(p.ast, r, named) {
			return
		}
	}
	for _, f := range r.Facts {
		if named[f.Name] {
			k.asked = append(k.asked, f)
		}
	}
}

// namedIn adds the facts that a condition asks for. It is false where the condition asks which
// facts are tagged otherwise than by "name" in tagged.
func namedIn(a *ast.AST, r *Registry, named map[string]bool) bool {
	root := ast.NavigateAST(a)
	for _, ident := range ast.MatchDescendants(root, ast.KindMatcher(ast.IdentKind)) {
		i, ok := r.byCEL[ident.AsIdent()]
		switch {
		case !ok: // a variable of the condition's own
		case r.Facts[i].Name != taggedName:
			named[r.Facts[i].Name] = true
		default:
			of, ok := ident.Parent()
			if !ok || of.Kind() != ast.CallKind || of.AsCall().FunctionName() != celop.In {
				return false
			}
			name := of.AsCall().Args()[0]
			if name.Kind() != ast.LiteralKind {
				return false
			}
			if text, ok := name.AsLiteral().(types.String); ok {
				named[string(text)] = true
			}
		}
	}
	return true
}

// key is what is asked of a rep, as bytes; false where that cannot be said.
func (k *keptVerdicts) key(r *tags.Rep) (string, bool) {
	if k.asked == nil {
		return "", false
	}
	key := make([]byte, 0, 128)
	text := func(s string) {
		key = binary.AppendUvarint(key, uint64(len(s)))
		key = append(key, s...)
	}
	for _, f := range k.asked {
		value, ok := f.of(subject{r.Play, r})
		if !ok {
			key = append(key, '?')
			continue
		}
		switch v := value.(type) {
		case string:
			key = append(key, 's')
			text(v)
		case []string:
			key = binary.AppendUvarint(append(key, 'l'), uint64(len(v)))
			for _, s := range v {
				text(s)
			}
		case bool:
			key = append(key, 'n')
			if v {
				key[len(key)-1] = 'y'
			}
		case int:
			key = binary.AppendVarint(append(key, 'i'), int64(v))
		case int64:
			key = binary.AppendVarint(append(key, 'i'), v)
		case float64:
			key = binary.BigEndian.AppendUint64(append(key, 'f'), math.Float64bits(v))
		default:
			return "", false
		}
	}
	return string(key), true
}

// of is the verdicts of a rep: those kept, or else those that judge gives.
func (k *keptVerdicts) of(r *tags.Rep, judge func() []Verdict) []Verdict {
	key, ok := k.key(r)
	if !ok {
		return judge()
	}
	if said, ok := k.known.Load(key); ok {
		return said.([]Verdict)
	}
	said := judge()
	if k.count.Add(1) <= mostKept {
		k.known.Store(key, said)
	}
	return said
}
