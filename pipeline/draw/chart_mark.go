package draw

import (
	"encoding/binary"
	"hash/crc32"
)

// chartMark is what a chart's file says of who drew it.
const chartMark = "trenchcut chart"

// svgMark stands on a line of its own behind the description.
const svgMark = "<metadata>" + chartMark + "</metadata>\n"

// pngHead is a PNG's signature and its first chunk, IHDR: PNG (ISO/IEC 15948) 5.2, 11.2.2.
const pngHead = 8 + 12 + 13

// pngMark is a chunk of text under the keyword for what made a picture: PNG 11.3.4.
var pngMark = func() []byte {
	chunk := append([]byte("tEXtSoftware\x00"), chartMark...)
	out := binary.BigEndian.AppendUint32(nil, uint32(len(chunk)-4))
	return binary.BigEndian.AppendUint32(append(out, chunk...), crc32.ChecksumIEEE(chunk))
}()
