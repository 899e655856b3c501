package terminal

import (
	"bytes"
	"strings"
	"testing"

	"trenchcut/tags/report"
)

func TestPrintTable(t *testing.T) {
	columns := []report.Heading{{Title: "rep"}, {Title: "n", Right: true}, {Title: "moves", Least: 5}}
	for _, test := range []struct {
		name  string
		width int
		rows  [][]string
		want  string
	}{
		{
			"fits", 80,
			[][]string{{"heading, wider than its columns"}, {"a", "10", "bull"}, {"b", "9", ""}},
			"rep   n  moves\nheading, wider than its columns\na    10  bull\nb     9\n",
		},
		{"closer", 12, [][]string{{"a", "10", "bull"}}, "rep  n moves\na   10 bull\n"},
		{"cut", 15, [][]string{{"abc", "1", "long-arm>spin"}}, "rep n moves\nabc 1 long-arm…\n"},
		{"no narrower", 5, [][]string{{"abc", "1", "long-arm>spin"}}, "rep n moves\nabc 1 long…\n"},
		{"control characters", 80, [][]string{{"a\nb", "1", "\x1b[2J"}}, "rep  n  moves\na b  1  \ufffd[2J\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			var out bytes.Buffer
			if err := Table(&out, test.width, columns, test.rows); err != nil {
				t.Fatal(err)
			}
			if out.String() != test.want {
				t.Errorf("got\n%s\nwant\n%s", out.String(), test.want)
			}
		})
	}
}

func TestPrintWrapped(t *testing.T) {
	var out bytes.Buffer
	text := strings.Repeat("six on runs, ", 30)
	if err := paragraph(&out, 40, text); err != nil {
		t.Fatal(err)
	}
	for line := range strings.SplitSeq(out.String(), "\n") {
		if Cells(line) > 40 {
			t.Errorf("line %q is over 40 wide", line)
		}
	}
	if got := strings.Join(strings.Fields(out.String()), " "); got != strings.TrimSpace(text) {
		t.Errorf("words were lost: %q", got)
	}
}

func TestFold(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		want  string
	}{
		{"", 5, ""},
		{"bull", 8, "bull"},
		{"long-arm>up-and-under", 13, "long-arm>|up-and-under"},
		{"speed-to-power>bull", 12, "speed-to-|power>bull"},
		{"marlow oke feather", 10, "marlow oke|feather"},
		{"abcdefgh", 3, "abc|def|gh"},
		{"ʻakau>ʻokina", 7, "ʻakau>|ʻokina"},
		{"time-to-beat", 8, "time-to-|beat"},
		{"李小龍>陳大文", 7, "李小龍>|陳大文"},
		{"李小龍陳大文", 5, "李小|龍陳|大文"},
		{"e\u0301te\u0301te\u0301", 2, "e\u0301t|e\u0301t|e\u0301"},
		{"李", 1, "李"}, // there is no narrower
	} {
		if got := strings.Join(fold(c.text, c.width), "|"); got != c.want {
			t.Errorf("%q in %d: %q, want %q", c.text, c.width, got, c.want)
		}
	}
}

// However narrow the page, a folded table stays within it and loses nothing.
func TestTableFolds(t *testing.T) {
	rows := [][]string{{"p001-91", "speed-to-power>bull-and-pull>up-and-under", "no-factor"}}
	columns := []report.Heading{{Title: "rep"}, {Title: "moves", Least: 8, Fold: true}, {Title: "outcome"}}
	for width := 28; width < 70; width++ {
		var out bytes.Buffer
		if err := Table(&out, width, columns, rows); err != nil {
			t.Fatal(err)
		}
		kept := ""
		for _, line := range strings.Split(out.String(), "\n")[1:] {
			if Cells(line) > width {
				t.Errorf("width %d: %q", width, line)
			}
			for cell := range strings.FieldsSeq(line) {
				if cell != "p001-91" && cell != "no-factor" {
					kept += cell
				}
			}
		}
		if kept != rows[0][1] {
			t.Errorf("width %d: the moves are %q", width, kept)
		}
	}
}

func TestTableSpares(t *testing.T) {
	columns := []report.Heading{{Title: "rep"}, {Title: "clock", Spare: 1}, {Title: "align", Spare: 2}, {Title: "outcome", Least: 4}}
	rows := [][]string{{"a heading"}, {"p001-91", "1 11:32", "wide-9", "no-factor"}}
	for width, want := range map[int]string{
		33: "rep     clock   align  outcome\na heading\np001-91 1 11:32 wide-9 no-factor\n",
		27: "rep     clock   align  out…\na heading\np001-91 1 11:32 wide-9 no-…\n",
		26: "rep      align   outcome\na heading\np001-91  wide-9  no-factor\n",
		18: "rep      outcome\na heading\np001-91  no-factor\n",
		9:  "rep     out…\na heading\np001-91 no-…\n", // there is no more to spare
	} {
		var out bytes.Buffer
		if err := Table(&out, width, columns, rows); err != nil {
			t.Fatal(err)
		}
		if out.String() != want {
			t.Errorf("width %d:\n%s\nwant\n%s", width, &out, want)
		}
	}
}

// Widths of letters as Unicode Standard Annex 11 has them: wide and full-width letters take
// two cells, marks that stand on another none, and emoji of several parts are one.
func TestTextWidth(t *testing.T) {
	for text, want := range map[string]int{
		"": 0, "Kapuāiwa": 8, "ʻokina": 6, "e\u0301": 1, "李小龍": 6, "Ａ": 2, "ｱ": 1, "한국": 4, "👩\u200d👩\u200d👦": 2, "…": 1, "–": 1, "±": 1,
	} {
		if got := Cells(text); got != want {
			t.Errorf("%q takes %d, want %d", text, got, want)
		}
	}
}

// Names of wide letters stand as straight as others, and are cut whole.
func TestWideLetters(t *testing.T) {
	columns := []report.Heading{{Title: "player", Least: 5}, {Title: "n", Right: true}}
	for width, want := range map[int]string{
		80: "player   n\nMarlow   3\n李小龍  12\n",
		7:  "play…  n\nMarl…  3\n李小… 12\n",
	} {
		var out bytes.Buffer
		if err := Table(&out, width, columns, [][]string{{"Marlow", "3"}, {"李小龍", "12"}}); err != nil {
			t.Fatal(err)
		}
		if out.String() != want {
			t.Errorf("width %d:\n%q\nwant\n%q", width, &out, want)
		}
	}
}
