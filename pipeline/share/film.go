package share

import (
	"encoding/binary"
	"fmt"
	"io"
	"math/bits"
	"strings"
	"unicode/utf8"
)

// mostTable bounds a part of a film's tables that is read at once, in bytes.
const mostTable = 64 << 20

// film reads all of a film that is neither picture nor sound, whatever it is there for.
func (r *reader) film(name, kind string, f io.ReaderAt, size int64) {
	switch kind {
	case "boxes":
		r.boxes(name, f, size)
	case "matroska":
		r.elements(name, f, 0, size, 0)
	default:
		r.section(name, f, 0, min(size, 1<<20))
		r.section(name, f, max(size-1<<20, 0), min(size, 1<<20))
	}
	if !r.ours {
		r.unread(name, "what the film shows and sounds like")
	}
}

// section reads a part of a film's tables.
func (r *reader) section(name string, f io.ReaderAt, at, n int64) {
	if n > mostTable {
		r.unread(name, fmt.Sprintf("a part of its tables, which is larger than %d MB", mostTable>>20))
		n = mostTable
	}
	data := make([]byte, n)
	got, err := f.ReadAt(data, at)
	if err != nil && got < len(data) {
		r.unread(name, "it is cut short")
	}
	r.strings(name, data[:got])
	r.behind(name, "boxes", data[:got], 1)
}

// boxes reads every box of an MP4 or MOV (ISO/IEC 14496-12, 4.2) but the one that holds
// picture and sound; all within a box is read with it.
func (r *reader) boxes(name string, f io.ReaderAt, size int64) {
	for at := int64(0); at < size; {
		var head [16]byte
		got, _ := f.ReadAt(head[:], at)
		if got < 8 {
			r.section(name, f, at, size-at)
			return
		}
		n, kind := int64(binary.BigEndian.Uint32(head[:])), string(head[4:8])
		switch {
		case n == 0:
			n = size - at
		case n == 1 && got == 16:
			n = int64(binary.BigEndian.Uint64(head[8:]))
		}
		if n < 8 || n > size-at {
			r.bytesAt(name, f, at, size-at)
			if kind != "mdat" {
				r.unread(name, "its tables are damaged, or something lies behind them")
			}
			return
		}
		if kind != "mdat" {
			r.section(name, f, at, n)
		}
		at += n
	}
}

// bytesAt reads what lies behind a film as a file of its own; what is more film, or a part
// of its own that is damaged, only for what looks like text.
func (r *reader) bytesAt(name string, f io.ReaderAt, at, n int64) {
	data := make([]byte, min(n, mostTable))
	got, _ := f.ReadAt(data, at)
	data = data[:got]
	if kind := kindOf(data); media(kind) {
		r.strings(name, data)
		r.behind(name, kind, data, 1)
		return
	}
	r.bytes(within(name, "behind the film"), data, 1)
}

// The elements of a Matroska file that are gone into, and those that hold pictures and sound
// (RFC 9559).
const (
	segmentElement     = 0x18538067
	clusterElement     = 0x1F43B675
	attachmentsElement = 0x1941A469
	attachedElement    = 0x61A7
	attachedData       = 0x465C
	simpleBlock        = 0xA3
	blockGroup         = 0xA0
	encryptedBlock     = 0xAF
)

// elements reads the elements of a Matroska file from at to end.
func (r *reader) elements(name string, f io.ReaderAt, at, end int64, depth int) {
	for at < end {
		var head [12]byte
		got, _ := f.ReadAt(head[:], at)
		id, idSize := variable(head[:got], true)
		n, nSize := variable(head[min(idSize, got):got], false)
		body := at + int64(idSize+nSize)
		if idSize == 0 || nSize == 0 || idSize > 4 || depth > 4 {
			r.bytesAt(name, f, at, end-at)
			r.unread(name, "its tables are damaged, or something lies behind them")
			return
		}
		if unknown := n == 1<<(7*nSize)-1; unknown || n > end-body {
			if !unknown {
				r.unread(name, "it is cut short")
			}
			n = end - body
		}
		switch id {
		case segmentElement, clusterElement, attachmentsElement, attachedElement:
			r.elements(name, f, body, body+n, depth+1)
		case attachedData:
			data := make([]byte, min(n, mostTable))
			got, _ := f.ReadAt(data, body)
			r.bytes(within(name, "an attachment"), data[:got], 1)
		case simpleBlock, blockGroup, encryptedBlock:
		default:
			r.section(name, f, at, body+n-at)
		}
		at = body + n
	}
}

// variable is a number as Matroska writes it (RFC 8794, 4), with the mark of its length or
// without, and how many bytes it takes; 0 where it is none.
func variable(data []byte, marked bool) (value int64, size int) {
	if len(data) == 0 || data[0] == 0 {
		return 0, 0
	}
	size = bits.LeadingZeros8(data[0]) + 1
	if size > len(data) {
		return 0, 0
	}
	value = int64(data[0])
	if !marked {
		value &= 1<<(8-size) - 1
	}
	for _, c := range data[1:size] {
		value = value<<8 | int64(c)
	}
	return value, size
}

// tables reads what a film says of itself as ffmpeg reads it: titles, chapters, and the
// tracks that hold text or data.
func (r *reader) tables(path string) {
	words, err := r.tool.Words(r.ctx, path)
	if err != nil {
		r.unread(path, "ffmpeg cannot read the film")
		return
	}
	r.said(path, words.Said, 1)
	unread := false
	for _, t := range words.Tracks {
		data, err := r.tool.Track(r.ctx, path, t)
		if r.ctx.Err() != nil {
			return // which Check reports
		}
		if err != nil {
			unread = true
			continue
		}
		if text, ok := textSamples(data); ok {
			data = []byte(text)
		}
		r.bytes(path, data, 1)
	}
	if unread && !r.ours {
		r.unread(path, "a track that is neither picture, sound nor text")
	}
}

// textSamples is the text of a track of text samples, such as that of chapters, a line a
// sample; false where data is none. A sample is the length of its text in two bytes, the
// text, and boxes about it (3GPP TS 26.245, 5.17).
func textSamples(data []byte) (string, bool) {
	const box, mostBox = 8, 1 << 10
	var lines []string
	for len(data) >= 2 {
		n := int(binary.BigEndian.Uint16(data))
		if len(data) < 2+n || !utf8.Valid(data[2:2+n]) {
			return "", false
		}
		lines = append(lines, string(data[2:2+n]))
		data = data[2+n:]
		for len(data) >= box && data[0] == 0 && data[1] == 0 { // a text is shorter than a box is here
			size := int(binary.BigEndian.Uint32(data))
			if size < box || size > mostBox || size > len(data) {
				break
			}
			data = data[size:]
		}
	}
	return strings.Join(lines, "\n"), len(data) == 0 && len(lines) > 0
}
