package ffmpeg

import (
	"context"
	"fmt"
	"io"
	"os/exec"
	"strconv"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// SmallArgs compiles the arguments that write every frame of the span of a film to
// standard output, one after another, as raw pictures of width by height, both even:
// planar 4:2:0, width×height×3/2 bytes each. Frames are counted as [SegmentArgs] counts
// them.
func SmallArgs(src plan.Source, film string, span tags.Span, width, height int) ([]string, error) {
	g := &graph{}
	_, picture, _ := g.cut(plan.Segment{Source: &src, Span: span}, film, 0)
	// The first picture decoded also stands for those missing before it, so that the n-th
	// picture written is the n-th of the span.
	picture = g.filter(picture, "fps", "fps="+src.Rate.String(), "start_time=0", "round=near")
	// Averaged over the area it stands for, or else fine patterns flicker when small.
	picture = g.filter(picture, "scale", "w="+strconv.Itoa(width), "h="+strconv.Itoa(height), "flags=area")
	picture = g.filter(picture, "format", "yuv420p")
	return g.compileToPipe(picture, options{"f": "rawvideo", "c:v": "rawvideo", "threads": "1"})
}

// Pictures runs ffmpeg with args that write to standard output, and hands each run of
// size bytes to each, which must not keep it; an error of its own ends the run. A run
// that exits well but complained is ErrComplained, as with [Tool.Run].
func (t Tool) Pictures(ctx context.Context, args []string, size int, each func(picture []byte) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	all := append([]string{"-hide_banner", "-v", "error", "-nostdin"}, args...)
	cmd := exec.CommandContext(ctx, t.FFmpeg, all...)
	cmd.SysProcAttr = ownGroup()
	cmd.WaitDelay = waitDelay
	var stderr tail
	cmd.Stderr = &stderr
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return fmt.Errorf("start ffmpeg: %w", err)
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("start ffmpeg: %w", err)
	}
	picture := make([]byte, size)
	var own error
	for own == nil {
		if _, err := io.ReadFull(stdout, picture); err != nil {
			break // the end, or of a film cut off amid a picture, about which ffmpeg speaks up
		}
		own = each(picture)
	}
	if own != nil {
		stop()
	}
	err = cmd.Wait()
	switch {
	case own != nil:
		return own
	case err != nil:
		return failure(ctx, err, stderr.String())
	case ctx.Err() != nil:
		return context.Cause(ctx)
	}
	if s := stderr.String(); s != "" {
		return &Error{Err: ErrComplained, Stderr: s}
	}
	return nil
}
