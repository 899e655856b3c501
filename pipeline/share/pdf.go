package share

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/ledongthuc/pdf"
)

// mostPages bounds a PDF.
const mostPages = 500

// pdf reads the text of a PDF and what it says of itself. What its pictures and drawings
// show is not read, so it is named even when all of its text was.
func (r *reader) pdf(name string, data []byte, depth int) {
	r.strings(name, data)
	text, err := pdfText(data)
	if len(text) > 0 {
		r.bytes(name, text, depth+1)
	}
	switch {
	case err != nil:
		r.unread(name, "the PDF cannot be read: "+err.Error())
	case !r.ours:
		r.unread(name, "what the pictures of the PDF show")
	}
}

// pdfText is the text of all pages. The reader gives up by panic where a file is damaged.
func pdfText(data []byte) (text []byte, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("it is damaged: %v", p)
		}
	}()
	doc, err := pdf.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	info := doc.Trailer().Key("Info")
	for _, key := range info.Keys() {
		out.WriteString(info.Key(key).Text() + "\n")
	}
	if n := doc.NumPage(); n > mostPages {
		return out.Bytes(), fmt.Errorf("it has %d pages, and %d are the most that are read", n, mostPages)
	}
	var failed []error
	for i := range doc.NumPage() {
		said, err := doc.Page(i + 1).GetPlainText(nil)
		out.WriteString(said + "\n")
		if err != nil {
			failed = append(failed, err)
		}
	}
	return out.Bytes(), errors.Join(failed...)
}
