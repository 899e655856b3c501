package report

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/rivo/uniseg"
	"github.com/xuri/excelize/v2"

	"trenchcut/tags"
)

const (
	// WorkbookSuffix ends the name of a spreadsheet.
	WorkbookSuffix = ".xlsx"
	// xlsxMark is by whom a spreadsheet of stats says it was made.
	xlsxMark = "trenchcut stats"
)

// Workbook is an XLSX file: a sheet for each grid of the tables, behind one that says what was asked and
// who counts and one that says what each column is.
func Workbook(r *Request, tables []Table) (data []byte, err error) {
	book := excelize.NewFile()
	defer func() { err = errors.Join(err, book.Close()) }()
	if err := book.SetDocProps(&excelize.DocProperties{Creator: xlsxMark, Title: r.Query.Words()}); err != nil {
		return nil, err
	}
	bold, err := book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return nil, err
	}
	about := [][]any{{"asked", r.Query.Words(), fmt.Sprintf("%s%s", tags.Count(len(r.Reps), "rep"), r.Unjudged.Words())}}
	var meanings [][]any
	for _, t := range tables {
		about = append(about, []any{t.Name, t.Title, t.Who})
		for _, g := range t.Grids {
			for _, c := range g.Columns {
				for _, heading := range c.Headings() {
					meanings = append(meanings, []any{sheetName(t, g), heading, c.Unit, c.Doc})
				}
			}
		}
	}
	about = append(about, []any{"intervals", "low and high bound the 95 % interval; shares are from 0 to 1", "an empty cell is not known, or of too few reps"})
	const first = "who counts"
	if err := book.SetSheetName(book.GetSheetName(0), first); err != nil {
		return nil, err
	}
	add := func(name string, headings []string, rows [][]any) {
		if err == nil && name != first {
			_, err = book.NewSheet(name)
		}
		if err == nil {
			err = addSheet(book, name, headings, rows, bold)
		}
	}
	add(first, []string{"table", "what it tells", "who counts"}, about)
	for _, t := range tables {
		for _, g := range t.Grids {
			add(sheetName(t, g), g.Headings(), g.Cells())
		}
	}
	add("columns", []string{"sheet", "column", "unit", "what it is"}, meanings)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if _, err := book.WriteTo(&out); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// sheetName is the table's name, and the grid's where it is not the first.
func sheetName(t Table, g Grid) string {
	if g.Name == "" {
		return t.Name
	}
	return t.Name + " " + g.Name
}

// addSheet writes one sheet, its headings bold and kept in sight.
func addSheet(book *excelize.File, name string, headings []string, rows [][]any, bold int) error {
	out, err := book.NewStreamWriter(name)
	if err != nil {
		return err
	}
	width := 10.0
	for _, h := range headings {
		width = max(width, float64(uniseg.StringWidth(h)+2))
	}
	err = errors.Join(
		out.SetColWidth(1, max(len(headings), 1), width),
		out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}),
	)
	top := make([]any, len(headings))
	for i, h := range headings {
		top[i] = excelize.Cell{StyleID: bold, Value: h}
	}
	err = errors.Join(err, out.SetRow("A1", top))
	for i, row := range rows {
		err = errors.Join(err, out.SetRow(fmt.Sprintf("A%d", i+2), row))
	}
	if err = errors.Join(err, out.Flush()); err != nil {
		return fmt.Errorf("sheet %s: %w", name, err)
	}
	return nil
}
