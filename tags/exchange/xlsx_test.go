package exchange

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/thedatashed/xlsxreader"

	"trenchcut/tags"
)

// A reader of spreadsheets that is not the library we write with finds every cell where it
// belongs.
func TestXLSXByAnotherReader(t *testing.T) {
	v := vocabulary(t)
	rows := 0
	for _, file := range tagFiles(t) {
		game, faults := tags.ParseGame(file, read(t, file), v)
		if faults.Err() != nil {
			continue // a fixture of faults
		}
		var xlsx, csv bytes.Buffer
		sheet := playSheet(game.Plays)
		if err := sheet.WriteXLSX(&xlsx); err != nil {
			t.Fatal(err)
		}
		if err := sheet.WriteCSV(&csv); err != nil {
			t.Fatal(err)
		}
		book, err := xlsxreader.NewReader(xlsx.Bytes())
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		if len(book.Sheets) != 1 {
			t.Fatalf("%s: worksheets %q", file, book.Sheets)
		}
		want := sheetOf(t, "s.csv", csv.Bytes())
		got := make([][]string, len(want.Rows))
		for row := range book.ReadRows(book.Sheets[0]) {
			if row.Error != nil {
				t.Fatalf("%s: %v", file, row.Error)
			}
			if row.Index < 1 || row.Index > len(got) {
				t.Fatalf("%s: row %d of %d", file, row.Index, len(got))
			}
			for _, cell := range row.Cells {
				cells := &got[row.Index-1]
				for len(*cells) <= cell.ColumnIndex() {
					*cells = append(*cells, "")
				}
				(*cells)[cell.ColumnIndex()] = strings.TrimSpace(cell.Value) // as reading a sheet does
			}
		}
		for i, row := range want.Rows {
			texts := make([]string, len(row))
			for j, cell := range row {
				texts[j] = cell.Text
			}
			if diff := cmp.Diff(strings.TrimRight(strings.Join(texts, "\t"), "\t"), strings.TrimRight(strings.Join(got[i], "\t"), "\t")); diff != "" {
				t.Errorf("%s row %d (-CSV +XLSX): %s", file, i+1, diff)
			}
			rows++
		}
	}
	if rows < 20 {
		t.Errorf("only %d rows", rows)
	}
}
