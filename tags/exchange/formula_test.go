package exchange

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"
)

func TestHarmless(t *testing.T) {
	for text, want := range map[string]string{
		"":                "",
		"spin":            "spin",
		"-3":              "-3",
		"+2.5":            "+2.5",
		"-1e3":            "-1e3",
		"-.5":             "-.5",
		"--3":             "'--3",
		"-3+1":            "'-3+1",
		"+2.64s":          "'+2.64s",
		"-":               "'-",
		"=1+1":            "'=1+1",
		"@SUM(A1)":        "'@SUM(A1)",
		"\t=1":            "'\t=1",
		"\r=1":            "'\r=1",
		"\n=1":            "'\n=1",
		" =1":             "' =1",
		" \n=1":           "' \n=1",
		"\u00a0=1":        "'\u00a0=1",
		"＝1":              "'＝1",
		"'=1":             "''=1",
		"''-3":            "'''-3",
		"it's":            "it's",
		"'quoted'":        "'quoted'",
		"3-4":             "3-4",
		"Loʻimata=strong": "Loʻimata=strong",
	} {
		if got := harmless(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
		if got := meant(want); got != text {
			t.Errorf("%q comes back as %q, want %q", want, got, text)
		}
	}
	if got := meant("'-3"); got != "-3" { // as a person writes it who wants text
		t.Errorf("'-3 is %q", got)
	}
}

// Any text written as a cell comes back as it was, and no cell of the file begins as a
// formula does but a number.
func FuzzCSVCell(f *testing.F) {
	for _, text := range []string{"=1+1", "-3", "'=x", "''@", "\t", "a,\"b\"\n=c", "+2.64s", " ＝", "'", "\u3000=1"} {
		f.Add(text, "x")
	}
	f.Add("\xe3\x80", "\x80") // neither is text, both together are
	f.Fuzz(func(t *testing.T, a, b string) {
		if invalid([]byte(a)) >= 0 || invalid([]byte(b)) >= 0 || strings.ContainsRune(a+b, '\r') { // which CSV readers make a line feed of
			return
		}
		var file bytes.Buffer
		out := NewCSVWriter(&file)
		for _, row := range [][]string{{"play", "front", "call", "end"}, {"1", a, b, "x"}} {
			if err := out.Write(row); err != nil {
				t.Fatal(err)
			}
		}
		out.Flush()
		plain, err := csv.NewReader(bytes.NewReader(file.Bytes())).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, cell := range slices.Concat(plain...) {
			if strings.IndexAny(strings.TrimLeft(cell, " "), "=+-@\t\n") == 0 && !plainNumber.MatchString(cell) {
				t.Errorf("%q and %q: the cell %q would be run", a, b, cell)
			}
		}
		s, faults := readCSV("x.csv", file.Bytes())
		if faults.Err() != nil || len(s.Rows) != 2 || len(s.Rows[1]) != 4 {
			t.Fatalf("%q and %q: read %v (%v)", a, b, s.Rows, faults)
		}
		if got := s.Rows[1]; got[1].Text != a || got[2].Text != b {
			t.Errorf("%q and %q came back as %q and %q", a, b, got[1].Text, got[2].Text)
		}
	})
}
