package report

import (
	"cmp"
	"fmt"
	"strconv"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// agreedRow is how far two people agree on one thing: a word, or when a mark is in one unit.
type agreedRow struct {
	first, second string
	what, unit    string
	both, one     int // reps of which both say something, and one alone does
	words         *stats.WordsAlike
	gap           *stats.Apart
}

// ofWords and ofTimes are values of words and of marks; nil in other rows.
func ofWords(of func(stats.WordsAlike) any) func(agreedRow) any {
	return given(func(r agreedRow) *stats.WordsAlike { return r.words }, of)
}

func ofTimes(of func(stats.Apart) any) func(agreedRow) any {
	return given(func(r agreedRow) *stats.Apart { return r.gap }, of)
}

func agreedColumns(places int) columns[agreedRow] {
	return columns[agreedRow]{
		{Column{Key: "first", Doc: "Who tagged first; empty where the file does not say."}, func(r agreedRow) any { return r.first }},
		{Column{Key: "second", Doc: "Who tagged the same game as well."}, func(r agreedRow) any { return r.second }},
		{Column{Key: "what", Doc: "What both tagged: reps, a key, or a mark."}, func(r agreedRow) any { return r.what }},
		{Column{Key: "unit", Doc: "What gaps between marks are counted in."}, func(r agreedRow) any { return r.unit }},
		{Column{Key: "when", textOnly: true}, func(r agreedRow) any { return r.what + ", " + r.unit }},
		{Column{Key: "both", Kind: Number, Unit: "reps", Doc: "Reps of which both say it."}, func(r agreedRow) any { return r.both }},
		{Column{Key: "one", Kind: Number, Unit: "reps", Doc: "Reps of which one alone does."}, func(r agreedRow) any { return r.one }},
		{Column{Key: "alike", Kind: Rate, Unit: "reps", Doc: "Reps of which both say the same."}, ofWords(func(w stats.WordsAlike) any { return w.Alike })},
		{Column{Key: "kappa", Title: "kappa (95 %)", Kind: Interval, Doc: "Cohen's kappa: agreement past what chance would give.", words: kappaWords}, ofWords(func(w stats.WordsAlike) any {
			return Estimate{w.Kappa.At, w.Kappa.Low, w.Kappa.High}
		})},
		{Column{Key: "kappa-se", Kind: Decimal, Doc: "Its standard error, every rep taken for a fresh try."}, ofWords(func(w stats.WordsAlike) any { return w.Kappa.SE })},
		{Column{Key: "differ", Title: "differ most", textOnly: true, Least: 16, Fold: true}, ofWords(func(w stats.WordsAlike) any {
			if len(w.Apart) == 0 {
				return nil
			}
			return fmt.Sprintf("%s / %s %d", w.Apart[0].First, w.Apart[0].Second, w.Apart[0].Reps)
		})},
		{Column{Key: "gap", Title: "gap (95 %)", Kind: Interval, Unit: "as in unit", Doc: "Mean of the second's time less the first's.", words: signedWords(1, places)}, ofTimes(func(a stats.Apart) any {
			return Estimate{a.Mean, a.Low, a.High}
		})},
		{Column{Key: "gap-sd", Kind: Decimal, Unit: "as in unit", Doc: "Standard deviation of the gaps."}, ofTimes(func(a stats.Apart) any { return a.SD })},
		{Column{Key: "spread", Kind: Number, textOnly: true}, ofTimes(func(a stats.Apart) any {
			if a.SD == nil {
				return nil
			}
			return strconv.FormatFloat(*a.SD, 'f', places, 64)
		})},
		{Column{Key: "limit-low", Kind: Decimal, Unit: "as in unit", Doc: "95 % of gaps are over it."}, ofTimes(func(a stats.Apart) any { return a.LimitLow })},
		{Column{Key: "limit-high", Kind: Decimal, Unit: "as in unit", Doc: "95 % of gaps are under it."}, ofTimes(func(a stats.Apart) any { return a.LimitHigh })},
		{Column{Key: "sample", textOnly: true}, ofTimes(func(a stats.Apart) any { return spreadWords(a.Spread) })},
		{Column{Key: "limits", textOnly: true}, ofTimes(func(a stats.Apart) any {
			if a.LimitLow == nil {
				return nil
			}
			return fmt.Sprintf("%+.*f to %+.*f", places, *a.LimitLow, places, *a.LimitHigh)
		})},
	}
}

// kappaWords is "0.72 (0.51 to 0.93)", with what cannot be told left open.
func kappaWords(e Estimate) string {
	switch {
	case e.At == nil:
		return ""
	case e.Low == nil:
		return fmt.Sprintf("%.2f (?)", *e.At)
	default:
		return fmt.Sprintf("%.2f (%.2f to %.2f)", *e.At, *e.Low, *e.High)
	}
}

// differRow is two words for the same reps.
type differRow struct {
	first, second, what string
	stats.Differ
}

var differColumns = columns[differRow]{
	{Column{Key: "first", Doc: "Who tagged first."}, func(r differRow) any { return r.first }},
	{Column{Key: "second", Doc: "Who tagged the same game as well."}, func(r differRow) any { return r.second }},
	{Column{Key: "what", Doc: "The key."}, func(r differRow) any { return r.what }},
	{Column{Key: "first-says", Doc: "The first's word."}, func(r differRow) any { return r.First }},
	{Column{Key: "second-says", Doc: "The second's word for the same reps."}, func(r differRow) any { return r.Second }},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "On how many reps."}, func(r differRow) any { return r.Reps }},
}

func agreementTable(r *Request) (Table, error) {
	chosen := map[*tags.Rep]bool{}
	second := r.Query.Reps(&tags.Season{Games: r.Season.Second, Vocabulary: r.Season.Vocabulary}).Reps
	for _, reps := range [][]*tags.Rep{r.Reps, second} {
		for _, rep := range reps {
			chosen[rep] = true
		}
	}
	agreements := stats.Agreements(r.Season, func(rep *tags.Rep) bool { return chosen[rep] }, r.frameRate())
	t := Table{
		Title: "how far two people who tagged the same reps say the same",
		Who:   stats.AgreementWords,
		Lead: []string{
			"The file with no by is first, else the first by name; only what the first says counts in other tables, in find and in reels. A rep is the same by game, play and jersey.",
		},
	}
	if len(agreements) == 0 {
		t.Lead = append(t.Lead, "No game here has a second opinion: trenchcut stats --help tells how to write one.")
	} else {
		t.Notes = []string{
			"Differ most: the first's word / the second's, and on how many reps. Where one is silent, nothing is compared.",
			"Kappa is agreement past what chance would give people who use each word as often as these do: 1 is all, 0 no more than chance. It is low, too, where nearly all reps have one word. With a ? they agree in all, and how sure that is, per 100 tells.",
			"Gap: the second's time less the first's. Limits: 95 % of gaps lie between them; a difference between two reps smaller than that may be who marked it. With a ? all gaps are the same, which tells nothing of how sure that is.",
		}
	}
	var rows []agreedRow
	var differ []differRow
	for _, a := range agreements {
		of := agreedRows(a)
		rows = append(rows, of...)
		t.Blocks = append(t.Blocks, agreedReps(a), agreedWords(of), agreedTimes(of))
		for _, w := range a.Words {
			for _, d := range w.Apart {
				differ = append(differ, differRow{a.First, a.Second, w.Key, d})
			}
		}
	}
	t.Grids = []Grid{agreedColumns(0).grid("", rows), differColumns.grid("differ", differ)}
	return t, nil
}

// agreedRows is what two people say alike: reps first, then words, then times.
func agreedRows(a stats.Agreement) []agreedRow {
	rows := []agreedRow{{
		first: a.First, second: a.Second, what: "reps", both: a.Both,
		one: a.OnlyFirst + a.FirstPlays + a.OnlySecond + a.SecondPlays,
	}}
	for i := range a.Words {
		w := &a.Words[i]
		rows = append(rows, agreedRow{first: a.First, second: a.Second, what: w.Key, both: w.Alike.N, one: w.Alike.Unknown, words: w})
	}
	for i := range a.Times {
		m := &a.Times[i]
		rows = append(rows, agreedRow{first: a.First, second: a.Second, what: string(m.Mark), unit: "s", both: m.Seconds.N, one: m.One, gap: &m.Seconds})
		if m.Frames != nil {
			rows = append(rows, agreedRow{first: a.First, second: a.Second, what: string(m.Mark), unit: "frames", both: m.Frames.N, one: m.One, gap: m.Frames})
		}
	}
	return rows
}

// agreedReps is how many reps both tagged.
func agreedReps(a stats.Agreement) Block {
	const nobody = "the file with no by"
	return Block{
		Headings: []Heading{
			{Title: tags.Count(a.Games, "game"), Least: 12, Fold: true},
			{Title: "reps", Right: true},
			{Title: "on plays of one only", Right: true},
		},
		Rows: [][]string{
			{"both tagged", strconv.Itoa(a.Both), ""},
			{"only first: " + cmp.Or(a.First, nobody), strconv.Itoa(a.OnlyFirst), strconv.Itoa(a.FirstPlays)},
			{"only second: " + cmp.Or(a.Second, nobody), strconv.Itoa(a.OnlySecond), strconv.Itoa(a.SecondPlays)},
		},
	}
}

func agreedWords(rows []agreedRow) Block {
	var words []agreedRow
	for _, r := range rows {
		if r.words != nil {
			words = append(words, r)
		}
	}
	return agreedColumns(0).block(words, pick{key: "what"}, pick{key: "alike"}, pick{key: "kappa"}, pick{key: "one", title: "one silent"},
		pick{key: "differ"}, pick{key: "alike", as: sample})
}

// agreedTimes shows gaps in seconds to hundredths, in frames to tenths.
func agreedTimes(rows []agreedRow) Block {
	var b Block
	for _, r := range rows {
		if r.gap == nil {
			continue
		}
		places := 2
		if r.unit == "frames" {
			places = 1
		}
		of := agreedColumns(places).block([]agreedRow{r}, pick{key: "when"}, pick{key: "both"}, pick{key: "one"}, pick{key: "gap"},
			pick{key: "spread"}, pick{key: "limits"}, pick{key: "sample"})
		b.Headings, b.Rows, b.figures = of.Headings, append(b.Rows, of.Rows...), b.figures+of.figures
	}
	return b
}
