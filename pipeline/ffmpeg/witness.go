package ffmpeg

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"iter"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Witness is what a decoder did with the pictures of a stretch of film, packet by packet.
// All times count from where the film was opened.
type Witness struct {
	// Shown is a hash of the pictures that the stretch shows.
	Shown string

	src      plan.Source
	seek     tags.Time // where the film was opened, from the container's start
	in, out  tags.Time // the stretch that is wanted
	zero     tags.Time // what ffmpeg's times count from, counted back from seek
	packets  []tags.Time
	pictures []decoded
	untimed  bool // some picture has no time
	said     []complaint
	lines    map[string]bool // everything that was said, as plain has it
	unread   string          // the first line about a packet or picture that cannot be read
	apart    bool            // packets are read ahead of what decodes them
}

// decoded is a picture as it left the decoder.
type decoded struct {
	at  tags.Time
	key bool
}

// complaint is a line that was said once so many packets had been read, and so many pictures
// decoded.
type complaint struct {
	after    int
	pictures int
	line     string
}

// Damage is what a decoder said of a place in a film.
type Damage struct {
	At   tags.Time // from the container's start
	Said string    // in one line
}

// Testify decodes the pictures of the span of s and says what came of it. It opens the film
// earlier than its source says, by as much as given, and uses the file scratch; without one,
// Shown stays empty. Film that cannot be decoded is no error: what is missing and what was
// said of it is.
func (t Tool) Testify(ctx context.Context, s plan.Segment, film string, earlier tags.Time, scratch string) (*Witness, error) {
	if scratch == "" {
		return t.testifyStream(ctx, s, film, s.Source.Video, earlier)
	}
	args, err := ShownArgs(s, film, earlier, scratch)
	if err != nil {
		return nil, err
	}
	w := newWitness(s, earlier)
	if err := t.testify(ctx, args, w); err != nil {
		return nil, err
	}
	hash, err := os.ReadFile(scratch)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	w.Shown = string(hash)
	return w, nil
}

// TestifySound is Testify for the sound of s alone: it tells nothing but what was said.
func (t Tool) TestifySound(ctx context.Context, s plan.Segment, film string, earlier tags.Time) (*Witness, error) {
	w, err := t.testifyStream(ctx, s, film, s.Source.Audio, earlier)
	if err != nil || len(w.said) == 0 || slices.ContainsFunc(w.said, func(c complaint) bool { return !strings.Contains(c.line, opusEnd) }) {
		return w, err
	}
	again, err := t.testifyStream(ctx, s, film, s.Source.Audio, earlier, "-fflags", unparsed)
	if err == nil && len(again.said) == 0 {
		w.said = nil // it was said, but of nothing that is amiss
	}
	return w, err
}

// Earlier is how much earlier film is opened, time after time, where its pictures depend on
// that: not at all at first, and from its start in the end.
func Earlier(s plan.Segment) iter.Seq[tags.Time] {
	return func(yield func(tags.Time) bool) {
		for earlier := tags.Time(0); yield(earlier); earlier = max(4*earlier, 5*tags.Second) {
			if seek, _ := Opening(s, earlier); seek == 0 {
				return
			}
		}
	}
}

// testifyStream decodes one stream of the film, which is opened as said, for the span of s.
func (t Tool) testifyStream(ctx context.Context, s plan.Segment, path string, stream int, earlier tags.Time, opened ...string) (*Witness, error) {
	guards, in, err := film(path)
	if err != nil {
		return nil, err
	}
	w := newWitness(s, earlier)
	return w, t.testify(ctx, append(slices.Concat(newGraph(s).options(), guards, opened), []string{
		"-ss", w.seek.Decimal(), "-t", (w.out + tags.Second).Decimal(), "-threads", "1", "-i", in,
		"-map", "0:" + strconv.Itoa(stream), "-f", "null", "-",
	}...), w)
}

func newWitness(s plan.Segment, earlier tags.Time) *Witness {
	w := &Witness{src: *s.Source}
	w.seek, w.in = Opening(s, earlier)
	w.out = w.in + s.Source.Rate.Duration(s.Span.Len())
	w.zero = newGraph(s).opened(*s.Source, w.seek)
	return w
}

// testify has w listen to a run of ffmpeg that tells of every packet.
func (t Tool) testify(ctx context.Context, args []string, w *Witness) error {
	w.lines = map[string]bool{}
	account := &lineWriter{each: w.hear}
	cause, err := t.start(ctx, process{
		name: t.FFmpeg, args: append([]string{"-hide_banner", "-v", "level+info", "-debug_ts", "-nostdin", "-nostats", "-y"}, args...),
		said: account, talks: true,
	})
	account.end()
	w.place()
	if w.unread != "" { // nothing that it does not tell is taken for damage
		return fmt.Errorf("this version of ffmpeg tells of pictures in words that are not known: %s", w.unread)
	}
	var run *Error
	switch failed := failure(cause, err, account.last.String()); {
	case cause == nil && err == nil:
		return nil
	case !errors.As(failed, &run) || run.Again || errors.Is(failed, ErrStuck) || errors.Is(failed, ErrFull):
		return failed
	default:
		return nil // what it said is told
	}
}

// What ffmpeg says with -debug_ts of each packet that it hands to a decoder, and of each
// picture that it gets back, in ticks of the film's own time. From 7 on it names a picture's best
// time pts and says of which stream it is before the level, and of packets likewise from 9 on.
var (
	packetLine  = regexp.MustCompile(`^(?:\[[va]ist#\S+ @ \w+\] )?\[info\] demuxer\+ffmpeg -> ist_index:(\S+) type:(video|audio) pkt_pts:(\S+) pkt_pts_time:(\S+) `)
	decodedLine = regexp.MustCompile(`^(?:\[vist#\S+ @ \w+\] (?:\[dec:\S+ @ \w+\] )?)?\[info\] decoder -> (?:pts:|.*type:video .*best_effort_ts:)(\S+) .*keyframe:(\d)`)
	tracedLine  = regexp.MustCompile(`\[info\] (demuxer\+ffmpeg|decoder) -> `)
	saidLine    = regexp.MustCompile(`\[(error|fatal|panic)\] `)
	// What the muxer that throws all away says is about times, which sound may have twice.
	thrownLine = regexp.MustCompile(`^\[(?:null|out#\d+/null) @ `)
)

// hear takes in one line of what ffmpeg says.
func (w *Witness) hear(line string) {
	at := func(ticks string) (tags.Time, bool) {
		n, err := strconv.ParseInt(ticks, 10, 64)
		return w.src.Ticks.Duration(tags.Frame(n)) - w.zero, err == nil
	}
	if m := packetLine.FindStringSubmatch(line); m != nil {
		w.apart = strings.Contains(m[1], ":") // as 7 and later write it, which do one beside the other
		t, ok := at(m[3])
		if m[2] == "audio" { // whose ticks are others
			seconds, err := strconv.ParseFloat(m[4], 64)
			t, ok = tags.Time(seconds*float64(tags.Second))-w.zero, err == nil
		}
		if !ok && len(w.packets) > 0 { // a packet without a time follows the one before
			t = w.packets[len(w.packets)-1]
		}
		w.packets = append(w.packets, t)
	} else if m := decodedLine.FindStringSubmatch(line); m != nil {
		if t, ok := at(m[1]); ok {
			w.pictures = append(w.pictures, decoded{t, m[2] == "1"})
		} else {
			w.untimed = true
		}
	} else if saidLine.MatchString(line) && !thrownLine.MatchString(line) {
		line = saidLine.ReplaceAllString(line, "")
		w.said = append(w.said, complaint{len(w.packets), len(w.pictures), line})
		w.lines[plain(line)] = true
	} else if w.unread == "" && tracedLine.MatchString(line) {
		w.unread = line
	}
}

// mostAhead is how many packets ffmpeg reads ahead of its decoder, and some more: its queue
// holds eight.
const mostAhead = 12

// readingLine is what is said by what reads packets, not by what decodes them.
var readingLine = regexp.MustCompile(`^\[(in#|mov,|matroska|mpeg|mxf|avi|flv|concat)`)

// place puts what a decoder said where its packet is, of a version that reads packets ahead. The
// pictures of the packets before come in order of time, each once as many packets more were
// decoded as pictures wait for one that is shown before them.
func (w *Witness) place() {
	if !w.apart {
		return
	}
	wait := 0
	for i, at := range w.packets {
		before := 0
		for _, earlier := range w.packets[max(i-mostAhead, 0):i] {
			if earlier > at {
				before++
			}
		}
		wait = max(wait, before)
	}
	parsers := w.parsers()
	for i := range w.said {
		c := &w.said[i]
		if readingLine.MatchString(c.line) || parsers[speaker(c.line)] {
			continue
		}
		decoded := wait + 1
		if c.pictures > 0 {
			last := w.pictures[c.pictures-1].at
			for _, at := range w.packets {
				if at <= last {
					decoded++
				}
			}
		}
		c.after = min(max(decoded, c.after-mostAhead), c.after)
	}
	slices.SortStableFunc(w.said, func(a, b complaint) int { return cmp.Compare(a.after, b.after) })
}

// parsers is what takes packets apart as they are read, and goes by the decoder's name: it says
// first what the decoder says again of the same packet.
func (w *Witness) parsers() map[string]bool {
	parsers, first := map[string]bool{}, map[string]string{}
	for _, c := range w.said {
		by, line := speaker(c.line), plain(c.line)
		if before, said := first[line]; !said {
			first[line] = by
		} else if before != by {
			parsers[before] = true
		}
	}
	return parsers
}

// speaker is who said a line, by name and address; of several the last.
func speaker(line string) string {
	names := speakerName.FindAllString(line, -1)
	if names == nil {
		return ""
	}
	return names[len(names)-1]
}

var speakerName = regexp.MustCompile(`\[[^\]]+ @ \w+\]`)

// Late reports whether the first picture that was decoded comes after the start of the
// span, so that what the span shows first is not known.
func (w *Witness) Late() bool {
	for _, p := range w.pictures {
		if p.at >= 0 && p.at <= w.in+guard(w.src) {
			return false
		}
	}
	return true
}

// Complained reports whether anything was said.
func (w *Witness) Complained() bool { return len(w.said) > 0 }

// Ends is when the last picture is shown, from the container's start, where that is so long
// before the end of the span that film is missing: by more than [mostMissing]. Of film whose
// pictures may stay for long it is not known.
func (w *Witness) Ends() (tags.Time, bool) {
	last := -w.seek
	for _, p := range w.pictures {
		last = max(last, p.at)
	}
	return w.seek + last, !w.src.Variable && !w.src.Gaps && last+w.src.Rate.Duration(mostMissing+2) < w.out
}

// Gap is a place in a film of constant rate where pictures are missing.
type Gap struct {
	At     tags.Time // of the first, from the container's start
	Frames tags.Frame
}

// Gaps is where pictures of the span are missing between others. Of film whose pictures do not
// all have a time it is not known.
func (w *Witness) Gaps() []Gap {
	if w.src.Variable || w.untimed {
		return nil
	}
	frame := w.src.Rate.Duration(1)
	var times []tags.Time
	for _, p := range w.pictures {
		times = append(times, p.at)
	}
	slices.Sort(times)
	var gaps []Gap
	for i := 1; i < len(times); i++ {
		missing := w.src.Rate.Floor(times[i]-times[i-1]+frame/2) - 1
		first, last := times[i-1]+frame, times[i]-frame
		if missing > 0 && last >= w.in-frame/2 && first < w.out-frame/2 {
			gaps = append(gaps, Gap{w.seek + first, missing})
		}
	}
	return gaps
}

// key is the last key picture at or before the span's start, and whether the one before
// it was decoded too, so that nothing which this one needs is missing.
func (w *Witness) key() (key tags.Time, sure bool) {
	key, sure = -w.seek, w.seek == 0
	found := 0
	for _, p := range w.pictures {
		if p.key && p.at <= w.in+guard(w.src) {
			key = p.at
			found++
		}
	}
	return key, sure || found > 1
}

// Sure reports whether the film was opened early enough for complaints about the span to be
// about the film, and not about where it was opened.
func (w *Witness) Sure() bool {
	_, sure := w.key()
	return sure
}

// Damage is the first complaint that may be about a picture of the span: one that was said
// between the last key picture before the span and the last packet of it. Of pictures that
// are shown before that key picture, though stored behind it, nothing depends.
func (w *Witness) Damage() (Damage, bool) {
	key, _ := w.key()
	first, last := 0, 0
	for i, at := range w.packets {
		if at == key {
			first = i
		}
		if at < w.out {
			last = i + 1
		}
	}
	for _, c := range w.said {
		at := w.in
		if c.after > 0 {
			at = w.packets[c.after-1]
		}
		if c.after > first && c.after <= last && at >= key {
			return Damage{w.seek + at, words(c.line)}, true
		}
	}
	return Damage{}, false
}

// Within reports whether something was said of what is decoded for the span itself, and not
// only where the film was opened: of sound, which needs nothing that lies far before it.
func (w *Witness) Within() bool {
	const near = tags.Second / 20
	for _, c := range w.said {
		if c.after == 0 {
			return true
		}
		last := c.after
		if w.apart { // it may be of any of these
			last = min(c.after+mostAhead, len(w.packets))
		}
		if w.packets[last-1] >= w.in-near && w.packets[c.after-1] < w.out+near {
			return true
		}
	}
	return false
}

// Explains reports whether all that err's run complained of is what these witnesses heard,
// so that it is about the film and not about what was made of it.
func Explains(err error, witnesses ...*Witness) bool {
	var e *Error
	if !errors.As(err, &e) || !errors.Is(err, ErrComplained) {
		return false
	}
	said := strings.TrimSpace(e.Stderr)
	if len(e.Stderr) >= tailSize { // the first line may be half of one
		_, said, _ = strings.Cut(said, "\n")
	}
	for line := range strings.Lines(said) {
		known := strings.Contains(line, "Last message repeated")
		for _, w := range witnesses {
			known = known || w.lines[plain(line)]
		}
		if !known {
			return false
		}
	}
	return true
}

var (
	address = regexp.MustCompile(` @ 0x[0-9a-f]+`)
	input   = regexp.MustCompile(`#\d+:`)
)

// words is a line as a person reads it: "h264: reference picture missing during reorder".
func words(line string) string {
	line = address.ReplaceAllString(strings.TrimSpace(line), "")
	who := ""
	for { // of several, the last is nearest to what it is about
		by, rest, ok := strings.Cut(line, "] ")
		if !ok || !strings.HasPrefix(by, "[") {
			break
		}
		who, line = strings.TrimPrefix(by[1:], "dec:"), rest
	}
	if who != "" && who != "NULL" {
		line = who + ": " + line
	}
	return strings.TrimSuffix(line, ".")
}

// plain is a line without what differs from run to run: where things lie in memory, and
// which of several inputs the film is.
func plain(line string) string {
	return input.ReplaceAllString(address.ReplaceAllString(strings.TrimSpace(line), ""), "#")
}

// lineWriter hands on what is written to it line by line, and keeps the last.
type lineWriter struct {
	each func(line string)
	part []byte
	last tail
}

func (w *lineWriter) Write(p []byte) (int, error) {
	w.part = append(w.part, p...)
	for {
		i := bytes.IndexAny(w.part, "\r\n")
		if i < 0 {
			return len(p), nil
		}
		w.line(w.part[:i])
		w.part = w.part[i+1:]
	}
}

func (w *lineWriter) line(line []byte) {
	_, _ = w.last.Write(append(line[:len(line):len(line)], '\n'))
	w.each(string(line))
}

// end hands on what was written without an end of line.
func (w *lineWriter) end() {
	if len(w.part) > 0 {
		w.line(w.part)
	}
}
