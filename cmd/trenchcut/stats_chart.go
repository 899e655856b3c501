package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"image"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// chartOptions says what of a table is drawn, and where to.
type chartOptions struct {
	files []string
	of    string // what the chart is of, where a table has several
	size  string
	sized bool // whether size was asked for
}

// chart is a drawing's description.
type chart interface {
	Scene(size image.Point, look plan.Look) (draw.Scene, error)
}

var chartSizes = map[string]image.Point{"paper": draw.Paper, "wide": draw.Wide, "phone": draw.Phone}

// chartsOf is what a chart of a table may be of, by the table's name; the first where none
// is named.
var chartsOf = map[string][]string{
	ratesTable:  {"won", "pressure", "sack", "beat-in-time"},
	"tendency":  {"first-move", "path"},
	seasonTable: {"won", "pressure"},
}

func (o *chartOptions) addFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringArrayVar(&o.files, "chart", nil, "draw the table into a `file`, .svg or .png; once for each file")
	f.StringVar(&o.of, "chart-of", "", "`what` a chart of rates, tendencies or a season shows: "+strings.Join(slices.Concat(chartsOf[ratesTable], chartsOf["tendency"]), ", "))
	f.StringVar(&o.size, "chart-size", "paper", "paper (A4 lying), wide (16:9) or phone")
	// These fail only for a flag there is not.
	_ = cmd.RegisterFlagCompletionFunc("chart-of", cobra.FixedCompletions(slices.Concat(chartsOf[ratesTable], chartsOf["tendency"]), cobra.ShellCompDirectiveNoFileComp))
	_ = cmd.RegisterFlagCompletionFunc("chart-size", cobra.FixedCompletions(slices.Sorted(maps.Keys(chartSizes)), cobra.ShellCompDirectiveNoFileComp))
	_ = cmd.RegisterFlagCompletionFunc("chart", cobra.FixedCompletions([]cobra.Completion{"svg", "png"}, cobra.ShellCompDirectiveFilterFileExt))
}

// check refuses what cannot be drawn, before anything is read.
func (o *chartOptions) check(tables []statsTable) error {
	if len(tables) != 1 {
		return errors.New("--chart draws one table: want one name after --table")
	}
	table := tables[0]
	if table.chart == nil {
		var drawn []string
		for _, t := range allStatsTables() {
			if t.chart != nil {
				drawn = append(drawn, t.name)
			}
		}
		return fmt.Errorf("--chart: there is no chart of the table %s; there is of %s", table.name, strings.Join(drawn, ", "))
	}
	return o.checkFor(table.name)
}

// checkAgainst is check for two choices side by side, of which one of two tables is drawn.
func (o *chartOptions) checkAgainst(tables []string) error {
	if len(tables) != 1 || tables[0] != ratesTable && tables[0] != "time" {
		return errors.New("--chart draws --against as rates, or with --table time as times to beat: want no other table")
	}
	if tables[0] == ratesTable && o.of != "" {
		return errors.New("--chart-of: a chart of --against shows every rate: leave it out")
	}
	return o.checkFor(tables[0])
}

func (o *chartOptions) checkFor(table string) error {
	if of := chartsOf[table]; o.of != "" && !slices.Contains(of, o.of) {
		if of == nil {
			return fmt.Errorf("--chart-of: a chart of the table %s shows one thing only: leave it out", table)
		}
		return fmt.Errorf("--chart-of %s: want %s", o.of, orList(of))
	}
	if _, ok := chartSizes[o.size]; !ok {
		return fmt.Errorf("--chart-size %s: want %s", o.size, orList(slices.Sorted(maps.Keys(chartSizes))))
	}
	for _, file := range o.files {
		if !isSVG(file) && !strings.EqualFold(filepath.Ext(file), ".png") {
			return fmt.Errorf("--chart %s: the name of a chart ends in .svg or .png", file)
		}
	}
	return nil
}

func isSVG(file string) bool { return strings.EqualFold(filepath.Ext(file), ".svg") }

// writeCharts draws c into every file that was named, or into none where one is in the way.
func (o *statsOptions) writeCharts(c chart, what string) error {
	if err := o.mayWrite(o.chart.files...); err != nil {
		return err
	}
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return err
	}
	scene, err := c.Scene(chartSizes[o.chart.size], draw.PaperLook(recipe.Look))
	if err != nil {
		return err
	}
	for _, file := range o.chart.files {
		var data bytes.Buffer
		write := scene.PNG
		if isSVG(file) {
			write = scene.SVG
		}
		err := write(&data)
		if err == nil {
			err = files.Write(file, data.Bytes())
		}
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(o.Err, "%s: chart of %s\n", file, what); err != nil {
			return err
		}
	}
	return nil
}

// mayWrite refuses, as a wrong call, to write where files are without --force.
func (o *statsOptions) mayWrite(paths ...string) error {
	if err := (files.Policy{Force: o.force}).Check(paths...); err != nil {
		return usageError{err, "trenchcut stats"}
	}
	return nil
}

// chartLines stands below a chart's title.
func (in *statsInput) chartLines() []string {
	return []string{capital(fmt.Sprintf("%s: %s%s", in.query, plural(len(in.reps), "rep"), unjudgedWords(in.unjudged)))}
}

// chartSmall stands at a chart's foot: who counts, and what chance makes of so many figures.
func chartSmall(who string, figures int) []string {
	small := []string{"Who counts: " + who + "."}
	if figures > 1 {
		small = append(small, fmt.Sprintf("%d intervals: about 1 in 20 misses by chance alone, so look for what repeats.", figures))
	}
	return small
}

func shareOf(name string, r stats.Rate) plan.Share {
	low, high := r.Interval()
	return plan.Share{Name: name, K: r.K, N: r.N, Low: low, High: high, Bar: r.Enough()}
}

// rateOf is the rate of a group that a chart is of.
func rateOf(g stats.Group, of string) stats.Rate {
	for _, r := range g.Rates() {
		if strings.ReplaceAll(r.Name, " ", "-") == of {
			return r.Rate
		}
	}
	return stats.Rate{}
}

func intervals(shares []plan.Share) int {
	n := 0
	for _, s := range shares {
		if s.Bar {
			n++
		}
	}
	return n
}

// chartTitle is "Beat in time, by align and set".
func chartTitle(of string, by []query.Fact) string {
	keys := make([]string, len(by))
	for i, f := range by {
		keys[i] = f.Name
	}
	return capital(strings.ReplaceAll(of, "-", " ") + ", by " + strings.Join(keys, " and "))
}

// keyed is a group's name, with the key that it is by where there are several.
func keyed(by []query.Fact, i int, name string) string {
	if len(by) > 1 {
		return by[i].Name + " " + name
	}
	return name
}

// ratesChart is one rate of all and of the groups of --by; where neither a key nor a rate
// is asked for, every rate of all.
func ratesChart(in *statsInput, of string) (chart, error) {
	s := stats.Summarise(in.reps, in.season.Vocabulary)
	c := draw.Rates{Lines: append(in.chartLines(), fmt.Sprintf("In the rates: %d", s.Headline.Reps))}
	if of == "" && !in.byAsked {
		c.Title = "Of rushes on dropbacks"
		for _, r := range s.Headline.Rates() {
			c.Shares = append(c.Shares, shareOf(r.Name, r.Rate))
		}
		c.Shares = append(c.Shares, shareOf("pressure, per play", s.PlayPressure))
	} else {
		of = cmp.Or(of, chartsOf[ratesTable][0])
		c.Title = chartTitle(of, in.by)
		c.Shares = append(c.Shares, shareOf(stats.All, rateOf(s.Headline, of)))
		counted := stats.Counted(in.reps)
		for i, f := range in.by {
			for _, g := range stats.By(counted, valuesOf(f)) {
				c.Shares = append(c.Shares, shareOf(keyed(in.by, i, g.Name), rateOf(g, of)))
			}
		}
	}
	c.Small = chartSmall(stats.CountedWords, intervals(c.Shares))
	return c, nil
}

func capital(text string) string {
	runes := []rune(text)
	return strings.ToUpper(string(runes[:1])) + string(runes[1:])
}

// timeChart is the curves of the groups of one key, or that of all.
func timeChart(in *statsInput, _ string) (chart, error) {
	c := draw.Curves{Title: "Time to beat", Lines: in.chartLines(), Limit: in.season.Vocabulary.Limit.Seconds(), Bands: true}
	groups := stats.TimesToBeat(in.reps, nil)
	var said []string
	if in.byAsked {
		if len(in.by) != 1 {
			return nil, usageError{errors.New("--chart draws times by one key: want one after --by"), "trenchcut stats"}
		}
		f := in.by[0]
		c.Title += ", by " + f.Name
		groups = stats.TimesToBeat(in.reps, valuesOf(f))[1:]
		test, overlap := stats.TimesDiffer(in.reps, valuesOf(f))
		said = append(said, logRankWords(f.Name, test, overlap))
	}
	c.Curves, said = curvesOf(groups, said)
	c.Small = append(chartSmall(stats.RushesWords, 0), said...)
	return c, nil
}

// curvesOf is the curves of groups with watches enough, and what is said of the others and
// of medians.
func curvesOf(groups []stats.Timing, said []string) ([]draw.Curve, []string) {
	var curves, tooFew []draw.Curve
	var medians, few []string
	for _, t := range groups {
		if !t.Curve.Enough() || t.Name == stats.NotTagged {
			few = append(few, fmt.Sprintf("%s %d", t.Name, t.Curve.Watches))
			tooFew = append(tooFew, curveOf(t))
			continue
		}
		curves = append(curves, curveOf(t))
		medians = append(medians, fmt.Sprintf("%s %s", t.Name, medianWords(t.Median)))
	}
	if len(medians) > 0 {
		said = append(said, "Median in seconds, with its 95 % interval; a ? is more than this film shows: "+strings.Join(medians, ", ")+".")
	}
	if len(curves) == 0 {
		return tooFew, said // of which the chart itself says so
	}
	if len(few) > 0 {
		said = append(said, "No curve of so few rushes, or of what is not tagged: "+strings.Join(few, ", ")+".")
	}
	return curves, said
}

func curveOf(t stats.Timing) draw.Curve {
	c := draw.Curve{Name: t.Name, N: t.Curve.Watches}
	for _, s := range t.Curve.Steps {
		c.Steps = append(c.Steps, draw.Step{At: s.At.Seconds(), Beaten: s.Beaten, Holds: s.Holds, Low: s.Low, High: s.High})
	}
	for _, at := range t.Curve.Censored() {
		c.Censored = append(c.Censored, at.Seconds())
	}
	return c
}

// getoffChart is every rusher's reps against those of all.
func getoffChart(in *statsInput, _ string) (chart, error) {
	offs := stats.GetOffs(in.reps, func(*tags.Rep) tags.Rate { return tags.Rate{} }) // frames are not drawn
	shown := map[string]string{}
	for _, r := range in.reps {
		shown[r.Rusher.ID] = r.Rusher.Shown()
	}
	c := draw.Strip{Title: "Get-off", Lines: append(in.chartLines(), "Seconds from the snap to his first movement")}
	unmarked := 0
	for i, g := range offs {
		if i == 0 {
			unmarked = g.Unmarked
			if g.Mean != nil {
				c.Group = draw.Group{Name: "all, mean ± spread", Low: *g.Mean - *g.SD, Mean: *g.Mean, High: *g.Mean + *g.SD}
			}
			continue
		}
		row := draw.StripRow{Name: shown[g.Name], Times: g.Times}
		if g.Mean != nil {
			row.Mean = *g.Mean
		}
		if g.N > 0 {
			c.Rows = append(c.Rows, row)
		}
	}
	c.Small = chartSmall(stats.GetOffWords, 0)
	if unmarked > 0 {
		c.Small = append(c.Small, plural(unmarked, "rep")+" with no get-off marked.")
	}
	return c, nil
}

// tendencyChart is what is done in each situation: a row each, of one key or of several.
func tendencyChart(in *statsInput, of string) (chart, error) {
	of = cmp.Or(of, chartsOf["tendency"][0])
	facts, err := in.situationFacts()
	if err != nil {
		return nil, err
	}
	if !in.byAsked {
		facts = facts[:1] // all of them are more rows than a page holds
	}
	var rows []stats.Situation
	untagged := 0
	for i, f := range facts {
		situation, compare := ordered(in.registry, f)
		for _, t := range stats.Tendencies(in.reps, f.Name, situation, compare) {
			if t.What != of {
				continue
			}
			for _, s := range t.Situations {
				s.Name = keyed(facts, i, s.Name)
				if i == 0 {
					untagged += s.Untagged
				}
				rows = append(rows, s)
			}
		}
	}
	totals := map[string]int{}
	for _, s := range rows {
		for _, share := range s.Shares {
			totals[share.Name] += share.K
		}
	}
	parts := slices.SortedFunc(maps.Keys(totals), func(a, b string) int {
		return cmp.Or(cmp.Compare(totals[b], totals[a]), cmp.Compare(a, b))
	})
	c := draw.Tendency{
		Title: chartTitle(of, facts), Lines: in.chartLines(), Parts: parts, Small: chartSmall(stats.RushesWords, 0),
	}
	for _, s := range rows {
		row := draw.TendencyRow{Name: s.Name, Counts: make([]int, len(parts))}
		for _, share := range s.Shares {
			row.Counts[slices.Index(parts, share.Name)] = share.K
		}
		c.Rows = append(c.Rows, row)
	}
	if untagged > 0 {
		c.Small = append(c.Small, plural(untagged, "rep")+" with no move tagged.")
	}
	return c, nil
}

// chart is both sides' rates one under the other, or their curves.
func (p againstPage) chart(table string, limit tags.Time) chart {
	title := p.First.Name + " against " + p.Second.Name
	var lines []string
	if p.common != "" {
		lines = append(lines, "Both sides: "+p.common)
	}
	if table != ratesTable {
		c := draw.Curves{Title: "Time to beat: " + title, Lines: lines, Limit: limit.Seconds(), Bands: true}
		said := []string{p.logRankWords()}
		c.Curves, said = curvesOf([]stats.Timing{p.Time.First, p.Time.Second}, said)
		c.Small = append(chartSmall(stats.RushesWords, 0), said...)
		return c
	}
	c := draw.Rates{Title: capital(title), Lines: append(lines, capital(p.sentence())), AsGiven: true}
	second := p.Second.Rates()
	for i, r := range p.First.Rates() {
		c.Shares = append(c.Shares, shareOf(r.Name+": "+p.First.Name, r.Rate), shareOf(second[i].Name+": "+p.Second.Name, second[i].Rate))
	}
	c.Small = append(chartSmall(stats.CountedWords, 0), manyComparisons(p.Comparisons()))
	return c
}

// makeChart is the chart of the only table asked for.
func (o *statsOptions) makeChart(table statsTable, in *statsInput) error {
	c, err := table.chart(in, o.chart.of)
	if err != nil {
		return err
	}
	return o.writeCharts(c, fmt.Sprintf("%s, %s", table.name, plural(len(in.reps), "rep")))
}
