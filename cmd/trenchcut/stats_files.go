package main

import (
	"fmt"

	"trenchcut/pipeline/page"
	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/tags/report"
)

// writeFiles writes the spreadsheet, the page, or both.
func (o *statsOptions) writeFiles(asked []report.Definition, tables []report.Table, r *report.Request) error {
	if o.xlsx != "" {
		if err := o.replace(o.xlsx, func() ([]byte, error) { return report.Workbook(r, tables) }); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(o.Err, "%s: %s of %s\n", o.xlsx, tags.Count(len(tables), "table"), tags.Count(len(r.Reps), "rep")); err != nil {
			return err
		}
	}
	if o.page == "" {
		return nil
	}
	if err := o.replace(o.page, func() ([]byte, error) { return page.Numbers(o.page, asked, tables, r) }); err != nil {
		return err
	}
	_, err := fmt.Fprintf(o.Err, "%s: page of %s, %s\n", o.page, tags.Count(len(tables), "table"), tags.Count(len(r.Reps), "rep"))
	return err
}

// replace makes a file and writes it whole. Without --force it refuses, as a wrong call, to
// write where a file is.
func (o *statsOptions) replace(path string, make func() ([]byte, error)) error {
	if err := o.mayWrite(path); err != nil {
		return err
	}
	data, err := make()
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return files.Write(path, data)
}

// mayWrite refuses, as a wrong call, to write where files are without --force.
func (o *statsOptions) mayWrite(paths ...string) error {
	return calledWrong(files.Policy{Force: o.force}.Check(paths...))
}
