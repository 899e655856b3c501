package tags

import (
	"fmt"
	"math/rand"
	"testing"
)

// Marks behave as a map from mark to instant would, whatever is set and forgotten in
// whatever order.
func TestMarks(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 200 {
		var ms Marks
		want := map[Mark]Instant{}
		for step := range 40 {
			m := append([]Mark{"half-time"}, AllMarks...)[r.Intn(len(AllMarks)+1)]
			if r.Intn(3) == 0 {
				ms.forget(m)
				delete(want, m)
			} else {
				at := Instant{N: int64(step)}
				ms.Set(m, at)
				if m != "half-time" {
					want[m] = at
				}
			}
			got := map[Mark]Instant{}
			for _, m := range append([]Mark{"half-time"}, AllMarks...) {
				if at, ok := ms.At(m); ok {
					got[m] = *at
				}
			}
			if fmt.Sprint(got) != fmt.Sprint(want) || len(ms.at) != len(want) {
				t.Fatalf("marks are %v, want %v", got, want)
			}
		}
	}
}

func TestPlayNames(t *testing.T) {
	for number, want := range map[int]string{1: "wk1-p001", 14: "wk1-p014", 140: "wk1-p140", 9999: "wk1-p9999"} {
		if got := (&Play{Game: &Game{ID: "wk1"}, Number: number}).Name(); got != want {
			t.Errorf("play %d is named %s, want %s", number, got, want)
		}
	}
}
