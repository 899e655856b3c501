package tags

import (
	"slices"
	"strings"
)

// sideView is one way of saying on which side of the ball a man lines up: two words, and
// where the first of them is as the defense sees it, left or right; empty where the play
// does not tell.
type sideView struct {
	words [2]string
	first func(*Play) string
}

// The ways of saying a side. Hash marks are named as the offense faces, so a ball on the
// left hash has its boundary, the nearer sideline, on the defense's right (common practice).
var (
	leftRight     = sideView{[2]string{"left", "right"}, func(*Play) string { return "left" }}
	strongWeak    = sideView{[2]string{"strong", "weak"}, func(p *Play) string { return p.Strength }}
	fieldBoundary = sideView{[2]string{"field", "boundary"}, func(p *Play) string {
		if p.Hash == "left" || p.Hash == "right" {
			return p.Hash
		}
		return ""
	}}
)

// LeftRight is the side the rep lines up on as the defense sees it, left or right, as it is
// written or as the strong side or the hash tells; empty where that is not known.
func (r *Rep) LeftRight() string { return r.side(leftRight) }

// StrongWeak is the side by the strength of the offense: strong or weak; empty where that is
// not known.
func (r *Rep) StrongWeak() string { return r.side(strongWeak) }

// FieldBoundary is the side by the hash: field, the wide side, or boundary; empty where that
// is not known.
func (r *Rep) FieldBoundary() string { return r.side(fieldBoundary) }

func (r *Rep) side(as sideView) string {
	for _, written := range []sideView{leftRight, strongWeak, fieldBoundary} {
		for i, word := range written.words {
			if r.Side != word {
				continue
			}
			if written.words == as.words {
				return word
			}
			at, first := written.first(r.Play), as.first(r.Play)
			if at == "" || first == "" {
				return ""
			}
			if i == 1 {
				at = opposite(at)
			}
			if at == first {
				return as.words[0]
			}
			return as.words[1]
		}
	}
	return ""
}

func opposite(side string) string {
	if side == "left" {
		return "right"
	}
	return "left"
}

// sideOfBlocker is where a lineman of the offense plays as the defense sees it; empty for
// other positions.
func sideOfBlocker(position string) string {
	switch strings.ToUpper(position) {
	case "LT", "LG":
		return "right"
	case "RT", "RG":
		return "left"
	default:
		return ""
	}
}

// checkSide finds a side that the blocker's position contradicts. On a stunt men cross, and
// either guard may block a man over the centre.
func (r *Rep) checkSide(fs *Faults) {
	centre := slices.Contains([]string{"0", "1", "2i"}, r.Align)
	if r.Blocker == nil || r.Stunt != "" || r.Job == "looper" || r.Job == "penetrator" || centre {
		return
	}
	side, over := r.LeftRight(), sideOfBlocker(r.Blocker.Position)
	if side != "" && over != "" && side != over {
		fs.Warn(r.Pos, "side %s, but his blocker is their %s, who plays over the defense's %s", r.Side, r.Blocker.Position, over)
		fs.hint("side is said as the defense sees it")
	}
}
