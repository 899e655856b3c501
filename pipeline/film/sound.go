package film

import (
	"context"
	"encoding/binary"
	"fmt"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// Sound is a stretch of a film's sound, one channel. An hour at [SoundRate] takes 58 MB.
type Sound struct {
	From    tags.Time // of the first sample, on the film's own time
	Rate    int       // samples a second; a second's flicks must be a multiple of it
	Samples []int16
}

// SoundRate is how many samples of sound a second are compared. What carries over a field
// lies below half of it, and a sample is a small part of any frame.
const SoundRate = 8000

// soundChunk is how many bytes of sound are taken from ffmpeg at once.
const soundChunk = 1 << 15

// Hear is the sound of the film at path from in to out, both on the film's own time, with
// silence where it has none; an out past the film's end is its end. progress, where it is
// not nil, is told of frames that are done, in steps that add up to the frames between.
func (l *Library) Hear(ctx context.Context, path string, in, out tags.Time, progress func(more tags.Frame)) (Sound, error) {
	src, err := l.Source(ctx, path)
	if err != nil {
		return Sound{}, err
	}
	in, out = max(in, 0), min(out, src.Clock().At(src.Frames))
	if out <= in {
		return Sound{}, fmt.Errorf("hear %s: nothing lies between %s and %s", path, in, out)
	}
	const sample = tags.Second / SoundRate
	s := Sound{From: in, Rate: SoundRate}
	samples := int((out - in) / sample)
	chunks := (2*samples + soundChunk - 1) / soundChunk
	s.Samples = make([]int16, 0, chunks*soundChunk/2)
	told := tags.Frame(0)
	read := func(whole bool) error {
		args, err := ffmpeg.SoundArgs(src, path, in, SoundRate, int64(chunks*soundChunk/2), whole)
		if err != nil {
			return err
		}
		s.Samples = s.Samples[:0]
		return l.tool.Pictures(ctx, args, soundChunk, func(p []byte) error {
			for ; len(p) > 0; p = p[2:] {
				s.Samples = append(s.Samples, int16(binary.LittleEndian.Uint16(p)))
			}
			now := src.Rate.Floor(tags.Time(min(len(s.Samples), samples)) * sample)
			if progress != nil && now > told {
				progress(now - told)
				told = now
			}
			return nil
		})
	}
	if err = read(false); ffmpeg.OpusEnd(err) {
		err = read(true)
	}
	if err != nil && !ffmpeg.Landing(err) {
		return Sound{}, fmt.Errorf("hear %s: %w", path, err)
	}
	if len(s.Samples) < samples {
		return Sound{}, fmt.Errorf("hear %s: its sound ends after %s", path, tags.Time(len(s.Samples))*sample)
	}
	s.Samples = s.Samples[:samples]
	if err := l.soundRunsOn(ctx, path, src.Audio, s); err != nil {
		return Sound{}, fmt.Errorf("hear %s: %w", path, err)
	}
	return s, nil
}

// longestQuiet is how long sound may be wholly silent at its end, as no microphone leaves it,
// before the file is asked whether there is any.
const longestQuiet = SoundRate / 4

// soundRunsOn fails where heard ends in a silence that the film's file does not hold: ffmpeg
// says nothing of sound that was cut off exactly between two packets. Only a file whose tables
// say how long its sound lasts can tell.
func (l *Library) soundRunsOn(ctx context.Context, path string, stream int, heard Sound) error {
	loud := len(heard.Samples)
	for loud > 0 && heard.Samples[loud-1] == 0 {
		loud--
	}
	if len(heard.Samples)-loud < longestQuiet {
		return nil
	}
	const sample = tags.Second / SoundRate
	at := func(samples int) tags.Time { return heard.From + tags.Time(samples)*sample }
	end, err := l.tool.Ending(ctx, path, stream, max(at(loud)-tags.Second, 0))
	if err != nil {
		return err
	}
	if !end.Found {
		end.At = at(loud)
	}
	if told := min(end.Told, at(len(heard.Samples))); end.At < told-longestQuiet*sample {
		return fmt.Errorf("its sound ends at %s and should go on to %s: the file is cut off, copy it anew", end.At, told)
	}
	return nil
}
