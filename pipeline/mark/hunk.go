package mark

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
)

// hunk changes one text into another: it replaces Old, which begins at byte From, by New. Before
// and After are the SHA-256 of the two whole texts.
type hunk struct {
	From   int    `json:"from"`
	Old    string `json:"old,omitempty"`
	New    string `json:"new,omitempty"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// between is the hunk from one text to another.
func between(old, next []byte) hunk {
	from := 0
	for from < min(len(old), len(next)) && old[from] == next[from] {
		from++
	}
	same := 0
	for same < min(len(old), len(next))-from && old[len(old)-1-same] == next[len(next)-1-same] {
		same++
	}
	return hunk{from, string(old[from : len(old)-same]), string(next[from : len(next)-same]), sum(old), sum(next)}
}

// back is the hunk that takes h back.
func (h hunk) back() hunk { return hunk{h.From, h.New, h.Old, h.After, h.Before} }

// changed is data with h carried out; false where data is not the text that h is about.
func (h hunk) changed(data []byte) ([]byte, bool) {
	if sum(data) != h.Before {
		return nil, false
	}
	return bytes.Join([][]byte{data[:h.From], data[h.From+len(h.Old):]}, []byte(h.New)), true
}

func sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}
