package plan

import "slices"

// X264 encodes every reel for which no other encoder is asked: it is everywhere, and gives
// the same bytes for the same input.
const X264 = "libx264"

// AutoEncoder asks for the first of Hardware that was proved on this machine, else X264. No
// segment is encoded by it.
const AutoEncoder = "auto"

// Hardware is the encoders of graphics hardware that may be asked for, in ffmpeg's names,
// the quickest first (common practice; there was none to measure). All make H.264.
var Hardware = []string{"h264_nvenc", "h264_qsv", "h264_videotoolbox", "h264_vaapi"}

// Encoders lists the names that [ParseEncoder] takes.
func Encoders() []string { return slices.Concat([]string{X264, AutoEncoder}, Hardware) }

// ParseEncoder reads the name of an encoder that may be asked for.
func ParseEncoder(s string) (string, error) { return oneOf("encoder", Encoders()...)(s) }

// With is another encoder at e's number for quality. What hardware makes of it is its own
// affair: its numbers are of one scale, 0 to 51, but not of one meaning. It has no presets
// of these names and passes e's by.
func (e Encoder) With(codec string) Encoder {
	e.Codec = codec
	return e
}
