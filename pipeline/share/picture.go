package share

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
)

const pngSignature = 8

// png reads all chunks of a PNG (ISO/IEC 15948, 5.3) that are no picture, and what lies
// behind the last.
func (r *reader) png(name string, data []byte, depth int) {
	rest := data[pngSignature:]
	for len(rest) >= 12 {
		n := int64(binary.BigEndian.Uint32(rest))
		kind := string(rest[4:8])
		if n+12 > int64(len(rest)) {
			r.strings(name, rest)
			r.unread(name, "the picture is damaged")
			return
		}
		chunk := rest[8 : 8+n]
		rest = rest[12+n:]
		switch kind {
		case "IHDR", "IDAT", "fdAT", "PLTE", "tRNS":
		case "zTXt", "iTXt", "iCCP":
			r.bytes(name, bytes.ReplaceAll(chunk, []byte{0}, []byte{'\n'}), depth+1)
			r.deflated(name, chunk, depth)
		case "tEXt":
			r.bytes(name, bytes.ReplaceAll(chunk, []byte{0}, []byte{'\n'}), depth+1)
		default:
			r.strings(name, chunk)
			r.deflated(name, chunk, depth)
		}
		if kind == "IEND" {
			break
		}
	}
	if len(rest) > 0 {
		r.bytes(within(name, "behind the picture"), rest, depth+1)
	}
	r.picture(name)
}

// deflated reads what zlib packed within a chunk, wherever it begins.
func (r *reader) deflated(name string, chunk []byte, depth int) {
	for i := range chunk {
		if chunk[i] != 0x78 { // zlib's first byte, with the window that all writers use
			continue
		}
		z, err := zlib.NewReader(bytes.NewReader(chunk[i:]))
		if err != nil {
			continue
		}
		if out, err := r.unpack(name, z); err == nil || len(out) > 0 {
			r.bytes(name, out, depth+1)
			return
		}
	}
}

// jpeg reads all segments of a JPEG (ITU-T T.81, B.1.1) that are no picture, and what lies
// behind its end.
func (r *reader) jpeg(name string, data []byte, depth int) {
	at := 2
	for at+4 <= len(data) && data[at] == 0xff {
		marker := data[at+1]
		if marker == 0xff {
			at++
			continue
		}
		n := int(binary.BigEndian.Uint16(data[at+2:]))
		end := min(at+2+n, len(data))
		if end <= at+4 {
			break
		}
		if marker >= 0xe0 || marker == 0xfe { // an application's, or a comment
			r.bytes(name, data[at+4:end], depth+1)
			r.strings(name, data[at+4:end])
		}
		at = end
		if marker == 0xda { // the picture follows
			if i := bytes.Index(data[at:], []byte{0xff, 0xd9}); i >= 0 && at+i+2 < len(data) {
				r.bytes(within(name, "behind the picture"), data[at+i+2:], depth+1)
			}
			break
		}
	}
	r.picture(name)
}
