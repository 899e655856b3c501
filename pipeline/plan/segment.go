// Package plan decides what a reel is made of and holds the decision as pure data: it
// draws nothing, runs nothing and reads no file.
package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"trenchcut/tags"
)

// House is the size and the rate every segment of a reel is made at.
type House struct {
	Width  int       `json:"width"`
	Height int       `json:"height"`
	Rate   tags.Rate `json:"rate"`
}

// Source is what a renderer must know of a film file to cut the right frames from it.
// It holds no path: the fingerprint names the file wherever it lies.
type Source struct {
	Fingerprint string `json:"fingerprint"`
	// Rate numbers the frames. Film of variable rate is read as if sampled at Rate:
	// frame n is the last one shown at First + n/Rate or before.
	Rate     tags.Rate `json:"rate"`
	Variable bool      `json:"variable"`
	// Gaps says that pictures are missing here and there from film of constant rate: the
	// picture before stands for them.
	Gaps bool `json:"gaps,omitempty"`
	// Loose says that ffmpeg must not correct the film's times: those of MPEG streams, which
	// it moves where a picture has none, and where a stream is not asked for that starts
	// first. Zero is when the container starts on its own clock.
	Loose  bool       `json:"loose,omitempty"`
	Zero   tags.Time  `json:"zero,omitempty"`
	Ticks  tags.Rate  `json:"ticks"`  // the file's own count of time, ticks a second
	First  tags.Time  `json:"first"`  // when frame 0 is shown, from the container's start
	Frames tags.Frame `json:"frames"` // how many the film holds
	// Lost is how many pictures are stored that are shown before frame 0 and cannot be
	// decoded, since the recording begins amid a group of pictures.
	Lost  tags.Frame `json:"lost,omitempty"`
	Start tags.Frame `json:"start"` // start timecode, as frames from 00:00:00:00
	// Counting is how the start timecode counts; empty where the film states none.
	Counting tags.Counting `json:"counting,omitempty"`
	Width    int           `json:"width"` // as shown: turned upright, pixels made square
	Height   int           `json:"height"`
	Video    int           `json:"video"` // index of the stream among the file's streams
	Audio    int           `json:"audio"` // likewise; -1 where there is no sound
	// Preroll is how much film before a cut must be decoded for its first frame to be right.
	Preroll    tags.Time `json:"preroll"`
	Interlaced bool      `json:"interlaced"`
	Colour     Colour    `json:"colour"`
}

// Colour is how a film's numbers mean light, in ffmpeg's names; empty is unknown.
type Colour struct {
	Matrix   string `json:"matrix"`
	Range    string `json:"range"`
	Transfer string `json:"transfer"`
}

// HDR reports whether the film is of high dynamic range: its transfer is that of SMPTE ST
// 2084 (PQ) or of ARIB STD-B67 (HLG).
func (c Colour) HDR() bool { return c.Transfer == "smpte2084" || c.Transfer == "arib-std-b67" }

// Extents is what tags are held to, of each of films.
func Extents(films map[string]Source) map[string]tags.Extent {
	extents := make(map[string]tags.Extent, len(films))
	for file, s := range films {
		extents[file] = tags.Extent{Clock: s.Clock(), Frames: s.Frames}
	}
	return extents
}

// Clock is s's own time, for resolving what tags say of it.
func (s Source) Clock() tags.Clock {
	return tags.Clock{Rate: s.Rate, First: s.First, Start: s.Start, Counting: s.Counting}
}

// Fit places the film's picture in the house picture: scaled to Width by Height, its top
// left corner at X, Y, black around it.
type Fit struct {
	X      int `json:"x"`
	Y      int `json:"y"`
	Width  int `json:"width"`
	Height int `json:"height"`
}

// Letterbox fits a picture of w by h into house, whole and centred. Sides are even,
// because 4:2:0 colour has one sample for two pixels.
func Letterbox(w, h int, house House) Fit {
	width, height := house.Width, house.Height
	if w*house.Height > house.Width*h {
		height = even(h * house.Width / w)
	} else {
		width = even(w * house.Height / h)
	}
	return Fit{even((house.Width - width) / 2), even((house.Height - height) / 2), width, height}
}

func even(n int) int { return max(n/2*2, 0) }

// Kind tells what a segment is made from.
type Kind string

// The kinds of segment.
const (
	Film  Kind = "film"
	Slate Kind = "slate"
)

// Segment is one slate, or one stretch of film on one angle at one speed, with everything
// that decides its pixels and its sound. It knows no rep and nothing of its place in a
// reel, so any reel by the same recipe can use it again.
type Segment struct {
	Kind  Kind  `json:"kind"`
	House House `json:"house"`

	Source *Source   `json:"source,omitempty"` // Film
	Span   tags.Span `json:"span"`             // Film: frames of the source
	Fit    Fit       `json:"fit"`              // Film
	Speed  Speed     `json:"speed"`            // Film
	// Pan is which part of the film's picture fills Fit; nil is the whole of it.
	Pan *Pan `json:"pan,omitempty"`
	// Below is film on a second angle, shown below the first in step with it, at its speed
	// and without its sound.
	Below *Below `json:"below,omitempty"`

	Card    *Card  `json:"card,omitempty"`    // Slate
	Picture string `json:"picture,omitempty"` // Slate: SHA-256 of a picture that stands for a card, as Fit places it

	// Still is a frame of film that stands on a slate with a Card; nil is none.
	Still *Still `json:"still,omitempty"`

	// Hold is for how many frames of the house rate a slate stands, or film whose span is
	// one frame; 0 is as long as the film lasts.
	Hold tags.Frame `json:"hold,omitempty"`

	// Damaged says that the film is damaged there, and is shown as it decodes: the picture
	// before stands for one that does not.
	Damaged bool `json:"damaged,omitempty"`

	Layers  []Layer `json:"layers,omitempty"`
	Look    Look    `json:"look"`
	Encoder Encoder `json:"encoder"`
}

// Below is the second of two films that are shown in step.
type Below struct {
	Source *Source   `json:"source"`
	Span   tags.Span `json:"span"`
	// Into is how much of the span's first frame has passed when the segment starts, since
	// frames of two rates do not start together: less than the frame lasts.
	Into tags.Time `json:"into,omitempty"`
	Fit  Fit       `json:"fit"`
}

// Still is one frame of film, to stand beside the text of a slate.
type Still struct {
	Source *Source    `json:"source"`
	Frame  tags.Frame `json:"frame"`
	At     tags.Point `json:"at"` // where in it to look, 0 to 1 of the film's picture
}

// Films is the films that a segment shows, each once.
func (s Segment) Films() []*Source {
	var films []*Source
	if s.Source != nil {
		films = append(films, s.Source)
	}
	if s.Still != nil {
		films = append(films, s.Still.Source)
	}
	if s.Below != nil && s.Below.Source.Fingerprint != films[0].Fingerprint {
		films = append(films, s.Below.Source)
	}
	return films
}

// Card is what a slate says.
type Card struct {
	Whose  string   `json:"whose,omitempty"` // whose reel it is, above the title
	Title  string   `json:"title"`
	Lines  []string `json:"lines,omitempty"`
	Shares []Share  `json:"shares,omitempty"`
	Small  []string `json:"small,omitempty"` // games and dates: set small at the foot
	// Caution stands below all else and is never left out.
	Caution string `json:"caution,omitempty"`
}

// Share is one line of numbers: K of N, with a bar from Low to High where there are
// enough to speak of a rate.
type Share struct {
	// Unknown is the reps not known of a rate of which no more than bounds can be told.
	Unknown int `json:"unknown,omitempty"`

	Name string  `json:"name"`
	K    int     `json:"k"`
	N    int     `json:"n"`
	Low  float64 `json:"low"` // 95 % interval, 0 to 1
	High float64 `json:"high"`
	Bar  bool    `json:"bar"`
}

// Readable as a look's ink or quiet is white or black, whichever is easier to read on the ground.
const Readable = "readable"

// Look is how labels and slates are drawn. Colours are #rrggbb; sizes are thousandths
// of the picture's shorter side.
type Look struct {
	Ink    string `json:"ink"`    // text
	Quiet  string `json:"quiet"`  // text of less weight
	Ground string `json:"ground"` // slates, and the strip behind labels
	Accent string `json:"accent"` // rules and bars
	Lead   int    `json:"lead"`   // type size of a label's first line
	Line   int    `json:"line"`   // of its other lines, and of a slate's text
	Title  int    `json:"title"`  // of a slate's title
	Small  int    `json:"small"`  // of a slate's foot
	Figure int    `json:"figure"` // of a slate's first number
}

// Encoder is how a segment's picture is encoded.
type Encoder struct {
	Codec  string `json:"codec"`
	Preset string `json:"preset"`
	CRF    int    `json:"crf"`
}

// Frames is how many frames of the house rate s lasts: each tick of the house rate
// within the span shows the source frame that is on at that tick.
func (s Segment) Frames() tags.Frame {
	switch {
	case s.Kind == Slate || s.Hold > 0:
		return s.Hold
	case s.Source.Rate == s.House.Rate && s.Speed.Normal():
		return s.Span.Len()
	default:
		return s.House.Rate.Ceil(s.Speed.Shown(s.Source.Rate.Duration(s.Span.Len())))
	}
}

// SampleRate is of all sound in segments and reels, a second.
const SampleRate = 48_000

// Samples is how many samples of sound s carries: enough for its frames whichever way
// the reel's running count rounds.
func (s Segment) Samples() int64 { return SamplesAt(s.House.Rate, s.Frames()) + 1 }

// SamplesAt is how many whole samples have passed when frame n starts.
func SamplesAt(r tags.Rate, n tags.Frame) int64 {
	return int64(n) * r.Den * SampleRate / r.Num
}

// Key names a segment's rendering by everything that decides it.
type Key string

// Versions that are part of every key.
const (
	formatVersion = 3
	// DrawVersion counts up whenever package draw draws the same description differently.
	DrawVersion = 6
)

// Key is the SHA-256 of the segment and of the toolchain that renders it. JSON of
// structs writes fields in one order and quotes every string, so no two segments share
// their bytes.
func (s Segment) Key(toolchain string) (Key, error) {
	data, err := json.Marshal(struct {
		Format, Draw int
		Toolchain    string
		Segment      Segment
	}{formatVersion, DrawVersion, toolchain, s})
	if err != nil {
		return "", fmt.Errorf("key of a segment: %w", err)
	}
	sum := sha256.Sum256(data)
	return Key(hex.EncodeToString(sum[:])), nil
}
