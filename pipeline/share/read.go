package share

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"trenchcut/pipeline/ffmpeg"
)

// Bounds, so that nothing that is handed in keeps us for long.
const (
	mostRead     = 256 << 20 // bytes of a file that is read whole
	mostUnpacked = 512 << 20 // bytes that all that is packed in a file may unpack to
	mostNested   = 8         // packages within packages
	mostPacked   = 20_000    // files in a package
)

// reader reads one file through: what it holds in words goes to found, and what cannot be
// read to unread.
type reader struct {
	ctx    context.Context
	tool   ffmpeg.Tool
	found  func(in string) func(text string, binary bool)
	unread func(file, why string)
	ours   bool  // this program made the file: its picture and sound need no looking through
	left   int64 // how many bytes may still be unpacked
}

// file reads a file on the disk.
func (r *reader) file(path string) {
	f, info, err := plainFile(path)
	if err != nil {
		r.unread(path, plainError(err))
		return
	}
	defer f.Close()
	head := make([]byte, headSize)
	n, err := f.ReadAt(head, 0)
	if err != nil && n == 0 && info.Size() > 0 {
		r.unread(path, plainError(err))
		return
	}
	if kind := kindOf(head[:n]); media(kind) {
		r.film(path, kind, f, info.Size())
		r.tables(path)
		return
	}
	if info.Size() > mostRead {
		r.unread(path, fmt.Sprintf("it is larger than %d MB", mostRead>>20))
		return
	}
	data, err := io.ReadAll(io.LimitReader(f, mostRead))
	if err != nil {
		r.unread(path, plainError(err))
		return
	}
	r.bytes(path, data, 0)
}

// headSize is how much of a file tells its kind.
const headSize = 512

// bytes reads what was in a file, or in a package, which is called name.
func (r *reader) bytes(name string, data []byte, depth int) {
	if len(data) == 0 || r.ctx.Err() != nil {
		return
	}
	if depth > mostNested {
		r.unread(name, fmt.Sprintf("it is packed more than %d times over", mostNested))
		return
	}
	kind := kindOf(data)
	switch {
	case media(kind):
		r.film(name, kind, bytes.NewReader(data), int64(len(data)))
		if depth > 0 {
			r.unread(name, "film in a package: its tracks of text")
		}
	case kind == "PNG":
		r.png(name, data, depth)
	case kind == "JPEG":
		r.jpeg(name, data, depth)
	case kind == "GIF", kind == "WebP", kind == "TIFF", kind == "BMP":
		r.strings(name, data)
		r.picture(name)
	case kind == "PDF":
		r.pdf(name, data, depth)
	case r.packed(name, kind, data, depth):
	case closed[kind] != "":
		r.strings(name, data)
		r.unread(name, closed[kind])
	default:
		r.text(name, data, depth)
	}
	if kind != "zip" {
		r.behind(name, kind, data, depth)
	}
}

// picture says that what a picture shows was not looked at, unless it is this program's.
func (r *reader) picture(name string) {
	if !r.ours {
		r.unread(name, "what the picture shows")
	}
}

// closed are kinds of file that cannot be read, with why.
var closed = map[string]string{
	"zstd": "it is packed by zstd", "7z": "it is packed by 7z", "rar": "it is packed by rar", "lz4": "it is packed by lz4",
	"compress": "it is packed by compress", "office": "it is a document of an old office program", "SQLite": "it is a database",
	"cab": "it is a cabinet", "program": "it is a program", "font": "it is a font",
}

// kinds are what files begin with.
var kinds = []struct {
	kind  string
	at    int
	magic string
}{
	{"PNG", 0, "\x89PNG\r\n\x1a\n"},
	{"JPEG", 0, "\xff\xd8\xff"},
	{"GIF", 0, "GIF8"},
	{"WebP", 8, "WEBP"},
	{"TIFF", 0, "II*\x00"},
	{"TIFF", 0, "MM\x00*"},
	{"BMP", 6, "\x00\x00\x00\x00\x36\x00\x00\x00"},
	{"PDF", 0, "%PDF-"},
	{"zip", 0, "PK\x03\x04"},
	{"zip", 0, "PK\x05\x06"},
	{"gzip", 0, "\x1f\x8b\x08"},
	{"bzip2", 0, "BZh"},
	{"xz", 0, "\xfd7zXZ\x00"},
	{"tar", 257, "ustar"},
	{"zstd", 0, "\x28\xb5\x2f\xfd"},
	{"7z", 0, "7z\xbc\xaf\x27\x1c"},
	{"rar", 0, "Rar!\x1a\x07"},
	{"lz4", 0, "\x04\x22\x4d\x18"},
	{"compress", 0, "\x1f\x9d"},
	{"office", 0, "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"},
	{"SQLite", 0, "SQLite format 3\x00"},
	{"cab", 0, "MSCF"},
	{"program", 0, "\x7fELF"},
	{"font", 0, "\x00\x01\x00\x00\x00"},
	{"font", 0, "OTTO"},
	{"font", 0, "wOF"},
	{"boxes", 4, "ftyp"},
	{"boxes", 4, "moov"},
	{"boxes", 4, "mdat"},
	{"boxes", 4, "free"},
	{"boxes", 4, "wide"},
	{"matroska", 0, "\x1a\x45\xdf\xa3"},
	{"film", 8, "AVI "},
	{"sound", 8, "WAVE"},
	{"film", 0, "FLV\x01"},
	{"film", 0, "\x30\x26\xb2\x75\x8e\x66\xcf\x11"},
	{"film", 0, "\x00\x00\x01\xba"},
	{"film", 0, "\x00\x00\x01\xb3"},
	{"film", 0, "OggS"},
	{"sound", 0, "ID3"},
	{"sound", 0, "\xff\xfb"},
	{"sound", 0, "fLaC"},
	{"sound", 0, "#!AMR"},
}

// kindOf is what kind of file begins with head; empty where it is none of those known.
func kindOf(head []byte) string {
	for _, k := range kinds {
		if len(head) >= k.at+len(k.magic) && string(head[k.at:k.at+len(k.magic)]) == k.magic {
			return k.kind
		}
	}
	const packet = 188 // of an MPEG transport stream
	if len(head) > 2*packet && head[0] == 'G' && head[packet] == 'G' && head[2*packet] == 'G' {
		return "film"
	}
	return ""
}

// media reports whether a kind of file is film or sound.
func media(kind string) bool {
	return kind == "boxes" || kind == "matroska" || kind == "film" || kind == "sound"
}

// text reads data as text, in whatever letters it is written; of what is none it reads what
// looks like text.
func (r *reader) text(name string, data []byte, depth int) {
	text, ok := textOf(data)
	if !ok {
		r.strings(name, data)
		if depth == 0 || len(data) > headSize {
			r.unread(name, "it is of no kind that is known")
		}
		return
	}
	r.said(name, text, depth)
}

// said is text, with what is encoded in it.
func (r *reader) said(name, text string, depth int) {
	r.found(name)(text, false)
	if depth >= mostNested {
		return
	}
	seen := map[string]bool{}
	for _, way := range []string{text, unescape(text)} {
		for _, data := range encoded(way) {
			if !seen[string(data)] && r.take(name, int64(len(data))) {
				seen[string(data)] = true
				r.bytes(name, data, depth+1)
			}
		}
	}
}

// take counts n unpacked bytes against the bound. It is false, and says so in the report, where
// that is passed.
func (r *reader) take(name string, n int64) bool {
	if r.left < 0 {
		return false
	}
	if r.left -= n; r.left < 0 {
		r.unread(name, fmt.Sprintf("it unpacks to more than %d MB", mostUnpacked>>20))
		return false
	}
	return true
}

// textOf is data as text; false where it is none.
func textOf(data []byte) (string, bool) {
	if text, ok := wide(data); ok {
		return text, true
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	control := 0
	for _, c := range data {
		if c < ' ' && c != '\n' && c != '\r' && c != '\t' && c != '\f' && c != 0x1b {
			control++
		}
	}
	switch {
	case bytes.IndexByte(data, 0) >= 0 || control > len(data)/100:
		return "", false
	case utf8.Valid(data):
		return string(data), true
	default:
		text, err := charmap.Windows1252.NewDecoder().Bytes(data)
		return string(text), err == nil
	}
}

// wide is data as text of UTF-16 or UTF-32, with a byte order mark or without; false where
// it is none.
func wide(data []byte) (string, bool) {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xfe\x00\x00")):
		return utf32(data[4:], false), true
	case bytes.HasPrefix(data, []byte("\x00\x00\xfe\xff")):
		return utf32(data[4:], true), true
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		return utf16Of(data[2:], false), true
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		return utf16Of(data[2:], true), true
	}
	var nought [2]int // in even and odd places
	for i, c := range data {
		if c == 0 {
			nought[i%2]++
		}
	}
	half := len(data) / 2
	switch {
	case len(data) < 4:
		return "", false
	case nought[1]*10 > half*6 && nought[0]*20 < half:
		return utf16Of(data, false), true
	case nought[0]*10 > half*6 && nought[1]*20 < half:
		return utf16Of(data, true), true
	}
	return "", false
}

func utf16Of(data []byte, big bool) string {
	units := make([]uint16, len(data)/2)
	for i := range units {
		a, b := uint16(data[2*i]), uint16(data[2*i+1])
		if big {
			a, b = b, a
		}
		units[i] = a | b<<8
	}
	return string(utf16.Decode(units))
}

func utf32(data []byte, big bool) string {
	var b strings.Builder
	for ; len(data) >= 4; data = data[4:] {
		if big {
			b.WriteRune(rune(data[0])<<24 | rune(data[1])<<16 | rune(data[2])<<8 | rune(data[3]))
		} else {
			b.WriteRune(rune(data[3])<<24 | rune(data[2])<<16 | rune(data[1])<<8 | rune(data[0]))
		}
	}
	return b.String()
}

// mostWide bounds what is read as UTF-16 at every place, in bytes.
const mostWide = 16 << 20

// strings reads what looks like text in data that is none: in UTF-8, and in UTF-16 from any
// place on.
func (r *reader) strings(name string, data []byte) {
	for part := data; len(part) > 0; {
		n := min(len(part), mostWide)
		r.found(name)(spaced(string(part[:n])), true)
		r.found(name)(spaced(latin(part[:n])), true)
		if bytes.Contains(part[:n], []byte{0}) {
			for _, big := range []bool{false, true} {
				for from := range 2 {
					r.found(name)(spaced(utf16Of(part[min(from, n):n], big)), true)
				}
			}
		}
		if n == len(part) {
			return
		}
		part = part[n-headSize:] // no name falls between two parts
	}
}

func latin(data []byte) string {
	text, err := charmap.Windows1252.NewDecoder().Bytes(data)
	if err != nil {
		return ""
	}
	return string(text)
}

// spaced is text with a space for each letter that is none.
func spaced(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == utf8.RuneError || r == 0x7f {
			return ' '
		}
		return r
	}, text)
}

func within(name, part string) string { return name + ": " + filepath.ToSlash(part) }
