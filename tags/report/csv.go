package report

import (
	"fmt"
	"io"
	"strconv"

	"trenchcut/tags/exchange"
)

// CSV writes the rows of the grid under their headings; what is not known is an empty cell.
func (g Grid) CSV(w io.Writer) error {
	out := exchange.NewCSVWriter(w)
	_ = out.Write(g.Headings()) // the writer keeps its error for Error
	for _, row := range g.Cells() {
		cells := make([]string, len(row))
		for i, cell := range row {
			switch cell := cell.(type) {
			case nil:
			case float64:
				cells[i] = strconv.FormatFloat(cell, 'f', 4, 64)
			default:
				cells[i] = fmt.Sprint(cell)
			}
		}
		_ = out.Write(cells)
	}
	out.Flush()
	return out.Error()
}
