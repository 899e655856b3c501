package ffmpeg

// opusEnd is what ffmpeg 8.0 says at the end of each stream of Opus in Matroska: what takes packets
// apart is handed one more there, which is empty. It says the same of a damaged packet.
const opusEnd = "Error parsing Opus packet header"

// unparsed has packets go to the decoder as the film holds them. The decoder then says itself which
// are damaged, and nothing at the end.
const unparsed = "+noparse"

// OpusEnd reports whether err is a complaint that says nothing but what ffmpeg 8.0 says at the end of
// Opus. It may be of damage: sound that is read again without being taken apart tells.
func OpusEnd(err error) bool { return onlyComplains(err, opusEnd) }
