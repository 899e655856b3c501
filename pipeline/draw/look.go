package draw

import (
	"fmt"

	"gopkg.in/yaml.v3"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/templates"
)

// DefaultLook is the look that templates/look.yaml carries.
func DefaultLook() (plan.Look, error) {
	const name = "look.yaml"
	data, err := templates.FS.ReadFile(name)
	if err != nil {
		return plan.Look{}, fmt.Errorf("reading the look: %w", err)
	}
	return ParseLook("templates/"+name, data)
}

// ParseLook reads a look file, which gives every key; its error is a tags.Faults.
func ParseLook(file string, data []byte) (plan.Look, error) {
	d := tags.Decoder{File: file}
	var look plan.Look
	given := map[string]bool{}
	keys := tags.Keys{}
	for key, into := range map[string]*string{"ink": &look.Ink, "quiet": &look.Quiet, "ground": &look.Ground, "accent": &look.Accent} {
		keys[key] = func(n *yaml.Node) {
			given[key] = true
			*into = d.Text(n, key)
			if _, err := parseColour(*into); err != nil {
				d.Faults.Add(d.Pos(n), "%s: %v", key, err)
			}
		}
	}
	for key, into := range map[string]*int{"lead": &look.Lead, "line": &look.Line, "title": &look.Title, "small": &look.Small} {
		keys[key] = func(n *yaml.Node) {
			given[key] = true
			*into, _ = d.Whole(n, leastSize, mostSize)
		}
	}
	d.Document(data, "the look", keys)
	if len(d.Faults) == 0 {
		for _, key := range []string{"ink", "quiet", "ground", "accent", "lead", "line", "title", "small"} {
			if !given[key] {
				d.Faults.Add(tags.Pos{File: file}, "the look says nothing of %s", key)
			}
		}
	}
	if len(d.Faults) == 0 {
		if _, err := newPalette(look); err != nil {
			d.Faults.Add(tags.Pos{File: file}, "%v", err)
		}
	}
	return look, d.Faults.Err()
}

// leastSize and mostSize bound a look's type sizes, in thousandths.
const leastSize, mostSize = 10, 200

func checkSizes(look plan.Look) error {
	for _, s := range []struct {
		key   string
		value int
	}{{"lead", look.Lead}, {"line", look.Line}, {"title", look.Title}, {"small", look.Small}} {
		if s.value < leastSize || s.value > mostSize {
			return fmt.Errorf("look's %s is %d thousandths: want %d to %d", s.key, s.value, leastSize, mostSize)
		}
	}
	return nil
}

// scale turns a look's sizes into pixels of one house.
type scale struct {
	side int // the shorter side: upright film is watched no nearer than wide film
}

func newScale(house plan.House) scale { return scale{min(house.Width, house.Height)} }

// least is the size below which type is not readable on film, or as near to it as a
// tiny picture lets.
func (s scale) least() int { return min(11, s.side/20) }

// size is thousandths of the shorter side in pixels.
func (s scale) size(thousandths int) int {
	return max((thousandths*s.side+500)/1000, s.least())
}

// floor is how far type of size px may be shrunk before text is folded or cut instead.
func (s scale) floor(px int) int { return max(px*3/4, min(px, s.least())) }
