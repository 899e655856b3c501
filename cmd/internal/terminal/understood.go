package terminal

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/report"
)

// Understood prints what was made of each column of a sheet, and of words in it that
// were read as others.
func Understood(w io.Writer, u *exchange.Understood) error {
	columns := []report.Heading{{Title: "column", Least: 8}, {Title: "is", Least: 8}, {Title: "how"}, {Title: "cells", Right: true}, {Title: "refused", Right: true}, {Title: "such as", Least: 12}}
	var rows [][]string
	var words []string
	for _, c := range u.Columns {
		refused := ""
		if c.Refused > 0 {
			refused = strconv.Itoa(c.Refused)
		}
		rows = append(rows, []string{c.Heading, c.Field, c.How.String(), strconv.Itoa(c.Cells), refused, strings.Join(c.Examples, ", ")})
		words = append(words, c.Words()...)
	}
	where := u.Sheet
	if len(u.Others) > 0 {
		where += ", worksheet " + u.Name
	}
	if _, err := fmt.Fprintf(w, "%s: %s under the headings of row %d\n", tags.Printable(where), tags.Count(u.Rows, "row"), u.Heading); err != nil {
		return err
	}
	if len(u.Others) > 0 {
		if err := Paragraphs(w, "not read: worksheet "+strings.Join(u.Others, ", ")); err != nil {
			return err
		}
	}
	if u.ByRow {
		if _, err := fmt.Fprintln(w, "no column holds play numbers: the rows are numbered in order"); err != nil {
			return err
		}
	}
	if err := Table(w, Width(w), columns, rows); err != nil {
		return err
	}
	for _, line := range words {
		if err := Paragraphs(w, line); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w)
	return err
}
