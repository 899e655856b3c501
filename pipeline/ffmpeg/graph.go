package ffmpeg

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	ffmpeggo "github.com/u2takey/ffmpeg-go"
)

// Film may be a playlist in disguise that names other files, so only these readers,
// and no protocol but the file's own, are let near it.
const (
	protocols   = "file,pipe"
	filmFormats = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,mpegts,mpeg,mxf,avi,flv"
)

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
	blank   bool // drawn pictures are stood in for
	loose   bool // of film whose times are loose
	err     error
}

type stream = ffmpeggo.Stream

type options = ffmpeggo.KwArgs

// input opens path with a reader of the given formats.
func (g *graph) input(path, formats string, o options) *stream {
	url, err := fileURL(path)
	if err != nil && g.err == nil {
		g.err = err
	}
	return g.open(url, formats, o)
}

func (g *graph) open(url, formats string, o options) *stream {
	g.inputs++
	o["protocol_whitelist"] = protocols
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
