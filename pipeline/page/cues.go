package page

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"
	"unicode/utf8"

	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

// cue is one entry of a WebVTT file (W3C WebVTT, section 4.1).
type cue struct {
	in, out  tags.Time // of the reel
	id       string
	text     string
	settings string
}

// vttMark says whose file it is, so that it may be replaced.
const vttMark = "NOTE " + mark

// Chapters is the reel's chapters as WebVTT.
func (p *Page) Chapters() []byte { return vtt(p.chapters, 0, "no chapter") }

// Captions is the points to teach as WebVTT: while the picture stands for one, or from
// when the outcome is told to the end of the clip, and on until it can have been read.
func (p *Page) Captions() []byte { return vtt(p.captions, captionWidth, "no point to teach is tagged") }

// HasCaptions reports whether any point is to be read.
func (p *Page) HasCaptions() bool { return len(p.captions) > 0 }

// vtt is cues as a file, their lines folded to width letters where that is not 0.
func vtt(cues []cue, width int, none string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "WEBVTT\n\n%s\n", vttMark)
	if len(cues) == 0 {
		fmt.Fprintf(&b, "\nNOTE %s\n", none)
	}
	for _, c := range cues {
		b.WriteByte('\n')
		if id := cueLine(c.id); id != "" {
			b.WriteString(id + "\n")
		}
		b.WriteString(exchange.CueTime(c.in) + " --> " + exchange.CueTime(c.out))
		if c.settings != "" {
			b.WriteString(" " + c.settings)
		}
		b.WriteByte('\n')
		for line := range strings.SplitSeq(c.text, "\n") {
			for _, part := range folded(plain(line), width) {
				b.WriteString(cueLine(part) + "\n")
			}
		}
	}
	return []byte(b.String())
}

// captionWidth is how many letters a line of a caption has at most, so that it stands
// beside the rush clock on any player: 37 and its like are common practice for subtitles.
const captionWidth = 37

// folded is text in lines of width letters at most, broken between words; 0 is one line.
func folded(text string, width int) []string {
	var lines []string
	for word := range strings.FieldsSeq(text) {
		n := len(lines) - 1
		if n >= 0 && (width == 0 || utf8.RuneCountInString(lines[n])+1+utf8.RuneCountInString(word) <= width) {
			lines[n] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
}

// cueLine is a line with no mark-up in it, and so without the arrow that would start a cue.
func cueLine(text string) string {
	return exchange.CueText(plain(text))
}

// Track is captions inside the page: a page opened from a stick may read no other file.
func (p *Page) Track() template.URL {
	return template.URL("data:text/vtt;charset=utf-8;base64," + base64.StdEncoding.EncodeToString(p.Captions()))
}
