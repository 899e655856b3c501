package desk

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/outline"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/files"
)

// sheetRead is what was made of the sheet's columns.
type sheetRead struct {
	File     string       `json:"file"`
	Rows     int          `json:"rows"`
	Columns  []columnRead `json:"columns"`
	Words    []string     `json:"words"`
	Faults   []string     `json:"faults"`
	Unfilled []string     `json:"unfilled"`
	Fields   []string     `json:"fields"`         // what a column may be said to be
	Keep     string       `json:"keep,omitempty"` // the file that what was said is kept in when it is asked for
}

type columnRead struct {
	Heading string `json:"heading"`
	Is      string `json:"is"`
	Value   string `json:"value"` // of sheetRead's fields
	How     string `json:"how"`
	Cells   int    `json:"cells"`
	Refused int    `json:"refused"`
	SuchAs  string `json:"suchAs"`
}

func readSheet(c *exchange.Change, r outline.Request) *sheetRead {
	if c == nil || c.Understood == nil {
		return nil
	}
	u := c.Understood
	s := &sheetRead{File: files.Base(u.Sheet), Rows: u.Rows, Unfilled: u.Unfilled, Fields: exchange.Fields()}
	if len(r.Told) > 0 {
		s.Keep = files.Base(columnFile(r))
	}
	for _, column := range u.Columns {
		s.Columns = append(s.Columns, columnRead{column.Heading, column.Field, column.Value, column.How.String(), column.Cells, column.Refused, strings.Join(column.Examples, ", ")})
		s.Words = append(s.Words, column.Words()...)
	}
	for _, f := range c.Faults {
		f.File = files.Base(f.File)
		s.Faults = append(s.Faults, f.Error())
	}
	return s
}

// said is an error in one line for the page, with the first of its faults.
func said(err error) string {
	if faults, ok := errors.AsType[tags.Faults](err); ok && len(faults) > 0 {
		first := faults[0]
		first.File = files.Base(first.File)
		return first.Error()
	}
	return err.Error()
}

// columnsSuffix ends the name of the column mapping that is kept beside a sheet.
const columnsSuffix = ".columns.yaml"

// columnFile is the file that keeps what columns were said to be: the staff's own, where one was
// named, or else one beside the sheet.
func columnFile(r outline.Request) string {
	if r.Columns != "" {
		return r.Columns
	}
	return strings.TrimSuffix(r.Sheet, filepath.Ext(r.Sheet)) + columnsSuffix
}

// serveKeep keeps what was said of columns in the staff's file.
func (s *Server) serveKeep(w http.ResponseWriter, _ *http.Request) {
	path, err := s.intake.keep()
	if err != nil {
		http.Error(w, said(err), http.StatusConflict)
		return
	}
	writeJSON(w, map[string]string{"kept": files.Base(path)})
}

func (i *intake) keep() (path string, err error) {
	i.mu.Lock()
	defer i.mu.Unlock()
	r := i.request
	switch {
	case i.state.Looking || i.found == nil || i.found.Sheet == nil:
		return "", errors.New("the sheet is still being read")
	case i.state.Said != "":
		return "", errors.New("the sheet cannot be read with these columns: " + i.state.Said)
	case len(r.Told) == 0:
		return "", errors.New("no column was changed")
	}
	path = columnFile(r)
	if r.Columns != "" {
		old, err := os.ReadFile(path)
		if err != nil {
			return "", fmt.Errorf("read the column mapping: %w", err)
		}
		next, err := exchange.LayOver(path, old, r.Told)
		if err != nil {
			return "", err
		}
		return path, files.Update(path, old, next)
	}
	data, err := i.found.Sheet.Understood.ColumnFile()
	if err != nil {
		return "", err
	}
	if err := (files.Policy{}).Write(path, data); err != nil {
		if _, is := errors.AsType[*files.ExistsError](err); is {
			return "", fmt.Errorf("%s is there already: name it with --columns, and it is changed", files.Base(path))
		}
		return "", err
	}
	i.request.Columns = path
	return path, nil
}
