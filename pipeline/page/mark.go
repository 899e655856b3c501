package page

import (
	"bytes"

	"trenchcut/pipeline/draw"
	"trenchcut/tags/files"
)

// mark is what the files of a page say of who wrote them, so that a new page may take
// their place and nobody else's file is lost to one.
const mark = "trenchcut reel page"

const (
	htmlMark  = "<!doctype html>\n<!-- " + mark + " -->\n"
	statsMark = "<!doctype html>\n<!-- trenchcut stats page -->\n"
)

// MarkPNG is a PNG with the mark of a page in it.
func MarkPNG(data []byte) ([]byte, error) { return draw.MarkPNG(data, mark) }

// pdfMark is a comment (ISO 32000-1, 7.2.3) behind all else in a PDF.
const pdfMark = "\n% " + mark + "\n"

// MarkPDF is a PDF with the mark of a page behind it.
func MarkPDF(data []byte) []byte { return append(data, pdfMark...) }

// IsOurs reports whether a file's content is that of a file of a reel's page, as it was written.
func IsOurs(data []byte) bool {
	return bytes.HasPrefix(data, []byte(htmlMark)) ||
		bytes.HasPrefix(data, []byte("WEBVTT\n\n"+vttMark+"\n")) ||
		bytes.HasPrefix(data, []byte("%PDF-")) && bytes.HasSuffix(data, []byte(pdfMark)) ||
		draw.IsMarkedPNG(data, mark)
}

// mostFile bounds what is read of a file, to see whether it is one of a page.
const mostFile = 64 << 20

// IsFile is IsOurs of the file at a path: whether a page's file may take its place.
func IsFile(path string) bool {
	data, err := files.Read(path, mostFile)
	return err == nil && IsOurs(data)
}
