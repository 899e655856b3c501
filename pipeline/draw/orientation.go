package draw

import (
	"bytes"
	"encoding/binary"
	"image"
)

// orientation is how a camera says that its JPEG is turned: 1 to 8, tag 0x0112 of the first
// directory (Exif 2.3, 4.6.4, table 4; from memory). 1, upright, where it does not say.
func orientation(data []byte) int {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker, size := data[at+1], int(binary.BigEndian.Uint16(data[at+2:]))
		if size < 2 || at+2+size > len(data) || marker == 0xda { // the picture itself begins
			return 1
		}
		if body, ok := bytes.CutPrefix(data[at+4:at+2+size], []byte("Exif\x00\x00")); ok && marker == 0xe1 {
			return orientationOf(body)
		}
		at += 2 + size
	}
	return 1
}

// orientationOf reads it from a TIFF header and the directory that it points to.
func orientationOf(tiff []byte) int {
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	const entry = 12
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return 1
	}
	directory := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(directory) < entry {
			return 1
		}
		if order.Uint16(directory) == 0x0112 {
			if n := int(order.Uint16(directory[8:])); n >= 1 && n <= 8 {
				return n
			}
			return 1
		}
		directory = directory[entry:]
	}
	return 1
}

// turnedUpright is m turned and mirrored as the orientation says.
func turnedUpright(m image.Image, orientation int) image.Image {
	if orientation == 1 {
		return m
	}
	b := m.Bounds()
	w, h := b.Dx(), b.Dy()
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			// Where in m the pixel lies: the first row and column of m are, by number, the
			// top and left, top and right, bottom and right, bottom and left, left and top,
			// right and top, right and bottom, left and bottom.
			from := [...]image.Point{
				{x, y},
				{w - 1 - x, y},
				{w - 1 - x, h - 1 - y},
				{x, h - 1 - y},
				{y, x},
				{y, h - 1 - x},
				{w - 1 - y, h - 1 - x},
				{w - 1 - y, x},
			}[orientation-1]
			out.Set(x, y, m.At(b.Min.X+from.X, b.Min.Y+from.Y))
		}
	}
	return out
}
