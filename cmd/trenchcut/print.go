package main

import (
	"encoding/json"
	"fmt"
	"io"

	"trenchcut/tags"
	"trenchcut/tags/listing"
	"trenchcut/tags/query"
)

// printJSON prints v indented, so that a person can read it too.
func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// printNone says that nothing was chosen, and why.
func printNone(w io.Writer, q *query.Query, season *tags.Season, list *listing.List) error {
	said, err := list.None(q, season)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(w, tags.Printable(said))
	return err
}
