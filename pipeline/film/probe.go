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

// What is beyond these is no film of a game, however long a camera ran, but a damaged one.
const (
	mostSide   = 1 << 15 // pixels
	mostLength = 4 * 24 * 3600 * tags.Second
	mostFrames = tags.Frame(4 * 24 * 3600 * 120)
)

// source makes sense of ffprobe's report, and asks decoded for the first picture and last for
// the end where the report cannot tell them.
func source(r ffmpeg.Report, decoded decodedFirst, last ending) (plan.Source, error) {
	video, audio := pick(r)
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
	switch {
	case slices.Contains([]string{"encv", "drmi"}, video.Tag):
		return s, errors.New("its pictures are encrypted")
	case known(video.Codec) == "" || known(video.Codec) == "none":
		return s, errors.New("its pictures are coded in a way that this ffmpeg cannot decode: convert it first, with the program that came with the camera")
	}
	s.Width, s.Height = shown(*video)
	if s.Width < 16 || s.Height < 16 {
		return s, fmt.Errorf("its picture is only %d×%d", s.Width, s.Height)
	}
	if s.Width > mostSide || s.Height > mostSide {
		return s, fmt.Errorf("its picture is said to be %d×%d, which is no film's: it is damaged", s.Width, s.Height)
	}
	var err error
	if s.Ticks, err = ticks(*video); err != nil {
		return s, err
	}
	start, lost, err := begin(r, video.Index, decoded)
	if err != nil {
		return s, err
	}
	if unshown(&r, *video, s.Ticks) {
		video.Average = "" // for they are counted
	}
	first, since, untimed, err := packets(r, video.Index, start, s.Ticks)
	if err != nil {
		return s, err
	}
	s.Rate, s.Variable, s.Gaps = rate(*video, s.Interlaced, since, untimed)
	s.Loose, s.Zero = strings.HasPrefix(r.Format.Name, "mpeg"), ffmpeg.Seconds(r.Format.Start)
	s.First, s.Lost = max(first-ffmpeg.Seconds(r.Format.Start), 0), lost
	length, err := end(r, *video, last)
	if err != nil {
		return s, err
	}
	s.Frames = frames(length, *video, s)
	if s.Frames < 1 {
		return s, errors.New("no frame in it")
	}
	if length := s.Rate.Duration(s.Frames); length < 0 || length > mostLength || s.Frames > mostFrames {
		return s, fmt.Errorf("it is said to last more than %d days, which no film does: it is damaged", mostLength/(24*3600*tags.Second))
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

// pick takes the picture that moves and the first sound. Of pictures that last as long as
// each other it is the one that the file names as its own, else the largest, else the first.
// A still beside the film of a motion photo is shorter than half of it. Sound that the file
// declares and does not describe is none.
func pick(r ffmpeg.Report) (video, audio *ffmpeg.Stream) {
	long, own := tags.Time(0), 0
	moving := func(s *ffmpeg.Stream) bool {
		return s.Type == "video" && s.Disposition.Picture == 0 && (s.Duration == "" || 2*ffmpeg.Seconds(s.Duration) >= long)
	}
	for i := range r.Streams {
		if s := &r.Streams[i]; moving(s) {
			long = max(long, ffmpeg.Seconds(s.Duration))
		}
	}
	for i := range r.Streams {
		if s := &r.Streams[i]; moving(s) {
			own += s.Disposition.Default
		}
	}
	for i := range r.Streams {
		s := &r.Streams[i]
		switch {
		case moving(s):
			if own == 1 && s.Disposition.Default == 0 {
				continue
			}
			if video == nil || s.Width*s.Height > video.Width*video.Height {
				video = s
			}
		case s.Type == "audio" && audio == nil && described(*s):
			audio = s
		}
	}
	return video, audio
}

// described reports whether a decoder can tell what sound it is of.
func described(s ffmpeg.Stream) bool {
	return s.SampleRate != "" && s.SampleRate != "0" && s.Channels > 0
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

// unshown takes the packets out of a report that hold a picture of VP8, VP9 or AV1 which is
// never shown, where the file has them by themselves: they come at the time of the one that is
// shown next, to the millisecond. It reports whether there were any.
func unshown(r *ffmpeg.Report, video ffmpeg.Stream, ticks tags.Rate) bool {
	if !slices.Contains([]string{"vp8", "vp9", "av1"}, video.Codec) {
		return false
	}
	n := len(r.Packets)
	var last *ffmpeg.Packet
	r.Packets = slices.DeleteFunc(slices.Clone(r.Packets), func(p ffmpeg.Packet) bool {
		if p.Stream != video.Index || p.PTS == nil {
			return false
		}
		again := last != nil && *p.PTS >= *last.PTS && ticks.Duration(tags.Frame(*p.PTS-*last.PTS)) <= tags.Millisecond
		last = &p
		return again
	})
	return len(r.Packets) < n
}

// packets is when the first frame is shown, at start or later, and the times from it to each
// of the first packets, in order of showing; untimed is how many of them the file gives no
// time.
func packets(r ffmpeg.Report, video int, start int64, ticks tags.Rate) (first tags.Time, since []tags.Time, untimed int, err error) {
	begun := start == anywhere
	for _, p := range r.Packets {
		switch {
		case p.Stream != video || hidden(p):
		case p.PTS == nil:
			if begun {
				untimed++
			}
		case *p.PTS >= start:
			begun = true
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

// rate is the rate whose grid the film's frames lie on, and whether there are gaps on it.
// Where they lie on none, the film is of variable rate, to be sampled at a rate that loses
// no frame of its usual run.
func rate(v ffmpeg.Stream, interlaced bool, since []tags.Time, untimed int) (r tags.Rate, variable, gaps bool) {
	average, errAverage := tags.ParseRate(v.Average)
	coded, errCoded := tags.ParseRate(v.Rate)
	coded = nearest(coded)
	if errCoded == nil {
		switch {
		case !onGrid(since, untimed, coded):
		case errAverage != nil || near(coded, average, 0.001):
			return coded, false, false
		case interlaced && near(tags.Rate{Num: coded.Num, Den: 2 * coded.Den}, average, 0.001):
			return nearest(average), false, false // its packets are fields
		}
	}
	if r, ok := gridWithGaps(coded, since, untimed); ok {
		return r, false, true
	}
	if errCoded == nil && slices.Contains(cameraRates, coded) {
		return coded, true, false
	}
	for _, r := range cameraRates {
		if r.Den == 1 && errAverage == nil && r.FPS() >= average.FPS() && r.Num >= 25 {
			return r, true, false
		}
	}
	return tags.Rate{Num: 30, Den: 1}, true, false
}

// leastForGaps is how few frames tell too little of a grid that some are missing from.
const leastForGaps = 10

// gridWithGaps is the rate on whose grid frames lie of which some are missing: coded, or
// that of a camera that fits best. It is none where more than one frame in ten comes after a
// gap.
func gridWithGaps(coded tags.Rate, since []tags.Time, untimed int) (best tags.Rate, found bool) {
	if len(since) < leastForGaps {
		return best, false
	}
	least := tags.Time(0)
	for _, r := range append([]tags.Rate{coded}, cameraRates...) {
		gaps, off, ok := lay(since, untimed, r)
		if !ok || 10*gaps > len(since) {
			continue
		}
		if !found || off < least {
			best, least, found = r, off, true
		}
		if r == coded {
			break
		}
	}
	return best, found
}

func nearest(r tags.Rate) tags.Rate {
	for _, h := range cameraRates {
		if near(h, r, 0.0004) {
			return h
		}
	}
	return r
}

// near reports whether a differs from b by at most part of b.
func near(a, b tags.Rate, part float64) bool {
	return math.Abs(a.FPS()-b.FPS()) <= part*b.FPS()
}

// onGrid reports whether each frame comes within a quarter of a frame of its turn at r, and
// none is missing.
func onGrid(since []tags.Time, untimed int, r tags.Rate) bool {
	gaps, _, ok := lay(since, untimed, r)
	return ok && gaps == 0
}

// lay lays frames on the grid of r. It returns after how many of them some are missing that
// the untimed ones do not account for, and the most that a frame is off its turn. It is not
// ok where that is more than a quarter of a frame, or two frames have one turn.
func lay(since []tags.Time, untimed int, r tags.Rate) (gaps int, off tags.Time, ok bool) {
	if !r.Known() || r.FPS() > 250 {
		return 0, 0, false
	}
	turn, half := tags.Frame(0), r.Duration(1)/2
	for _, t := range since {
		n := r.Floor(t + half)
		d := t - r.Duration(n)
		off = max(off, d, -d)
		if off > half/2 || n < turn {
			return 0, 0, false
		}
		if missing := int(n - turn); missing <= untimed {
			untimed -= missing
		} else {
			untimed = 0
			gaps++
		}
		turn = n + 1
	}
	return gaps, off, true
}

// frames is how many frames a film holds that ends at a time from the container's start; a
// container's own count may include frames that an edit list hides.
func frames(end tags.Time, v ffmpeg.Stream, s plan.Source) tags.Frame {
	n := s.Rate.FrameAt(end - s.First - s.Rate.Duration(1)/4)
	if count, err := strconv.ParseInt(v.Frames, 10, 64); err == nil && count > 0 && !s.Variable && !s.Gaps {
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
