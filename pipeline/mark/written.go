package mark

import (
	"encoding/csv"
	"strings"
)

// written returns the value of the open field as its box shows it, so that the text reads back to
// the same value.
func (f *form) written() string {
	text, _ := f.look.Value(f.Play, f.rep(), f.Open)
	if f.Open != "tells" || text == "" {
		return text
	}
	items := strings.Split(text, listSign)
	for i, item := range items {
		if strings.ContainsAny(item, `,"`) {
			items[i] = `"` + strings.ReplaceAll(item, `"`, `""`) + `"`
		}
	}
	return strings.Join(items, ", ")
}

// wrote takes the text of a box that is left. Unchanged text leaves the field as it is.
func (f *form) wrote(text string) error {
	if f.Open != "" && text == f.written() {
		f.after(f.Open)
		return nil
	}
	return f.take(strings.TrimSpace(text))
}

// listedIn is the values in a text, with commas or line breaks between them; in quotes a comma is
// part of its value.
func listedIn(text string) []string {
	r := csv.NewReader(strings.NewReader(text))
	r.LazyQuotes, r.TrimLeadingSpace, r.FieldsPerRecord = true, true, -1
	records, err := r.ReadAll()
	if err != nil { // quotes that nobody closed
		records = [][]string{strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == '\n' })}
	}
	var items []string
	for _, record := range records {
		for _, item := range record {
			if item = strings.TrimSpace(item); item != "" {
				items = append(items, item)
			}
		}
	}
	return items
}
