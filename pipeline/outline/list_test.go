package outline

import "testing"

func TestSeal(t *testing.T) {
	data := sealed([]byte("trenchcut: 1\n"))
	if !isSealed(data) {
		t.Error("what was sealed is not known again")
	}
	for name, other := range map[string]string{
		"none":     "trenchcut: 1\n",
		"edited":   "#" + string(data),
		"added":    string(data) + "\n",
		"seal cut": string(data[:len(data)-2]),
	} {
		if isSealed([]byte(other)) {
			t.Errorf("%s: taken for untouched", name)
		}
	}
}
