package main

import (
	"bytes"
	"context"
	"errors"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// A comparison that is stopped before its second choice is judged says nothing.
func TestCompareStops(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	season := &tags.Season{Vocabulary: v}
	for _, where := range []string{"", "[1, 2].all(x, x > 0)"} {
		first, err := query.Parse(nil, where, v, season)
		if err != nil {
			t.Fatal(err)
		}
		var said bytes.Buffer
		o := &statsOptions{against: []string{"down=3"}}
		o.Out, o.Err, o.choose.where = &said, &said, where
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if err := o.compare(ctx, season, nil, first); !errors.Is(err, context.Canceled) || said.Len() > 0 {
			t.Errorf("where %q: error %v, and it says %q", where, err, said.String())
		}
	}
}
