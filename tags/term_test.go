package tags

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

func TestTermOf(t *testing.T) {
	for value, want := range map[string]string{
		"short":           `call=short`,
		"Trips, Right":    `call="Trips, Right"`,
		"Nickel 3":        `call="Nickel 3"`,
		`"Blue"`:          `call="""Blue"""`,
		`6" split`:        `call="6"" split"`,
		"=x":              `call="=x"`,
		"":                `call=""`,
		"ʻokina":          `call=ʻokina`,
		"no\u00a0break":   "call=\"no\u00a0break\"",
		`,","`:            `call=","","""`,
		"two\nlines":      "call=\"two\nlines\"",
		"it's (a) \\ way": `call="it's (a) \ way"`,
	} {
		if got := TermOf("call", value); got != want {
			t.Errorf("%q: got %s, want %s", value, got, want)
		}
	}
}

func TestTermValues(t *testing.T) {
	for text, want := range map[string][]string{
		"":                       {""},
		"a":                      {"a"},
		"a,b":                    {"a", "b"},
		"a,":                     {"a", ""},
		`"a,b",c`:                {"a,b", "c"},
		`c,"a,b"`:                {"c", "a,b"},
		`"a ""b"""`:              {`a "b"`},
		`""`:                     {""},
		`a"b,c"`:                 {`a"b`, `c"`}, // a quote amid a value is one of its letters
		`"Trips, Right","Bunch"`: {"Trips, Right", "Bunch"},
	} {
		values, err := TermValues(text)
		var got []string
		for _, v := range values {
			got = append(got, v.Text)
		}
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: got %q, %v, want %q", text, got, err, want)
		}
	}
	for text, want := range map[string]struct {
		err error
		at  int
	}{
		`"a`:       {ErrOpenQuote, 0},
		`a,"b,c`:   {ErrOpenQuote, 2},
		`"`:        {ErrOpenQuote, 0},
		`"a""`:     {ErrOpenQuote, 0},
		`"a"b`:     {ErrBehindQuote, 0},
		`x,"a" ,b`: {ErrBehindQuote, 2},
	} {
		values, err := TermValues(text)
		if !errors.Is(err, want.err) || values[len(values)-1].Offset != want.at {
			t.Errorf("%s: got %v, %v, want %v at %d", text, values, err, want.err, want.at)
		}
	}
}

func TestSplitTerms(t *testing.T) {
	for line, want := range map[string][]string{
		"":                                   nil,
		"  set=short   down>=3 ":             {"set=short", "down>=3"},
		`call="Trips, Right" down=3`:         {`call="Trips, Right"`, "down=3"},
		`call!="a b","c d" x`:                {`call!="a b","c d"`, "x"},
		`call="a ""b c"" d" x`:               {`call="a ""b c"" d"`, "x"},
		`call="not closed x`:                 {`call="not closed x`},
		`say "a b"`:                          {"say", `"a`, `b"`},
		"a\u00a0b":                           {"a", "b"},
		"inside-counter\tcall=\"a\tb\"\nz=1": {"inside-counter", "call=\"a\tb\"", "z=1"},
	} {
		if got := SplitTerms(line); !slices.Equal(got, want) {
			t.Errorf("%q: got %q, want %q", line, got, want)
		}
	}
}

func TestValueStart(t *testing.T) {
	for term, want := range map[string]string{
		"set=": "set=", "set=jump,sh": "set=jump,", "down>=3": "down>=", "set!=sh": "set!=",
		`call="Trips, R`: "call=", `call="Trips, Right",B`: `call="Trips, Right",`, "set=short": "set=",
	} {
		if at, ok := ValueStart(term); !ok || term[:at] != want {
			t.Errorf("%s: got %d, %t, want it behind %s", term, at, ok, want)
		}
	}
	if _, ok := ValueStart("inside-counter"); ok {
		t.Error("a choice has a value")
	}
}

// Whatever a value is, the term of it holds it and nothing else, by itself and on a line.
func FuzzTermOf(f *testing.F) {
	for _, value := range []string{"short", "Trips, Right", `"`, `""`, `a"b`, `,`, "", " ", "a=b", `="x" y`, "\u2028", "\xff"} {
		f.Add(value)
	}
	f.Fuzz(func(t *testing.T, value string) {
		term := TermOf("call", value)
		values, err := TermValues(strings.TrimPrefix(term, "call="))
		if err != nil || len(values) != 1 || values[0].Text != value {
			t.Errorf("%q: %s reads as %+v, %v", value, term, values, err)
		}
		if got := SplitTerms("down=3 " + term + " set=short"); !slices.Equal(got, []string{"down=3", term, "set=short"}) {
			t.Errorf("%q: the line falls into %q", value, got)
		}
	})
}
