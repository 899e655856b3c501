package farm

import (
	"encoding/json"
	"fmt"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// job is what a worker is told: the segment and its key. What the segment is called stays with
// the asker, because names of plays and players are in it.
type job struct {
	Key     plan.Key     `json:"key"`
	Segment plan.Segment `json:"segment"`
}

// notice is how far a job is.
type notice struct {
	From   string     `json:"from"`   // which process says so
	Worker string     `json:"worker"` // what it is called
	Frames tags.Frame `json:"frames"`
	Ready  bool       `json:"ready,omitempty"` // it is in the store of segments
	// Home says why only whoever asked can render it; empty otherwise.
	Home string `json:"home,omitempty"`
}

// want asks whoever waits for a segment.
type want struct {
	// Films asks for the film of these fingerprints, as much of it as the segment needs;
	// none asks only whether somebody waits.
	Films []string `json:"films,omitempty"`
}

// lent is the answer: how to have what the segment needs of each film.
type lent struct {
	Films []stretch `json:"films,omitempty"`
	// Refused is why the film cannot travel; the asker then renders the segment itself.
	Refused string `json:"refused,omitempty"`
}

// stretch is what a segment needs of one film, as blocks of it where they lie in the file.
type stretch struct {
	Fingerprint string           `json:"fingerprint"`
	Name        string           `json:"name"`   // ending, by which readers of film go
	Size        int64            `json:"size"`   // of the whole file
	Block       int64            `json:"block"`  // of a block, in bytes
	Blocks      map[int64]string `json:"blocks"` // SHA-256 of each, by number
	Packets     string           `json:"packets"`
}

func encode(v any) ([]byte, error) {
	data, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("write a message of the farm: %w", err)
	}
	return data, nil
}
