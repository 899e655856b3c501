package draw

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
)

// chartMark is what a chart's file says of who drew it.
const chartMark = "trenchcut chart"

// svgMark stands on a line of its own behind the description.
const svgMark = "<metadata>" + chartMark + "</metadata>\n"

// pngHead is a PNG's signature and its first chunk, IHDR: PNG (ISO/IEC 15948) 5.2, 11.2.2.
const pngHead = 8 + 12 + 13

// pngMark is a chunk of text under the keyword for what made a picture: PNG 11.3.4.
func pngMark(madeBy string) []byte {
	chunk := append([]byte("tEXtSoftware\x00"), madeBy...)
	out := binary.BigEndian.AppendUint32(nil, uint32(len(chunk)-4))
	return binary.BigEndian.AppendUint32(append(out, chunk...), crc32.ChecksumIEEE(chunk))
}

// MarkPNG is a PNG that says what made it.
func MarkPNG(data []byte, madeBy string) ([]byte, error) {
	if len(data) <= pngHead || !bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")) {
		return nil, errors.New("mark a picture: it is no PNG")
	}
	return bytes.Join([][]byte{data[:pngHead], pngMark(madeBy), data[pngHead:]}, nil), nil
}

// IsMarkedPNG reports whether a file's content is a PNG that [MarkPNG] marked so.
func IsMarkedPNG(data []byte, madeBy string) bool {
	return len(data) > pngHead && bytes.HasPrefix(data[pngHead:], pngMark(madeBy))
}
