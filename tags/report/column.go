package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// Kind is what the values of a column are, and so how they print.
type Kind int

// The kinds, each with the Go type of its values. A nil value is not known.
const (
	Text     Kind = iota // string
	Number               // int
	Decimal              // *float64
	Rate                 // stats.Rate: k of n, and the rate with its interval
	Interval             // Estimate: a figure with its interval
	Gap                  // *stats.Difference: how far two rates lie apart
	Marks                // stats.Marks: how often plus, zero and minus
)

// parts is the names of the cells that a value of each kind takes in a sheet. The part
// without a name is the figure itself.
var parts = [...][]string{
	Text:     {""},
	Number:   {""},
	Decimal:  {""},
	Rate:     {"k", "n", "unknown", "share", "low", "high"},
	Interval: {"", "low", "high"},
	Gap:      {"", "low", "high", "p"},
	Marks:    {"plus", "zero", "minus"},
}

// Estimate is a figure with its 95 % interval, each nil where the film does not show it.
type Estimate struct{ At, Low, High *float64 }

// Column describes one column of a table for every form that the table takes.
type Column struct {
	// Key names the column in JSON. In CSV and spreadsheets a column of several cells has a
	// heading for each: the key, a hyphen and the part, as in won-low.
	Key   string
	Title string // in text; the key with spaces where it is empty
	Unit  string // of the figures in JSON, CSV and spreadsheets
	Doc   string // one sentence
	Kind  Kind

	Least int  // text: the least width it may be set in; 0 where it may not be set narrower
	Fold  bool // text: what is wider stands on more lines and is not cut
	Spare int  // text: it may be left out for want of room, 1 before 2

	textOnly bool                  // it repeats for readers what other columns say
	words    func(Estimate) string // how an Interval prints in text
}

// Title in text.
func (c Column) title() string {
	if c.Title != "" {
		return c.Title
	}
	return tags.Spoken(c.Key)
}

// Headings is the names of the cells that the column takes in a sheet.
func (c Column) Headings() []string {
	var names []string
	for _, part := range parts[c.Kind] {
		if part == "" {
			names = append(names, c.Key)
		} else {
			names = append(names, c.Key+"-"+part)
		}
	}
	return names
}

// Cells is a value of the column as the cells of a sheet: each a string, an int, a
// float64, or nil where it is not known.
func (c Column) Cells(value any) []any {
	if value == nil {
		return make([]any, len(parts[c.Kind]))
	}
	switch v := value.(type) {
	case *float64:
		return []any{known(v)}
	case stats.Rate:
		if !v.Enough() {
			return []any{v.K, v.N, v.Unknown, nil, nil, nil}
		}
		low, high := v.Interval()
		if v.Bounded() {
			return []any{v.K, v.N, v.Unknown, nil, low, high}
		}
		return []any{v.K, v.N, v.Unknown, float64(v.K) / float64(v.N), low, high}
	case Estimate:
		return []any{known(v.At), known(v.Low), known(v.High)}
	case *stats.Difference:
		if v == nil {
			return make([]any, len(parts[Gap]))
		}
		return []any{v.D, v.Low, v.High, v.P}
	case stats.Marks:
		return []any{v.Plus, v.Zero, v.Minus}
	default:
		return []any{v}
	}
}

// json is a value as part of a row: the cell where the column has one, else an object of
// its parts.
func (c Column) json(value any) any {
	cells := c.Cells(value)
	if len(cells) == 1 {
		return cells[0]
	}
	if value == nil {
		return nil
	}
	var out Object
	for i, part := range parts[c.Kind] {
		if part == "" {
			part = "at"
		}
		out = append(out, Member{part, cells[i]})
	}
	return out
}

// known is a number that may not be known, as a cell.
func known(x *float64) any {
	if x == nil {
		return nil
	}
	return *x
}

// text is a value as people read it; a rate is its count and its rate.
func (c Column) text(value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case int:
		return strconv.Itoa(v)
	case *float64:
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'f', -1, 64)
	case stats.Rate:
		return strings.TrimSpace(countWords(v.Count) + " " + rateWords(v))
	case Estimate:
		return c.words(v)
	case *stats.Difference:
		if v == nil {
			return ""
		}
		gap, low, high := v.Per100()
		return fmt.Sprintf("%s (%s to %s)", signed(gap), signed(low), signed(high))
	case stats.Marks:
		return fmt.Sprintf("%d/%d/%d", v.Plus, v.Zero, v.Minus)
	default:
		return fmt.Sprint(v)
	}
}

// right reports whether the column's texts stand to the right.
func (k Kind) right() bool { return k == Number || k == Decimal || k == Marks }

// rateWords is "58 (32-81)", per 100; of a rate of which only bounds can be told, "15 to 38
// (7-52)"; empty where there are too few reps.
func rateWords(r stats.Rate) string {
	if !r.Enough() {
		return ""
	}
	rate, low, high := r.Per100()
	if r.Bounded() {
		least, most := r.Bounds100()
		return fmt.Sprintf("%d to %d (%d-%d)", least, most, low, high)
	}
	return fmt.Sprintf("%d (%d-%d)", rate, low, high)
}

// countWords is "7/12"; a dash where there was nothing to count.
func countWords(c stats.Count) string {
	if c.N == 0 {
		return "-"
	}
	return c.String()
}

// sampleWords says how little a rate says: of how wide its interval is, not of how many reps.
func sampleWords(r stats.Rate) string {
	switch {
	case r.N == 0 && !r.Bounded():
		return "none"
	case !r.Enough():
		return "too few"
	default:
		return strings.TrimSuffix(r.Hedge(), " sample")
	}
}

// sampled is a rate of a row, and what its column is called.
type sampled struct {
	name string
	stats.Rate
}

// samplesWords is sampleWords of the rates of a row, each judged for itself: "small" where all
// are, "small: won, sack" where some are. Where some are of enough reps, those of too few are
// not named: they show a count alone.
func samplesWords(rates []sampled) string {
	names := map[string][]string{}
	for _, r := range rates {
		word := sampleWords(r.Rate)
		names[word] = append(names[word], r.name)
	}
	told := len(rates) - len(names["none"]) - len(names["too few"])
	switch {
	case told == 0 && names["too few"] != nil:
		return "too few"
	case told == 0:
		return "none"
	}
	var said []string
	for _, word := range []string{"small", "few games"} {
		switch n := len(names[word]); n {
		case 0:
		case told:
			return word
		default:
			said = append(said, word+": "+strings.Join(names[word], ", "))
		}
	}
	return strings.Join(said, "; ")
}

// secondsWords is "2.31 (1.98-2.75)", with a ? for what the film does not show.
func secondsWords(e Estimate) string {
	at := func(x *float64) string {
		if x == nil {
			return "?"
		}
		return fmt.Sprintf("%.2f", *x)
	}
	if e.At == nil && e.Low == nil {
		return "?"
	}
	return fmt.Sprintf("%s (%s-%s)", at(e.At), at(e.Low), at(e.High))
}

// signedWords prints figures times scale with their sign: "+0.12 (-0.03 to +0.27)".
func signedWords(scale float64, places int) func(Estimate) string {
	return func(e Estimate) string {
		if e.At == nil {
			return ""
		}
		said := func(x *float64) string {
			if places == 0 {
				return signed(stats.Rounded(scale * *x))
			}
			return fmt.Sprintf("%+.*f", places, scale**x)
		}
		if e.Low == nil {
			return said(e.At) + " (?)"
		}
		return fmt.Sprintf("%s (%s to %s)", said(e.At), said(e.Low), said(e.High))
	}
}

// signed is a number with its sign, which 0 has none of.
func signed(n int) string {
	if n == 0 {
		return "0"
	}
	return fmt.Sprintf("%+d", n)
}

// sameTimes says what a ? behind a mean is.
const sameTimes = "With a ? all times are the same, which tells nothing of how sure their mean is."

// rounded is "197 (172-222)": a figure times scale, in whole numbers.
func rounded(e Estimate, scale float64) string {
	if e.Low == nil {
		return fmt.Sprintf("%d (?)", stats.Rounded(scale**e.At))
	}
	return fmt.Sprintf("%d (%d-%d)", stats.Rounded(scale**e.At), stats.Rounded(scale**e.Low), stats.Rounded(scale**e.High))
}

// secondsOf is a time in seconds to the millisecond.
func secondsOf(t *tags.Time) *float64 {
	if t == nil {
		return nil
	}
	return new(math.Round(t.Seconds()*1000) / 1000)
}
