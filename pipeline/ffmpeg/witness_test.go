package ffmpeg

import (
	"fmt"
	"slices"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// account is what ffmpeg 5.1 says with -debug_ts of film at 25 frames a second, opened at 10
// s for a span that starts at 10.4 s and lasts ten frames. A step is a picture that was read
// and handed out again at once ("K" of a key picture, "P" of another), what was said ("!"),
// or a wait of a frame (".").
func account(steps string) *Witness {
	src := plan.Source{Rate: tags.Rate{Num: 25, Den: 1}, Ticks: tags.Rate{Num: 25, Den: 1}, Frames: 1000, Preroll: 4 * tags.Second / 10}
	w := newWitness(plan.Segment{Source: &src, Span: tags.Span{In: 260, Out: 270}}, 0)
	w.lines = map[string]bool{}
	pts := 0
	for _, step := range steps {
		switch step {
		case 'K', 'P':
			key := 0
			if step == 'K' {
				key = 1
			}
			w.hear(fmt.Sprintf("[info] demuxer+ffmpeg -> ist_index:0 type:video pkt_pts:%d pkt_pts_time:0.4 pkt_dts:%d pkt_dts_time:0.4 duration:1 duration_time:0.04 off:-9900000 off_time:-9.9", pts, pts))
			w.hear(fmt.Sprintf("[info] decoder -> ist_index:0 type:video frame_pts:%d frame_pts_time:0.4 best_effort_ts:%d best_effort_ts_time:0.4 keyframe:%d frame_type:1 time_base:1/25", pts, pts, key))
			pts++
		case '!':
			w.hear("[h264 @ 0x56520f953e40] [error] reference picture missing during reorder")
		case '.':
			pts++
		}
	}
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
		w := account(c.steps)
		d, bad := w.Damage()
		if w.Late() != c.late || w.Sure() != c.sure || bad != c.bad {
			t.Errorf("%s: late %v, sure %v, damaged %v; want %v, %v, %v", name, w.Late(), w.Sure(), bad, c.late, c.sure, c.bad)
		}
		if want := (Damage{tags.Rate{Num: 25, Den: 1}.Duration(c.at), "h264: reference picture missing during reorder"}); bad && d != want {
			t.Errorf("%s: %v, want %v", name, d, want)
		}
	}
}

func TestExplains(t *testing.T) {
	heard := account("K!P")
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
