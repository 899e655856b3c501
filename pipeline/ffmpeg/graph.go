package ffmpeg

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	ffmpeggo "github.com/u2takey/ffmpeg-go"

	"trenchcut/tags/files"
)

// Film may be a playlist in disguise that names other files, so only these readers,
// and no protocol but the file's own, are let near it.
const (
	protocols   = "file,pipe"
	filmFormats = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,mpegts,mpeg,mxf,avi,flv"
)

// streamFormats is the readers of film that may be stored as several parts: they take one
// stream of packets, wherever it was cut.
const streamFormats = "mpegts,mpeg"

// film is how ffmpeg and ffprobe are to open the film at path: the options that come before its
// URL, and the URL. Film of several parts is read as if they were one file.
func film(path string) (guards []string, url string, err error) {
	open, readers, url, err := opening(path, filmFormats)
	return []string{"-protocol_whitelist", open, "-format_whitelist", readers}, url, err
}

// opening is the protocols, the readers of those given, and the URL that path is opened by.
func opening(path, formats string) (open, readers, url string, err error) {
	parts := files.Parts(path)
	if len(parts) == 1 {
		url, err = fileURL(path)
		return protocols, formats, url, err
	}
	for i, part := range parts {
		if strings.Contains(part, "|") {
			return "", "", "", fmt.Errorf("%s: ffmpeg takes no part of a film with | in its name: rename it", part)
		}
		if parts[i], err = fileURL(part); err != nil {
			return "", "", "", err
		}
	}
	return "concat," + protocols, streamFormats, "concat:" + strings.Join(parts, "|"), nil
}

// fileURL names a file so that no letter of its name means anything to ffmpeg.
func fileURL(path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("name %q for ffmpeg: %w", path, err)
	}
	return "file:" + abs, nil
}

// graph counts what is put into an ffmpeg-go graph, so that compile can see when the
// library lost some of it: its nodes are equal when a sum over their options is, and of
// two equal nodes one vanishes.
type graph struct {
	inputs  int
	filters int
	blank   bool   // drawn pictures are stood in for
	loose   bool   // of film whose times are loose
	rough   bool   // pictures that no other is decoded from are not smoothed (deblocked)
	threads string // that decode a film's pictures, as ffmpeg counts them; empty is one
	err     error
}

type stream = ffmpeggo.Stream

type options = ffmpeggo.KwArgs

// input opens path with a reader of the given formats.
func (g *graph) input(path, formats string, o options) *stream {
	open, readers, url, err := opening(path, formats)
	if err != nil && g.err == nil {
		g.err = err
	}
	o["protocol_whitelist"] = open
	return g.open(url, readers, o)
}

// open opens a URL, by the protocols that o allows or else by a file's own.
func (g *graph) open(url, formats string, o options) *stream {
	g.inputs++
	if o["protocol_whitelist"] == nil {
		o["protocol_whitelist"] = protocols
	}
	o["format_whitelist"] = formats
	return ffmpeggo.Input(url, o)
}

// filter applies a filter whose arguments are numbers and names of our own making: the
// library does not escape them.
func (g *graph) filter(in *stream, name string, args ...string) *stream {
	return g.combine([]*stream{in}, name, args...)
}

func (g *graph) combine(in []*stream, name string, args ...string) *stream {
	g.filters++
	return ffmpeggo.Filter(in, name, args)
}

// options stand before all others.
func (g *graph) options() []string {
	if !g.loose {
		return nil
	}
	return slices.Clone(looseTimes)
}

// compile is the arguments of the graph that ends in out.
func (g *graph) compile(in []*stream, path string, o options) ([]string, error) {
	if g.err != nil {
		return nil, g.err
	}
	url, err := fileURL(path)
	if err != nil {
		return nil, err
	}
	args := ffmpeggo.Output(in, url, o).GetArgs()
	inputs, filters := 0, 0
	for i, a := range args {
		switch a {
		case "-i":
			inputs++
		case "-filter_complex":
			filters = strings.Count(args[i+1], ";") + 1
		}
	}
	if inputs != g.inputs || filters != g.filters {
		return nil, errors.New("ffmpeg-go took two parts of the graph for one")
	}
	return append(g.options(), args...), nil
}

// compileToPipe is compile with the output to standard output.
func (g *graph) compileToPipe(in *stream, o options) ([]string, error) {
	const name = "out"
	args, err := g.compile([]*stream{in}, name, o)
	if err != nil {
		return nil, err
	}
	url, err := fileURL(name)
	if err != nil {
		return nil, err
	}
	// The graph names files only; that it ends in ours is looked at, not taken for granted.
	if last := len(args) - 1; args[last] == url {
		args[last] = "pipe:1"
		return args, nil
	}
	return nil, errors.New("ffmpeg-go's arguments do not end in the output")
}
