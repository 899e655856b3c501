package share

import (
	"encoding/base64"
	"html"
	"io"
	"mime/quotedprintable"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// mostEscapes is how many escapes within escapes are undone.
const mostEscapes = 4

// readings is a text in each way that it may be meant: as it stands, with its escapes
// undone, without its tags, and turned round where it is shown so.
func readings(text string) []string {
	list := []string{text}
	add := func(way string) {
		if slices.Contains(list, way) {
			return
		}
		list = append(list, way)
	}
	plain := text
	for range mostEscapes {
		undone := unescape(plain)
		if undone == plain {
			break
		}
		plain = undone
		add(plain)
	}
	for _, way := range []string{text, plain} {
		if strings.Contains(way, "<") {
			add(markup.ReplaceAllString(way, ""))
			add(html.UnescapeString(markup.ReplaceAllString(way, " ")))
		}
	}
	if strings.ContainsAny(plain, turnedAbout) {
		add(turned(plain))
	}
	if strings.Contains(text, "=") {
		if way, err := io.ReadAll(quotedprintable.NewReader(strings.NewReader(text))); err == nil {
			add(string(way))
		}
	}
	return list
}

var (
	markup  = regexp.MustCompile(`<!--|-->|<[^<>]*>`)
	percent = regexp.MustCompile(`(?:%[0-9A-Fa-f]{2})+`)
	// An escape of a letter: \u0049, \u{49}, \x49, \U00000049, \111.
	escape = regexp.MustCompile(`\\(?:u\{[0-9A-Fa-f]{1,6}\}|u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|x[0-9A-Fa-f]{2}|[0-7]{3}|[nrtfv0])`)
)

// unescape undoes one layer of escapes.
func unescape(text string) string {
	if strings.Contains(text, "&") {
		text = html.UnescapeString(text)
	}
	if strings.Contains(text, "%") {
		text = percent.ReplaceAllStringFunc(text, func(run string) string {
			data := make([]byte, 0, len(run)/3)
			for ; run != ""; run = run[3:] {
				n, _ := strconv.ParseUint(run[1:3], 16, 8) // two digits, as they were found
				data = append(data, byte(n))
			}
			return strings.ToValidUTF8(string(data), "\ufffd")
		})
	}
	if strings.Contains(text, `\`) {
		var high rune
		text = escape.ReplaceAllStringFunc(text, func(e string) string {
			digits := strings.Trim(e[1:], "uUx{}")
			base := 16
			if e[1] >= '0' && e[1] <= '7' && len(e) == 4 {
				base = 8
			}
			n, err := strconv.ParseUint(digits, base, 32)
			if err != nil {
				return "\n" // of an end of line, a tab
			}
			switch r := rune(n); {
			case utf16.IsSurrogate(r) && high != 0:
				r, high = utf16.DecodeRune(high, r), 0
				return string(r)
			case utf16.IsSurrogate(r):
				high = r
				return ""
			default:
				return string(r)
			}
		})
	}
	return text
}

// turnedAbout are the marks that show what follows from right to left, to the mark that
// ends it.
const turnedAbout = "\u202e\u2067"

// turned is a text with what is shown from right to left written that way.
func turned(text string) string {
	var out, run []rune
	within := false
	end := func() {
		for i := len(run) - 1; i >= 0; i-- {
			out = append(out, run[i])
		}
		run, within = nil, false
	}
	for _, r := range text {
		switch {
		case strings.ContainsRune(turnedAbout, r):
			end()
			within = true
		case r == '\u202c' || r == '\u2069' || r == '\n':
			end()
			out = append(out, r)
		case within:
			run = append(run, r)
		default:
			out = append(out, r)
		}
	}
	end()
	return string(out)
}

// base64Run is what may be base64, over several lines as mail breaks it.
var base64Run = regexp.MustCompile(`[A-Za-z0-9+/_-]{8,}(?:\r?\n[ \t]*[A-Za-z0-9+/_-]{4,})*={0,2}`)

// mostRun bounds a run of base64, in bytes.
const mostRun = 64 << 20

// encoded is what the runs of base64 in a text hold, as far as it looks like anything.
func encoded(text string) [][]byte {
	var list [][]byte
	for _, run := range base64Run.FindAllString(text, -1) {
		if len(run) > mostRun {
			continue
		}
		tries := append(strings.FieldsFunc(run, func(r rune) bool { return r == '/' || r == '\n' || r == '\r' }), run)
		for _, try := range tries {
			try = strings.NewReplacer("\r", "", "\n", "", " ", "", "\t", "", "=", "", "-", "+", "_", "/").Replace(try)
			data, err := base64.RawStdEncoding.DecodeString(try[:len(try)-btoi(len(try)%4 == 1)])
			if err == nil && len(data) >= 4 && (kindOf(data) != "" || looksLikeText(data)) {
				list = append(list, data)
			}
		}
	}
	return list
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// looksLikeText reports whether data is letters, in UTF-8 or, every other byte nought, in
// UTF-16.
func looksLikeText(data []byte) bool {
	if _, ok := wide(data); ok {
		return true
	}
	return utf8.Valid(data) && !strings.ContainsFunc(string(data), func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' || r == 0x7f })
}
