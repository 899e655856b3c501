package exchange

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Import is a play sheet that is to be merged into a tag file.
type Import struct {
	Sheet   string // file
	Columns string // file of a column mapping, or empty
	Into    string // tag file; one that does not exist is made
	// Told is what columns are, fields of [Fields] by their headings, whatever Columns says.
	Told map[string]string

	Progress Progress // told on a goroutine of the import's own, one call at a time; may be nil
}

// sheetSuffixes end the names of play sheets.
var sheetSuffixes = []string{".csv", ".tsv", ".txt", ".xlsx"}

// Check refuses names that are none of a sheet or a tag file, before anything is read.
func (i Import) Check() error {
	switch {
	case i.Into == "":
		return errors.New("--into says which tag file the sheet goes into")
	case !strings.HasSuffix(i.Into, tags.Suffix):
		return fmt.Errorf("--into %s: a tag file's name ends in %s", i.Into, tags.Suffix)
	case !slices.Contains(sheetSuffixes, strings.ToLower(filepath.Ext(i.Sheet))):
		return fmt.Errorf("%s: a play sheet is .csv or .xlsx", i.Sheet)
	}
	return nil
}

// mostTags bounds what is read of a tag file: more than any may be.
const mostTags = 64 << 20

// Read finds what the import changes; nothing is written yet. Its error is [tags.Faults]
// where the sheet, the mapping or the tag file has any, and an [fs.PathError] where one cannot
// be read. What is not a plain file is refused, and so is a tag file that is read-only. It
// returns at once when ctx ends.
func (i Import) Read(ctx context.Context, v *tags.Vocabulary) (*Change, error) {
	type found struct {
		change *Change
		err    error
	}
	done := make(chan found, 1)
	go func() {
		change, err := i.read(ctx, v)
		done <- found{change, err}
	}()
	select {
	case f := <-done:
		return f.change, f.err
	case <-ctx.Done():
		// Parsing a large file is one step, which cannot be ended: it is left alone, since it
		// writes nothing.
		return nil, context.Cause(ctx)
	}
}

func (i Import) read(ctx context.Context, v *tags.Vocabulary) (*Change, error) {
	old, err := files.Read(i.Into, mostTags)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read the tag file: %w", err)
	}
	if err := (files.Policy{Force: true}).Check(i.Into); err != nil { // merging is not replacing
		return nil, &fs.PathError{Op: "write", Path: i.Into, Err: err}
	}
	return i.Merge(ctx, old, v)
}

// Merge is Read into the tag file whose bytes are old; nil for one that does not exist.
func (i Import) Merge(ctx context.Context, old []byte, v *tags.Vocabulary) (*Change, error) {
	var mapping *Columns
	if i.Columns != "" {
		data, err := files.Read(i.Columns, mostTags)
		if err != nil {
			return nil, fmt.Errorf("read the column mapping: %w", err)
		}
		if mapping, err = parseColumns(i.Columns, data); err != nil {
			return nil, err
		}
	}
	if len(i.Told) > 0 {
		if mapping == nil {
			mapping = &Columns{file: i.Sheet, targets: map[string]target{}}
		}
		if err := mapping.tell(i.Told); err != nil {
			return nil, err
		}
	}
	data, err := files.Read(i.Sheet, MaxSheet)
	if err != nil {
		return nil, fmt.Errorf("read the play sheet: %w", err)
	}
	i.Progress.tell(openingSheet, 0, 1)
	sheet, faults := readSheet(i.Sheet, data)
	i.Progress.tell(openingSheet, 1, 1)
	if faults.Err() != nil {
		return nil, faults
	}
	ledger, err := readLedger(i.Into)
	if err != nil {
		return nil, err
	}
	return sources{sheet, mapping, v, ledger, i.Progress}.merge(ctx, i.Into, old)
}
