package film

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// source makes sense of ffprobe's report.
func source(r ffmpeg.Report) (plan.Source, error) {
	video, audio := pick(r.Streams)
	if video == nil {
		return plan.Source{}, errors.New("no picture in it")
	}
	s := plan.Source{
		Video:      video.Index,
		Audio:      -1,
		Interlaced: slices.Contains([]string{"tt", "bb", "tb", "bt"}, video.FieldOrder),
		Colour:     plan.Colour{Matrix: known(video.Matrix), Range: known(video.Range), Transfer: known(video.Transfer)},
	}
	if audio != nil {
		s.Audio = audio.Index
	}
	s.Width, s.Height = shown(*video)
	if s.Width < 16 || s.Height < 16 {
		return s, fmt.Errorf("its picture is only %d×%d", s.Width, s.Height)
	}
	var err error
	if s.Ticks, err = ticks(*video); err != nil {
		return s, err
	}
	first, since, untimed, err := packets(r, video.Index, s.Ticks)
	if err != nil {
		return s, err
	}
	s.Rate, s.Variable = rate(*video, s.Interlaced, since, untimed)
	s.First = max(first-seconds(r.Format.Start), 0)
	s.Frames = frames(r, *video, s)
	if s.Frames < 1 {
		return s, errors.New("no frame in it")
	}
	s.Preroll = preroll(r, s)
	if tc := timecode(r, *video); tc != "" {
		// A start timecode that makes no sense at the film's rate is as good as none.
		if at, err := tags.ParseInstant(tc); err == nil && at.IsTimecode() {
			if n, err := s.Rate.Frame(at.Timecode()); err == nil {
				s.Start, s.Counting = n, tags.NonDrop
				if at.Timecode().Drop {
					s.Counting = tags.DropFrame
				}
			}
		}
	}
	return s, nil
}

// pick takes the largest picture, the first among equals, and the first sound.
func pick(streams []ffmpeg.Stream) (video, audio *ffmpeg.Stream) {
	for i := range streams {
		s := &streams[i]
		switch {
		case s.Type == "video" && s.Disposition.Picture == 0:
			if video == nil || s.Width*s.Height > video.Width*video.Height {
				video = s
			}
		case s.Type == "audio" && audio == nil:
			audio = s
		}
	}
	return video, audio
}

// shown is the size a player shows: pixels made square, the picture turned upright.
func shown(v ffmpeg.Stream) (width, height int) {
	width, height = square(v), v.Height
	if turn(v)%180 == 90 {
		width, height = height, width
	}
	return width, height
}

// square is how wide the coded picture is in square pixels.
func square(v ffmpeg.Stream) int {
	num, den, _ := strings.Cut(v.Aspect, ":")
	n, _ := strconv.Atoi(num)
	d, _ := strconv.Atoi(den)
	if n <= 0 || d <= 0 {
		return v.Width
	}
	return int(math.Round(float64(v.Width) * float64(n) / float64(d)))
}

// turn is by how many degrees the coded picture is to be turned, either way.
func turn(v ffmpeg.Stream) int {
	for _, side := range v.SideData {
		if side.Rotation != 0 {
			return int(math.Abs(side.Rotation))
		}
	}
	return 0
}

// packets is when the first frame is shown and the times from it to each of the first
// packets, in order of showing; untimed is how many of them the file gives no time.
func packets(r ffmpeg.Report, video int, ticks tags.Rate) (first tags.Time, since []tags.Time, untimed int, err error) {
	for _, p := range r.Packets {
		switch {
		case p.Stream != video || strings.Contains(p.Flags, "D"): // D: an edit list keeps it for decoding only
		case p.PTS == nil:
			untimed++
		default:
			since = append(since, ticks.Duration(tags.Frame(*p.PTS)))
		}
	}
	switch {
	case len(since) == 0 && untimed > 0: // AVI with H.264 that has B-frames
		return 0, nil, 0, errors.New("its frames carry no times: convert it first, such as by ffmpeg -i FILM -crf 16 FILM.mkv")
	case len(since) == 0:
		return 0, nil, 0, errors.New("no frame in it")
	}
	slices.Sort(since)
	// Where there are more packets than were read, some that are shown among the last of
	// these are yet to come.
	if len(r.Packets) >= ffmpeg.MostPackets {
		since = since[:max(len(since)-mostReordered, 1)]
	}
	first = since[0]
	for i := range since {
		since[i] -= first
	}
	return first, since, untimed, nil
}

// mostReordered is how many frames may be stored before one that is shown before them: the
// largest picture buffer of H.264 and HEVC.
const mostReordered = 16

// ticks is how many ticks of the stream's time base pass in a second.
func ticks(v ffmpeg.Stream) (tags.Rate, error) {
	num, den, _ := strings.Cut(v.TimeBase, "/")
	n, _ := strconv.ParseInt(num, 10, 64)
	d, _ := strconv.ParseInt(den, 10, 64)
	if n <= 0 || d <= 0 {
		return tags.Rate{}, fmt.Errorf("its time base is %q", v.TimeBase)
	}
	return tags.Rate{Num: d, Den: n}, nil
}

// cameraRates is the rates that cameras are meant to have.
var cameraRates = []tags.Rate{
	{Num: 24000, Den: 1001},
	{Num: 24, Den: 1},
	{Num: 25, Den: 1},
	{Num: 30000, Den: 1001},
	{Num: 30, Den: 1},
	{Num: 48, Den: 1},
	{Num: 50, Den: 1},
	{Num: 60000, Den: 1001},
	{Num: 60, Den: 1},
	{Num: 100, Den: 1},
	{Num: 120000, Den: 1001},
	{Num: 120, Den: 1},
}

// rate is the rate whose grid the film's frames lie on; where they lie on none, the
// film is of variable rate, to be sampled at a rate that loses no frame of its usual run.
func rate(v ffmpeg.Stream, interlaced bool, since []tags.Time, untimed int) (r tags.Rate, variable bool) {
	average, errAverage := tags.ParseRate(v.Average)
	if coded, err := tags.ParseRate(v.Rate); err == nil {
		coded = nearest(coded)
		switch {
		case !onGrid(since, untimed, coded):
		case errAverage != nil || near(coded, average, 0.001):
			return coded, false
		case interlaced && near(tags.Rate{Num: coded.Num, Den: 2 * coded.Den}, average, 0.001):
			return nearest(average), false // its packets are fields
		}
		if slices.Contains(cameraRates, coded) {
			return coded, true
		}
	}
	for _, r := range cameraRates {
		if r.Den == 1 && errAverage == nil && r.FPS() >= average.FPS() && r.Num >= 25 {
			return r, true
		}
	}
	return tags.Rate{Num: 30, Den: 1}, true
}

func nearest(r tags.Rate) tags.Rate {
	for _, h := range cameraRates {
		if near(h, r, 0.0004) {
			return h
		}
	}
	return r
}

// near reports whether b is within part of a.
func near(a, b tags.Rate, part float64) bool {
	return math.Abs(a.FPS()-b.FPS()) <= part*b.FPS()
}

// onGrid reports whether each frame comes within a quarter of a frame of its turn at r.
// Where a frame is missing, an untimed one has its turn.
func onGrid(since []tags.Time, untimed int, r tags.Rate) bool {
	if r.FPS() > 250 {
		return false
	}
	turn, grace := tags.Frame(0), r.Duration(1)/4
	for _, t := range since {
		for ; untimed > 0 && t-r.Duration(turn) > grace; turn++ {
			untimed--
		}
		if d := t - r.Duration(turn); max(d, -d) > grace {
			return false
		}
		turn++
	}
	return true
}

// frames is how many frames the film holds, from its length; a container's own count
// may include frames that an edit list hides.
func frames(r ffmpeg.Report, v ffmpeg.Stream, s plan.Source) tags.Frame {
	length := seconds(v.Duration) + seconds(v.Start) - seconds(r.Format.Start)
	if v.Duration == "" {
		length = seconds(r.Format.Duration)
	}
	length -= s.First
	n := s.Rate.FrameAt(length - s.Rate.Duration(1)/4)
	if count, err := strconv.ParseInt(v.Frames, 10, 64); err == nil && count > 0 && !s.Variable {
		n = min(n, tags.Frame(count))
	}
	return n
}

// preroll is how much film before a cut must be decoded. MP4 and Matroska seek to a
// keyframe; MPEG streams have no index and land in the middle of a group of pictures,
// so a group and a half is read. In film of variable rate the frame that is on at the
// cut may have come long before.
func preroll(r ffmpeg.Report, s plan.Source) tags.Time {
	need := tags.Second / 10
	if s.Variable {
		need = 3 * tags.Second
	}
	if !strings.Contains(r.Format.Name, "mpeg") {
		return need
	}
	longest, last, keys := tags.Time(0), tags.Time(0), 0
	for _, p := range r.Packets {
		if p.Stream != s.Video || p.PTS == nil {
			continue
		}
		t := s.Ticks.Duration(tags.Frame(*p.PTS))
		if strings.Contains(p.Flags, "K") {
			if keys > 0 {
				longest = max(longest, t-last)
			}
			last = t
			keys++
		}
	}
	if keys < 2 {
		longest = 10 * tags.Second
	}
	long := longest*3/2 + tags.Second/2
	if r.Format.Name == "mpeg" {
		// A program stream times only some of its pictures; after landing the decoder guesses
		// the others' times wrong until it has seen a few that are timed.
		long = longest*4 + tags.Second
	}
	return max(need, min(long, 20*tags.Second))
}

func timecode(r ffmpeg.Report, v ffmpeg.Stream) string {
	if tc := v.Tags["timecode"]; tc != "" {
		return tc
	}
	if tc := r.Format.Tags["timecode"]; tc != "" {
		return tc
	}
	for _, s := range r.Streams {
		if tc := s.Tags["timecode"]; tc != "" {
			return tc
		}
	}
	return ""
}

func known(name string) string {
	if name == "unknown" {
		return ""
	}
	return name
}

// seconds reads ffprobe's decimal seconds, which have six places.
func seconds(s string) tags.Time {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0
	}
	return tags.Time(math.Round(f * float64(tags.Second)))
}
