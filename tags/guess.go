package tags

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// GuessKey is the extra of a play that says which of its snaps are guesses.
const GuessKey = "guess"

// Guesses is what a play says under [GuessKey]: "snap" where its snap is a guess on every
// angle, "sideline snap; tower snap" where it is one on these angles alone, "" for none.
type Guesses string

// EverySnap says that the snap is a guess on every angle.
const EverySnap = Guesses(Snap)

const guessSeparator = "; "

// Guesses is what p says of its guessed snaps.
func (p *Play) Guesses() Guesses { return Guesses(p.Extra[GuessKey]) }

// Snap reports whether the snap on an angle is a guess.
func (g Guesses) Snap(angle string) bool {
	return g == EverySnap || slices.Contains(strings.Split(string(g), guessSeparator), snapOn(angle))
}

// WithSnap returns g with the snap on an angle among the guesses.
func (g Guesses) WithSnap(angle string) Guesses {
	switch {
	case g.Snap(angle):
		return g
	case g == "":
		return Guesses(snapOn(angle))
	default:
		return g + guessSeparator + Guesses(snapOn(angle))
	}
}

// WithoutSnap returns g without the snap on an angle among the guesses. Angles are all angles of
// the play.
func (g Guesses) WithoutSnap(angle string, angles []string) Guesses {
	if !g.Snap(angle) {
		return g
	}
	parts := strings.Split(string(g), guessSeparator)
	if g == EverySnap {
		parts = nil
		for _, a := range angles {
			parts = append(parts, snapOn(a))
		}
	}
	parts = slices.DeleteFunc(parts, func(part string) bool { return part == snapOn(angle) })
	return Guesses(strings.Join(parts, guessSeparator))
}

func snapOn(angle string) string { return angle + " " + string(Snap) }

// ExtraValue is one extra of a play.
type ExtraValue struct{ Key, Value string }

// SetExtra is the edits that set extras of p, which stands at a path of its file: those
// that are there are replaced, the others inserted.
func SetExtra(p *Play, at Path, values ...ExtraValue) []Edit {
	at = at.To("extra")
	var edits []Edit
	extra := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	for _, v := range values {
		if _, there := p.Extra[v.Key]; there {
			edits = append(edits, Replace(at.To(v.Key), v.Value))
			continue
		}
		if p.Extra != nil {
			edits = append(edits, Insert(at, v.Key, Scalar(v.Value)))
			continue
		}
		extra.Content = append(extra.Content, Scalar(v.Key), Scalar(v.Value))
	}
	if len(extra.Content) > 0 {
		edits = append(edits, Insert(at[:len(at)-1], "extra", extra, PlayKeysBefore("extra")...))
	}
	return edits
}
