package main

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
)

// chartOptions says what of a table is drawn, and where to.
type chartOptions struct {
	files []string
	of    string // what the chart is of, where a table has several
	size  string
	sized bool // whether size was asked for
}

func (o *chartOptions) addFlags(cmd *cobra.Command) {
	of := report.ChartsOf()
	f := cmd.Flags()
	f.StringArrayVar(&o.files, "chart", nil, "draw the table into a `file`, .svg or .png; once for each file")
	f.StringVar(&o.of, "chart-of", "", "`what` a chart shows, where it may be of several: "+strings.Join(of, ", "))
	f.StringVar(&o.size, "chart-size", "paper", "paper (A4 lying), wide (16:9) or phone")
	complete(cmd, "chart-of", cobra.FixedCompletions(of, cobra.ShellCompDirectiveNoFileComp))
	complete(cmd, "chart-size", cobra.FixedCompletions(slices.Sorted(maps.Keys(draw.ChartSizes)), cobra.ShellCompDirectiveNoFileComp))
	complete(cmd, "chart", cobra.FixedCompletions([]cobra.Completion{"svg", "png"}, cobra.ShellCompDirectiveFilterFileExt))
}

// check refuses what cannot be drawn, before anything is read.
func (o *chartOptions) check(tables []report.Definition) error {
	if len(tables) != 1 {
		return errors.New("--chart draws one table: want one name after --table")
	}
	if err := tables[0].CheckChart(o.of); err != nil {
		return fmt.Errorf("--chart: %w", err)
	}
	return o.checkFiles()
}

// checkAgainst is check for two choices side by side, of which one of three tables is drawn.
func (o *chartOptions) checkAgainst(tables []string) error {
	if len(tables) != 1 || !slices.Contains([]string{report.Rates, report.Times, report.Holds}, tables[0]) {
		return errors.New("--chart draws --against as rates, or with --table time or hold as curves: want no other table")
	}
	if o.of != "" {
		return errors.New("--chart-of: a chart of --against shows every rate, or the times: leave it out")
	}
	return o.checkFiles()
}

func (o *chartOptions) checkFiles() error {
	if _, ok := draw.ChartSizes[o.size]; !ok {
		return fmt.Errorf("--chart-size %s: want %s", o.size, tags.Either(slices.Sorted(maps.Keys(draw.ChartSizes))))
	}
	for _, file := range o.files {
		if err := draw.CheckChartFile(file); err != nil {
			return fmt.Errorf("--chart %w", err)
		}
	}
	return nil
}

// drawTable draws the only table asked for.
func (o *statsOptions) drawTable(table report.Definition, r *report.Request) error {
	c, err := table.Chart(r, o.chart.of)
	if errors.Is(err, report.ErrOneKey) {
		return wrongCall("--chart draws times by one key: want one after --by")
	}
	if err != nil {
		return err
	}
	return o.writeCharts(c, fmt.Sprintf("%s, %s", table.Name, tags.Count(len(r.Reps), "rep")))
}

// writeCharts draws c into every file that was named, or into none where one is in the way.
func (o *statsOptions) writeCharts(c report.Chart, what string) error {
	if err := o.mayWrite(o.chart.files...); err != nil {
		return err
	}
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return err
	}
	scene, err := draw.Chart(c, draw.ChartSizes[o.chart.size], draw.PaperLook(recipe.Look))
	if err != nil {
		return err
	}
	for _, file := range o.chart.files {
		if err := o.replace(file, func() ([]byte, error) { return scene.File(file) }); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(o.Err, "%s: chart of %s\n", file, what); err != nil {
			return err
		}
	}
	return nil
}
