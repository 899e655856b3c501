package page

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"

	"trenchcut/tags/files"
)

// mark is what the files of a page say of who wrote them, so that a new page may take
// their place and nobody else's file is lost to one.
const mark = "trenchcut reel page"

const (
	htmlMark  = "<!doctype html>\n<!-- " + mark + " -->\n"
	statsMark = "<!doctype html>\n<!-- trenchcut stats page -->\n"
)

// pngHead is a PNG's signature and its first chunk, IHDR: PNG (ISO/IEC 15948) 5.2, 11.2.2.
const pngHead = 8 + 12 + 13

// pngMark is a chunk of text under the keyword for what made a picture: PNG 11.3.4.
var pngMark = func() []byte {
	chunk := append([]byte("tEXtSoftware\x00"), mark...)
	out := binary.BigEndian.AppendUint32(nil, uint32(len(chunk)-4))
	return binary.BigEndian.AppendUint32(append(out, chunk...), crc32.ChecksumIEEE(chunk))
}()

// MarkPNG is a PNG with the mark of a page in it.
func MarkPNG(data []byte) ([]byte, error) {
	if len(data) <= pngHead || !bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")) {
		return nil, errors.New("mark a contact sheet: it is no PNG")
	}
	return bytes.Join([][]byte{data[:pngHead], pngMark, data[pngHead:]}, nil), nil
}

// pdfMark is a comment (ISO 32000-1, 7.2.3) behind all else in a PDF.
const pdfMark = "\n% " + mark + "\n"

// MarkPDF is a PDF with the mark of a page behind it.
func MarkPDF(data []byte) []byte { return append(data, pdfMark...) }

// IsOurs reports whether a file's content is that of a file of a reel's page, as it was written.
func IsOurs(data []byte) bool {
	return bytes.HasPrefix(data, []byte(htmlMark)) ||
		bytes.HasPrefix(data, []byte("WEBVTT\n\n"+vttMark+"\n")) ||
		bytes.HasPrefix(data, []byte("%PDF-")) && bytes.HasSuffix(data, []byte(pdfMark)) ||
		len(data) > pngHead && bytes.HasPrefix(data[pngHead:], pngMark)
}

// mostFile bounds what is read of a file, to see whether it is one of a page.
const mostFile = 64 << 20

// IsFile is IsOurs of the file at a path: whether a page's file may take its place.
func IsFile(path string) bool {
	data, err := files.Read(path, mostFile)
	return err == nil && IsOurs(data)
}
