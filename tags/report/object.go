package report

import (
	"bytes"
	"encoding/json"
)

// Object is a JSON object that keeps the order of its members.
type Object []Member

// Member is a name and its value in an [Object].
type Member struct {
	Name  string
	Value any
}

// MarshalJSON writes the members in order, and < and > as they are.
func (o Object) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	out.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			out.WriteByte(',')
		}
		if err := enc.Encode(m.Name); err != nil {
			return nil, err
		}
		out.WriteByte(':')
		if err := enc.Encode(m.Value); err != nil {
			return nil, err
		}
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}
