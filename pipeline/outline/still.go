package outline

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"image"
	"io"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/film"
)

// stillVersion counts up when the picture of a shot is made otherwise.
const stillVersion = 1

// still is the picture of s for the contact sheet: from the cache where an outline of the same
// film was made before, so that a second one, with pins, reads no film.
func (s *Shot) still(ctx context.Context, library *film.Library) (image.Image, error) {
	frame := s.formation()
	kind := fmt.Sprintf("%d-%d.still", stillVersion, frame)
	m := image.NewYCbCr(image.Rect(0, 0, draw.ThumbWidth, draw.ThumbHeight), image.YCbCrSubsampleRatio420)
	planes := [][]byte{m.Y, m.Cb, m.Cr}
	if data, ok := library.Kept(s.Source, kind); ok && unpack(data, planes) {
		return m, nil
	}
	m, err := library.Still(ctx, s.File, frame, draw.ThumbWidth, draw.ThumbHeight)
	if err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	for _, plane := range [][]byte{m.Y, m.Cb, m.Cr} {
		_, _ = z.Write(plane) // a buffer takes everything
	}
	if err := z.Close(); err == nil {
		library.Keep(s.Source, kind, packed.Bytes())
	}
	return m, nil
}

// unpack fills planes with what was packed, and reports whether it was just that.
func unpack(data []byte, planes [][]byte) bool {
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return false
	}
	for _, plane := range planes {
		if _, err := io.ReadFull(z, plane); err != nil {
			return false
		}
	}
	rest, err := io.Copy(io.Discard, z) // the checksum comes last
	return err == nil && rest == 0
}
