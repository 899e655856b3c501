package exchange

import "testing"

func TestEveryFieldHasAReader(t *testing.T) {
	for _, f := range fields {
		if f.read == nil {
			t.Errorf("no cell of %s can be read", f.Name)
		}
	}
}

func TestYesNoCells(t *testing.T) {
	for cell, want := range map[string]string{"Yes": "yes", "x": "yes", "1": "yes", "N": "no", "0": "no", "maybe": ""} {
		text, wants := readYesNo(field{}, nil, Cell{Text: cell})
		if text != want || (wants == "") != (want != "") {
			t.Errorf("%q reads as %q, wants %q", cell, text, wants)
		}
	}
}
