package film

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Damage is a place in a film that cannot be shown as it was filmed.
type Damage struct {
	File string
	At   tags.Time // on the film's own time
	Said string    // in one line, what the decoder said or what is missing
	// Gap is how many pictures are missing, for which the one before stands; 0 where it is
	// not that.
	Gap tags.Frame
}

// Decode decodes spans of films, by file, on as many workers, and lists what of them is
// damaged: of each span the first place and every gap, in order of file and time. progress, where it is
// not nil, is told of frames that are done; its calls may overlap.
func (l *Library) Decode(ctx context.Context, spans map[string][]tags.Span, workers int, progress func(more tags.Frame)) ([]Damage, error) {
	var mu sync.Mutex
	var list []Damage
	sources := map[string]plan.Source{}
	for file := range spans {
		var err error
		if sources[file], err = l.Source(ctx, file); err != nil {
			return nil, fmt.Errorf("decode %s: %w", file, err)
		}
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(workers, 1))
	for file, spans := range spans {
		src := sources[file]
		for _, span := range spans {
			group.Go(func() error {
				found, err := l.tool.Examine(ctx, plan.Segment{Source: &src, Span: span}, file, "")
				if err != nil {
					return fmt.Errorf("decode %s: %w", file, err)
				}
				mu.Lock()
				defer mu.Unlock()
				if d := found.Damage; d != nil {
					list = append(list, Damage{File: file, At: d.At, Said: d.Said})
				}
				for _, g := range found.Gaps {
					list = append(list, Damage{File: file, At: g.At, Gap: g.Frames})
				}
				if progress != nil {
					progress(span.Len())
				}
				return nil
			})
		}
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	slices.SortFunc(list, func(a, b Damage) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.At, b.At))
	})
	return slices.Compact(list), nil
}
