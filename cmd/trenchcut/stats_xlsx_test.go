package main

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

func TestWorkbook(t *testing.T) {
	page := statsPage{Asked: "set short", views: []statsView{{
		name: "contain", title: "the edge", who: "those who owed it",
		sheet: sheet{heading: []string{"group", "owed", "share"}, rows: [][]any{{"all", 8, 0.75}, {"=1+1", 3, nil}}},
	}}}
	data, err := page.workbook()
	if err != nil {
		t.Fatal(err)
	}
	book, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close() //nolint:errcheck // it was only read
	if diff := cmp.Diff([]string{"who counts", "contain"}, book.GetSheetList()); diff != "" {
		t.Errorf("sheets (-want +got):\n%s", diff)
	}
	rows, err := book.GetRows("contain")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([][]string{{"group", "owed", "share"}, {"all", "8", "0.75"}, {"=1+1", "3"}}, rows); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
	for cell, want := range map[string]excelize.CellType{"B2": excelize.CellTypeUnset, "C2": excelize.CellTypeUnset, "A3": excelize.CellTypeInlineString} {
		// A number has no type of its own; text, a formula's look included, is text.
		if kind, err := book.GetCellType("contain", cell); err != nil || kind != want && kind != excelize.CellTypeNumber {
			t.Errorf("%s is of type %v (%v), want %v", cell, kind, err, want)
		}
	}
	about, err := book.GetRows("who counts")
	if err != nil || len(about) < 3 || about[1][1] != "set short" || about[2][2] != "those who owed it" {
		t.Errorf("who counts: %q, %v", about, err)
	}
}
