package ffmpeg

import (
	"fmt"
	"image/png"
	"os"
	"strings"
	"unicode"
	"unicode/utf8"

	"trenchcut/pipeline/plan"
)

// ByHand is a command line that renders s once more and keeps nothing. The pictures that
// were drawn for it, in slots, will be gone by then: blank ones of their size stand for
// them.
func ByHand(s plan.Segment, slots Slots) (string, error) {
	g := newGraph(s)
	g.blank = true
	picture, sound, err := g.segment(s, slots)
	if err != nil {
		return "", err
	}
	o := segmentOptions(s)
	delete(o, "video_track_timescale") // QuickTime's own
	o["f"] = "null"
	args, err := g.compile([]*stream{picture, sound}, "none", o)
	if err != nil {
		return "", err
	}
	args[len(args)-1] = "-"
	return commandLine(append([]string{"ffmpeg", "-hide_banner", "-v", "error", "-nostdin"}, args...)), nil
}

// picture opens a PNG that was drawn for a segment, or what stands for it.
func (g *graph) picture(path string) *stream {
	if !g.blank {
		return g.input(path, "png_pipe", options{"f": "png_pipe"})
	}
	width, height, err := pictureSize(path)
	if err != nil && g.err == nil {
		g.err = err
	}
	// Of one picture the rate means nothing, but it tells two of one size apart.
	return g.open(fmt.Sprintf("color=c=black@0:s=%dx%d:r=%d,format=rgba,trim=end_frame=1", width, height, g.inputs+1), "lavfi", options{"f": "lavfi"})
}

func pictureSize(path string) (width, height int, err error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, 0, err
	}
	defer f.Close()
	config, err := png.DecodeConfig(f)
	return config.Width, config.Height, err
}

// commandLine writes a command for a shell such as bash or zsh, so that it can be pasted
// and nothing in it is taken for more than it is.
func commandLine(args []string) string {
	quoted := make([]string, len(args))
	for i, a := range args {
		quoted[i] = quote(a)
	}
	return strings.Join(quoted, " ")
}

func quote(arg string) string {
	plain, shown := arg != "", true
	for _, r := range arg {
		plain = plain && (r < utf8.RuneSelf && (unicode.IsLetter(r) || unicode.IsDigit(r)) || strings.ContainsRune("_@%+=:,./-", r))
		shown = shown && r != utf8.RuneError && unicode.IsPrint(r)
	}
	switch {
	case plain:
		return arg
	case shown:
		return "'" + strings.ReplaceAll(arg, "'", `'\''`) + "'"
	}
	var b strings.Builder
	b.WriteString("$'")
	for len(arg) > 0 {
		r, n := utf8.DecodeRuneInString(arg)
		switch {
		case r == '\'' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r != utf8.RuneError && unicode.IsPrint(r):
			b.WriteRune(r)
		default:
			for _, c := range []byte(arg[:n]) {
				fmt.Fprintf(&b, `\%03o`, c)
			}
		}
		arg = arg[n:]
	}
	return b.String() + "'"
}
