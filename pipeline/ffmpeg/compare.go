package ffmpeg

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Shown is a picture of film and when it is shown, from the container's start.
type Shown struct {
	At      tags.Time
	Picture []byte // grey, a byte a pixel
}

// before is how long before the first wanted picture film is opened to be compared with: well
// before any cut opens it.
const before = 10 * tags.Second

// Stretch is pictures of a film to compare with.
type Stretch struct {
	Source   plan.Source
	From, To tags.Time // from the container's start
	Fit      plan.Fit  // places them in a picture of House
	House    plan.House
	Small    plan.House // the size to return them in
	Damaged  bool       // what is compared shows damaged film as it decodes
}

// FilmPictures decodes the film at path and returns all its pictures of a stretch, in order.
// It shares nothing with the way film is cut but how a picture is scaled: film is opened
// elsewhere, and pictures are known by their own times, not by counting. List is a file that it
// may write to.
func (t Tool) FilmPictures(ctx context.Context, path string, s Stretch, list string) ([]Shown, error) {
	guards, in, err := film(path)
	if err != nil {
		return nil, err
	}
	times, err := fileURL(list)
	if err != nil {
		return nil, err
	}
	seek := max(s.From-max(before, 2*s.Source.Preroll), 0)
	args := append([]string{"-copyts", "-start_at_zero"}, guards...)
	if s.Damaged { // what stands for a lost part of a picture depends on how many decode at once
		args = append(args, "-threads", "1")
	}
	every, err := t.RateMode(ctx, "passthrough")
	if err != nil {
		return nil, err
	}
	args = append(args,
		"-ss", seek.Decimal(), "-t", (s.To - seek + 2*tags.Second).Decimal(), "-i", in,
		"-filter_complex", comparedFilters(s), "-map", "[pictures]")
	args = append(append(args, every...), "-f", "rawvideo", "pipe:1", "-map", "[times]")
	args = append(append(args, every...), "-enc_time_base", exactly, "-c:v", "rawvideo", "-f", "framecrc", times)
	var shown []Shown
	err = t.Pictures(ctx, args, s.Small.Width*s.Small.Height, func(p []byte) error {
		shown = append(shown, Shown{Picture: append([]byte(nil), p...)})
		return nil
	})
	// What is said of the film is no matter here: the pictures are compared.
	if err != nil && !errors.Is(err, ErrComplained) {
		return nil, err
	}
	return shown, readTimes(list, shown)
}

// exactly is the time base in which pictures are listed: flicks, of which frames of all usual
// rates last a whole number.
var exactly = fmt.Sprintf("1/%d", tags.Second)

// comparedFilters is a graph that gives each picture twice: to be looked at, and for its time.
func comparedFilters(s Stretch) string {
	src, fit, house := s.Source, s.Fit, s.House
	var f []string
	if src.Interlaced {
		f = append(f, "bwdif=mode=send_frame:deint=interlaced")
	}
	f = append(f, fmt.Sprintf(`select=between(t\,%s\,%s)`, max(s.From, 0).Decimal(), s.To.Decimal()))
	if src.Colour.HDR() {
		f = append(f, "zscale=transfer=linear:npl=100,format=gbrpf32le,zscale=primaries=bt709,tonemap=tonemap=hable:desat=0,zscale=transfer=bt709:matrix=bt709:range=limited,format=yuv420p")
	}
	f = append(f,
		fmt.Sprintf("scale=%d:%d:flags=bicubic:in_color_matrix=%s:out_color_matrix=bt709:out_range=tv", fit.Width, fit.Height, matrix(src)),
		"format=yuv420p", fmt.Sprintf("pad=%d:%d:%d:%d", house.Width, house.Height, fit.X, fit.Y),
		smallGrey(s.Small), "split[pictures][times]")
	return fmt.Sprintf("[0:%d]", src.Video) + strings.Join(f, ",")
}

// smallGrey makes a picture small and keeps its light alone, as it was coded.
func smallGrey(small plan.House) string {
	return fmt.Sprintf("scale=%d:%d:flags=area,format=yuv420p,extractplanes=y", small.Width, small.Height)
}

// readTimes reads when pictures are shown from a list of them as ffmpeg's framecrc writes it.
func readTimes(list string, shown []Shown) error {
	f, err := os.Open(list)
	if err != nil {
		return err
	}
	defer f.Close()
	n := 0
	var ticks tags.Rate
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var num, den int64 // of the length of a tick
		if n, _ := fmt.Sscanf(lines.Text(), "#tb 0: %d/%d", &num, &den); n == 2 {
			ticks = tags.Rate{Num: den, Den: num}
		}
		fields := strings.Split(lines.Text(), ",")
		if strings.HasPrefix(fields[0], "#") || len(fields) < 3 {
			continue
		}
		at, err := strconv.ParseInt(strings.TrimSpace(fields[2]), 10, 64)
		if err != nil || n == len(shown) || !ticks.Known() {
			return errors.New("ffmpeg's list of pictures is none")
		}
		shown[n].At = ticks.Duration(tags.Frame(at))
		n++
	}
	if n != len(shown) {
		return fmt.Errorf("ffmpeg showed %d pictures and listed %d", len(shown), n)
	}
	return nil
}

// ReelPictures decodes the pictures of a reel and hands each to look, in the size small: grey,
// a byte a pixel. Look must not keep them.
func (t Tool) ReelPictures(ctx context.Context, reel string, small plan.House, look func(picture []byte) error) error {
	in, err := fileURL(reel)
	if err != nil {
		return err
	}
	every, err := t.RateMode(ctx, "passthrough")
	if err != nil {
		return err
	}
	args := append([]string{"-protocol_whitelist", protocols, "-i", in, "-map", "0:v"}, every...)
	return t.Pictures(ctx, append(args, "-vf", smallGrey(small), "-f", "rawvideo", "pipe:1"), small.Width*small.Height, look)
}

// CardPicture is a picture that was drawn, at path, in the size small and as a reel shows it:
// grey, a byte a pixel.
func (t Tool) CardPicture(ctx context.Context, path string, small plan.House) ([]byte, error) {
	in, err := fileURL(path)
	if err != nil {
		return nil, err
	}
	var picture []byte
	err = t.Pictures(ctx, []string{
		"-protocol_whitelist", protocols, "-format_whitelist", "png_pipe", "-f", "png_pipe", "-i", in,
		"-vf", "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p," + smallGrey(small), "-f", "rawvideo", "pipe:1",
	}, small.Width*small.Height, func(p []byte) error {
		picture = append([]byte(nil), p...)
		return nil
	})
	if err == nil && picture == nil {
		err = io.ErrUnexpectedEOF
	}
	return picture, err
}
