package ffmpeg

import (
	"fmt"
	"slices"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// dialect is how versions of ffmpeg tell of a packet and of a picture, each of the number of its
// frame, which is of a key picture where the second number is 1; and how many packets it reads
// ahead of those that it decodes.
type dialect struct {
	packet, picture, said string
	ahead                 int
}

// dialects is what 5.1.9, 7.1.5 and 9.0.2 said of the same film.
var dialects = map[string]dialect{
	"5.1": {
		"[info] demuxer+ffmpeg -> ist_index:0 type:video pkt_pts:%[1]d pkt_pts_time:0.4 pkt_dts:%[1]d pkt_dts_time:0.4 duration:1 duration_time:0.04 off:-9900000 off_time:-9.9",
		"[info] decoder -> ist_index:0 type:video frame_pts:%[1]d frame_pts_time:0.4 best_effort_ts:%[1]d best_effort_ts_time:0.4 keyframe:%[2]d frame_type:1 time_base:1/25",
		"[h264 @ 0x56520f953e40] [error] reference picture missing during reorder",
		0,
	},
	"7.1": {
		"[info] demuxer+ffmpeg -> ist_index:0:0 type:video pkt_pts:%[1]d pkt_pts_time:0.4 pkt_dts:%[1]d pkt_dts_time:0.4 duration:1 duration_time:0.04 off:-9900000 off_time:-9.9",
		"[vist#0:0/h264 @ 0x55556dd338c0] [dec:h264 @ 0x55556ddada80] [info] decoder -> pts:%[1]d pts_time:0.4 pkt_dts:%[1]d pkt_dts_time:0.4 duration:1 duration_time:0.04 keyframe:%[2]d frame_type:1 time_base:1/25",
		"[vist#0:0/h264 @ 0x55556dd338c0] [dec:h264 @ 0x55556ddada80] [error] reference picture missing during reorder",
		10,
	},
	"9.0": {
		"[vist#0:0/h264 @ 0x55556d850440] [info] demuxer+ffmpeg -> ist_index:0:0 type:video pkt_pts:%[1]d pkt_pts_time:0.4 pkt_dts:%[1]d pkt_dts_time:0.4 duration:1 duration_time:0.04 off:-9900000 off_time:-9.9",
		"[vist#0:0/h264 @ 0x55556d850440] [dec:h264 @ 0x5555768f2180] [info] decoder -> pts:%[1]d pts_time:0.4 pkt_dts:%[1]d pkt_dts_time:0.4 duration:1 duration_time:0.04 keyframe:%[2]d frame_type:1 time_base:1/25",
		"[h264 @ 0x56520f953e40] [error] reference picture missing during reorder",
		10,
	},
}

// account is what ffmpeg says with -debug_ts of film at 25 frames a second, opened at 10
// s for a span that starts at 10.4 s and lasts ten frames. A step is a picture that was read
// and handed out again at once ("K" of a key picture, "P" of another), what was said ("!"),
// or a wait of a frame (".").
func account(as dialect, steps string) *Witness {
	src := plan.Source{Rate: tags.Rate{Num: 25, Den: 1}, Ticks: tags.Rate{Num: 25, Den: 1}, Frames: 1000, Preroll: 4 * tags.Second / 10}
	w := newWitness(plan.Segment{Source: &src, Span: tags.Span{In: 260, Out: 270}}, 0)
	w.lines = map[string]bool{}
	var packets []string
	var decoded [][]string // what the decoder says of each packet
	pts := 0
	for _, step := range steps {
		switch step {
		case 'K', 'P':
			key := 0
			if step == 'K' {
				key = 1
			}
			packets = append(packets, fmt.Sprintf(as.packet, pts))
			decoded = append(decoded, []string{fmt.Sprintf(as.picture, pts, key)})
			pts++
		case '!': // of the packet before, whose picture comes after
			last := &decoded[len(decoded)-1]
			*last = append([]string{as.said}, *last...)
		case '.':
			pts++
		}
	}
	read := 0
	for i, lines := range decoded {
		for ; read < len(packets) && read <= i+as.ahead; read++ {
			w.hear(packets[read])
		}
		for _, line := range lines {
			w.hear(line)
		}
	}
	w.place()
	return w
}

// The span is the eleventh picture to the twentieth.
func TestWitness(t *testing.T) {
	for name, c := range map[string]struct {
		steps           string
		late, sure, bad bool
		at              tags.Frame // of the damage
	}{
		"sound":                      {"K PPPPPPPPP PPPPPPPPPP PPPPP", false, false, false, 0},
		"opened too late":            {"........... KPPPPPPPP PPPPP", true, false, false, 0},
		"opened on the span's first": {".......... KPPPPPPPPP PPPPP", false, false, false, 0},
		"nothing":                    {"", true, false, false, 0},
		"two groups":                 {"KPPPP KPPPP PPPPPPPPPP PPPPP", false, true, false, 0},
		"damaged":                    {"KPPPP KPPPP PPPP!PPPPPP PPPPP", false, true, true, 263},
		"damaged before, in a group": {"KPPPP KPP!PP PPPPPPPPPP PPPPP", false, true, true, 257},
		"in the group before":        {"KP!PPP KPPPP PPPPPPPPPP PPPPP", false, true, false, 0},
		"behind the span":            {"KPPPP KPPPP PPPPPPPPPP PP!PPP", false, true, false, 0},
		"in a gap":                   {"KPPPP KPPPP PPPP..!PPPP PPPPP", false, true, true, 263},
	} {
		for version, as := range dialects {
			w := account(as, c.steps)
			d, bad := w.Damage()
			if w.Late() != c.late || w.Sure() != c.sure || bad != c.bad || w.unread != "" {
				t.Errorf("%s, %s: late %v, sure %v, damaged %v, not read %q; want %v, %v, %v", version, name, w.Late(), w.Sure(), bad, w.unread, c.late, c.sure, c.bad)
			}
			if want := (Damage{tags.Rate{Num: 25, Den: 1}.Duration(c.at), "h264: reference picture missing during reorder"}); bad && d != want {
				t.Errorf("%s, %s: %v, want %v", version, name, d, want)
			}
		}
	}
}

// What takes packets apart as they are read speaks in the decoder's name, and ahead of it: damage
// is where its packet is, however far ahead that was read. 5.1 has no name for it.
func TestWhatIsReadAhead(t *testing.T) {
	for _, as := range []dialect{dialects["7.1"], dialects["9.0"]} {
		for _, late := range []int{0, 3, 8} { // pictures that are decoded only after it was said
			w := account(as, "")
			picture := func(n int) { w.hear(fmt.Sprintf(as.picture, n, max(1-n%5, 0))) }
			for n := range 15 {
				w.hear(fmt.Sprintf(as.packet, n))
			}
			for n := range 14 - late {
				picture(n)
			}
			w.hear("[h264 @ 0x5555768f0000] [error] Invalid NAL unit size (766 > 417).")
			w.hear(fmt.Sprintf(as.packet, 15))
			for n := 14 - late; n < 15; n++ {
				picture(n)
			}
			w.hear("[h264 @ 0x56520f953e40] [error] Invalid NAL unit size (766 > 417).")
			w.place()
			if d, found := w.Damage(); !found || d.At != (tags.Rate{Num: 25, Den: 1}).Duration(250+14) {
				t.Errorf("%d late: damage %v at %s, want it at %s", late, found, d.At, tags.Rate{Num: 25, Den: 1}.Duration(264))
			}
		}
	}
}

// A version that tells of pictures in other words is not understood; no film is damaged by it.
func TestOtherWords(t *testing.T) {
	for _, line := range []string{
		"[vist#0:0/h264 @ 0x1] [info] decoder -> time:10 keyframe:1",
		"[info] demuxer+ffmpeg -> stream:0 pts:10",
	} {
		w := account(dialects["9.0"], "KP")
		if w.hear(line); w.unread != line {
			t.Errorf("%s: taken as read", line)
		}
	}
}

func TestExplains(t *testing.T) {
	heard := account(dialects["5.1"], "K!P")
	for name, c := range map[string]struct {
		said string
		want bool
	}{
		"the same elsewhere": {"[h264 @ 0x1] reference picture missing during reorder\n    Last message repeated 1 times\n", true},
		"something else":     {"[h264 @ 0x1] reference picture missing during reorder\n[libx264 @ 0x2] broken\n", false},
	} {
		if got := Explains(&Error{Err: ErrComplained, Stderr: c.said}, heard); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
	if Explains(&Error{Err: ErrFull, Stderr: ""}, heard) {
		t.Error("a full disk is explained by the film")
	}
}

// However early film is opened, it is opened from its start in the end.
func TestEarlier(t *testing.T) {
	src := plan.Source{Rate: tags.Rate{Num: 25, Den: 1}, Ticks: tags.Rate{Num: 1000, Den: 1}, Preroll: tags.Second}
	s := plan.Segment{Source: &src, Span: tags.Span{In: 2500, Out: 2600}}
	all := slices.Collect(Earlier(s))
	if want := []tags.Time{0, 5 * tags.Second, 20 * tags.Second, 80 * tags.Second, 320 * tags.Second}; !slices.Equal(all, want) {
		t.Errorf("%v, want %v", all, want)
	}
}
