package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"trenchcut/tags"
)

// readCSV reads RFC 4180, with any of , ; and tab between the cells, in UTF-8 or, as
// spreadsheets write "Unicode text", in UTF-16 with its mark. What is neither is read as
// Windows-1252, which older spreadsheets write, where it can be that.
func readCSV(file string, data []byte) (*Sheet, tags.Faults) {
	s, faults := readQuoted(file, data, false)
	if faults.Err() == nil {
		return s, faults
	}
	// Somebody may have typed a quote within a cell, 5" for inches. To take it as it stands is right
	// where it swallows no line.
	lazy, wrong := readQuoted(file, data, true)
	broken := func(c Cell) bool { return strings.ContainsAny(c.Text, "\n") }
	if wrong.Err() != nil || slices.ContainsFunc(lazy.Rows, func(row []Cell) bool { return slices.ContainsFunc(row, broken) }) {
		return s, faults
	}
	return lazy, wrong
}

// readQuoted is readCSV, with quotes as RFC 4180 has them, or anywhere.
func readQuoted(file string, data []byte, lazy bool) (*Sheet, tags.Faults) {
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
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // which some programs put before UTF-8
	at := invalid(data)
	if decoded, ok := windows1252(data); at >= 0 && ok {
		data, at, s.Windows1252 = decoded, -1, true
	}
	if at >= 0 {
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
	r.LazyQuotes = lazy
	broken := 0 // line breaks within the cells so far
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return s, faults
		}
		row := len(s.Rows)
		if err != nil {
			// After a quote that is out of place no cell can be told from the next.
			var wrong *csv.ParseError
			if errors.As(err, &wrong) {
				row, err = wrong.StartLine-1-broken, wrong.Err
			}
			if errors.Is(err, csv.ErrBareQuote) || errors.Is(err, csv.ErrQuote) {
				err = errors.New(`a " stands where a cell neither begins nor ends: take it away, or save the sheet anew as CSV`)
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

// windows1252 decodes text of one byte a character. It reports false where data has a byte that
// Windows-1252 lacks, or letters that are UTF-8: then it is damaged, not another encoding.
func windows1252(data []byte) (decoded []byte, ok bool) {
	for _, lacking := range []byte{0, 0x81, 0x8d, 0x8f, 0x90, 0x9d} {
		if bytes.IndexByte(data, lacking) >= 0 {
			return nil, false
		}
	}
	for i := 0; i < len(data); {
		_, size := utf8.DecodeRune(data[i:])
		if size > 1 {
			return nil, false
		}
		i += size
	}
	decoded, err := charmap.Windows1252.NewDecoder().Bytes(data)
	return decoded, err == nil
}

// invalid is where the first byte stands that is no UTF-8 text; -1 where all is.
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
