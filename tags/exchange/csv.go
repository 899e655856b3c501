package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"

	"trenchcut/tags"
)

// readCSV reads RFC 4180, with any of , ; and tab between the cells, in UTF-8 or, as
// spreadsheets write "Unicode text", in UTF-16 with its mark.
func readCSV(file string, data []byte) (*Sheet, tags.Faults) {
	s := &Sheet{File: file}
	var faults tags.Faults
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		decoded, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
		if err != nil {
			faults.Add(tags.Pos{File: file}, "not UTF-16 text: %v", err)
			return s, faults
		}
		data = decoded
	}
	data = trimBOM(data)
	if at := invalid(data); at >= 0 {
		line := 1 + bytes.Count(data[:at], []byte("\n"))
		faults.Add(tags.Pos{File: file, Line: line, Column: 1}, "the byte %#02x is not UTF-8 text: save the sheet as CSV in UTF-8", data[at])
		return s, faults
	}
	if !bytes.Contains(data, []byte("\n")) {
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = separator(data)
	r.FieldsPerRecord = -1
	r.ReuseRecord = true
	broken := 0 // line breaks within the cells so far
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return s, faults
		}
		row := len(s.Rows)
		if err != nil {
			// Behind a quote that is out of place nothing can be told from anything.
			var wrong *csv.ParseError
			if errors.As(err, &wrong) {
				row, err = wrong.StartLine-1-broken, wrong.Err
			}
			faults.Add(s.at(row, 0), "not CSV: %v", err)
			return s, faults
		}
		// The reader passes over blank lines, which are rows to everyone else.
		line, _ := r.FieldPos(0)
		row = line - 1 - broken
		if row >= maxRows || len(record) > maxColumns {
			faults.Add(s.at(row, 0), "a play sheet has at most %d rows of %d cells", maxRows, maxColumns)
			return s, faults
		}
		for len(s.Rows) < row {
			s.Rows = append(s.Rows, nil)
		}
		cells := make([]Cell, len(record))
		for i, text := range record {
			cells[i].Text = meant(text)
			broken += strings.Count(text, "\n")
		}
		s.Rows = append(s.Rows, cells)
	}
}

func invalid(data []byte) int {
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && size == 1 || r == 0 {
			return i
		}
		i += size
	}
	return -1
}

// separator is whichever of , ; and tab stands most often in the first line that has
// any, outside quotes.
func separator(data []byte) rune {
	counts := map[byte]int{}
	quoted := false
	for _, b := range data {
		switch {
		case b == '"':
			quoted = !quoted
		case quoted:
		case b == ',' || b == ';' || b == '\t':
			counts[b]++
		case b == '\n' && len(counts) > 0:
			return most(counts)
		}
	}
	return most(counts)
}

func most(counts map[byte]int) rune {
	best := byte(',')
	for _, b := range []byte(";\t") {
		if counts[b] > counts[best] {
			best = b
		}
	}
	return rune(best)
}

// WriteCSV writes the table as [CSVWriter] does.
func (t Table) WriteCSV(w io.Writer) error {
	out := NewCSVWriter(w)
	if err := out.Write(t.Heading); err != nil {
		return fmt.Errorf("write CSV: %w", err)
	}
	for row := range t.Rows {
		if err := out.Write(t.cells(row)); err != nil {
			return fmt.Errorf("write CSV: %w", err)
		}
	}
	out.Flush()
	return out.Error()
}
