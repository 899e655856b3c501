package stats

import "testing"

func TestSentence(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b Count
		want string
	}{
		{"won", Count{6, 8}, Count{9, 21}, "6 of 8, 75 %, against 9 of 21, 43 %: path inside won more often here; with these counts anything from 8 fewer to 58 more per 100 rushes fits this film."},
		{"pressure", Count{9, 21}, Count{6, 8}, "9 of 21, 43 %, against 6 of 8, 75 %: path inside brought pressure less often here; with these counts anything from 58 fewer to 8 more per 100 rushes fits this film."},
		// Newcombe 1998, Statist. Med. 17:873–890, Table II: +.0524 to +.3339.
		{"beat in time", Count{56, 70}, Count{48, 80}, "56 of 70, 80 %, against 48 of 80, 60 %: path inside beat him in time more often here; with these counts 5 to 33 more per 100 rushes fits this film."},
		{"sack", Count{0, 20}, Count{10, 10}, "0 of 20, 0 %, against 10 of 10, 100 %: path inside sacked less often here; with these counts 68 to 100 fewer per 100 rushes fits this film."},
		{"won", Count{5, 10}, Count{5, 10}, "5 of 10, 50 %, against 5 of 10, 50 %: path inside won as often here; with these counts anything from 37 fewer to 37 more per 100 rushes fits this film."},
		{"won", Count{2, 4}, Count{9, 21}, "2 of 4 against 9 of 21: too few to compare."},
	} {
		contrast := Contrast{Name: c.name, First: Rate{Count: c.a}, Second: Rate{Count: c.b}}
		if c.a.Enough() && c.b.Enough() {
			d := Compare(c.a, c.b)
			contrast.Difference = &d
		}
		if got := contrast.Sentence("path inside"); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}
