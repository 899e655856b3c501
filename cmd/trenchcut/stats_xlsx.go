package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/xuri/excelize/v2"

	"trenchcut/tags/files"
)

const (
	xlsxSuffix = ".xlsx"
	// xlsxMark is by whom a spreadsheet of stats says it was made.
	xlsxMark = "trenchcut stats"
)

func (o *statsOptions) writeXLSX(p statsPage) error {
	if err := o.mayWrite(o.xlsx); err != nil {
		return err
	}
	data, err := p.workbook()
	if err != nil {
		return fmt.Errorf("write %s: %w", o.xlsx, err)
	}
	if err := files.Write(o.xlsx, data); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s of %s\n", o.xlsx, plural(len(p.views), "table"), plural(len(p.reps), "rep"))
	return err
}

// workbook is a sheet for each table, and one that says what was asked and who counts.
func (p statsPage) workbook() (data []byte, err error) {
	book := excelize.NewFile()
	defer func() { err = errors.Join(err, book.Close()) }()
	if err := book.SetDocProps(&excelize.DocProperties{Creator: xlsxMark, Title: p.Asked}); err != nil {
		return nil, err
	}
	const first = "who counts"
	if err := book.SetSheetName(book.GetSheetName(0), first); err != nil {
		return nil, err
	}
	about := sheet{heading: []string{"table", "what it tells", "who counts"}}
	about.add("asked", p.Asked, fmt.Sprintf("%s%s", plural(len(p.reps), "rep"), unjudgedWords(p.unjudged)))
	for _, v := range p.views {
		about.add(v.name, v.heading(), v.who)
	}
	about.add("intervals", "low and high bound the 95 % interval; shares are from 0 to 1", "an empty cell is not known, or of too few reps")
	bold, err := book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return nil, err
	}
	if err := addSheet(book, first, about, bold); err != nil {
		return nil, err
	}
	for _, v := range p.views {
		if _, err := book.NewSheet(v.name); err != nil {
			return nil, err
		}
		if err := addSheet(book, v.name, v.sheet, bold); err != nil {
			return nil, fmt.Errorf("table %s: %w", v.name, err)
		}
	}
	var out bytes.Buffer
	if _, err := book.WriteTo(&out); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// addSheet writes one sheet, its heading bold and kept in sight.
func addSheet(book *excelize.File, name string, s sheet, bold int) error {
	out, err := book.NewStreamWriter(name)
	if err != nil {
		return err
	}
	width := 10.0
	for _, h := range s.heading {
		width = max(width, float64(textWidth(h)+2))
	}
	err = errors.Join(
		out.SetColWidth(1, max(len(s.heading), 1), width),
		out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}),
	)
	heading := make([]any, len(s.heading))
	for i, h := range s.heading {
		heading[i] = excelize.Cell{StyleID: bold, Value: h}
	}
	err = errors.Join(err, out.SetRow("A1", heading))
	for i, row := range s.rows {
		err = errors.Join(err, out.SetRow(fmt.Sprintf("A%d", i+2), row))
	}
	return errors.Join(err, out.Flush())
}
