package ffmpeg

import (
	"strconv"

	"trenchcut/pipeline/plan"
)

// What follows for hardware was compiled from ffmpeg's own documentation of its options
// and, without such hardware at hand, only seen to fail as it should. It serves nobody
// before render.Prove has made, joined and decoded something with it.

// encoderOptions is what tells an encoder of the quality that is asked for.
func encoderOptions(e plan.Encoder) options {
	quality := strconv.Itoa(e.CRF)
	o := options{"c:v": e.Codec}
	switch e.Codec {
	case plan.X264:
		// Where colour lies is the same in all segments, or they cannot be joined: 7.1 takes it from
		// the film, whatever chroma_sample_location says.
		o["preset"], o["crf"], o["x264-params"] = e.Preset, quality, "cpu-independent=1:chromaloc=0"
	case "h264_nvenc":
		o["rc"], o["qp"] = "constqp", quality
	case "h264_qsv":
		o["global_quality"] = quality
	case "h264_videotoolbox":
		// Its scale runs the other way, from 1 to 100.
		o["q:v"] = strconv.Itoa(max(1, 100-2*e.CRF))
	case "h264_vaapi":
		// The only device there is goes to every filter that wants one.
		o["init_hw_device"], o["qp"] = "vaapi", quality
	default:
		o["qp"] = quality
	}
	return o
}

// handOver gives the picture the form in which an encoder takes it.
func (g *graph) handOver(picture *stream, e plan.Encoder) *stream {
	switch e.Codec {
	case "h264_qsv":
		return g.named(picture, "nv12")
	case "h264_vaapi":
		return g.filter(g.named(picture, "nv12"), "hwupload")
	default:
		return g.named(picture, "yuv420p")
	}
}

// named is a picture in a form and with the names of its colours. From 7.1 on ffmpeg heeds what
// the picture says, which a drawn one leaves open, and not the options that name them.
func (g *graph) named(picture *stream, form string) *stream {
	return g.filter(g.filter(picture, "format", form), "setparams", "range=tv", "color_primaries=bt709", "color_trc=bt709", "colorspace=bt709")
}
