package report_test

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
)

func TestWorkbook(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	q, err := query.Parse([]string{"set=short"}, "", v, &tags.Season{Vocabulary: v})
	if err != nil {
		t.Fatal(err)
	}
	low, high := .25, .9
	tables := []report.Table{{
		Name: "contain", Title: "the edge", Who: "those who owed it",
		Grids: []report.Grid{{
			Columns: []report.Column{{Key: "group", Doc: "Who."}, {Key: "owed", Kind: report.Number, Unit: "reps"}, {Key: "share", Kind: report.Interval}},
			Rows:    [][]any{{"all", 8, report.Estimate{At: &low, Low: &low, High: &high}}, {"=1+1", 3, nil}},
		}},
	}}
	data, err := report.Workbook(&report.Request{Query: q}, tables)
	if err != nil {
		t.Fatal(err)
	}
	book, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close() //lint:ignore errcheck it was only read
	if diff := cmp.Diff([]string{"who counts", "contain", "columns"}, book.GetSheetList()); diff != "" {
		t.Errorf("sheets (-want +got):\n%s", diff)
	}
	rows, err := book.GetRows("contain")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([][]string{{"group", "owed", "share", "share-low", "share-high"}, {"all", "8", "0.25", "0.25", "0.9"}, {"=1+1", "3"}}, rows); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
	for cell, want := range map[string]excelize.CellType{"B2": excelize.CellTypeUnset, "C2": excelize.CellTypeUnset, "A3": excelize.CellTypeInlineString} {
		// A number has no type of its own; text, a formula's look included, is text.
		if kind, err := book.GetCellType("contain", cell); err != nil || kind != want && kind != excelize.CellTypeNumber {
			t.Errorf("%s is of type %v (%v), want %v", cell, kind, err, want)
		}
	}
	about, err := book.GetRows("who counts")
	if err != nil || len(about) < 3 || about[1][1] != "Short set" || about[2][2] != "those who owed it" {
		t.Errorf("who counts: %q, %v", about, err)
	}

	meanings, err := book.GetRows("columns")
	if err != nil || len(meanings) != 6 || meanings[1][3] != "Who." || meanings[2][2] != "reps" {
		t.Errorf("columns: %q, %v", meanings, err)
	}
}
