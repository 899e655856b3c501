package plan

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Field is one of the things that a label may say.
type Field string

// DefaultFields is what a label says where the recipe does not choose.
var DefaultFields = []Field{"down", "play", "clock", "rusher", "align", "move", "stunt", "set", "battle", "outcome", "time-to-beat"}

// The fields by when they are said, each with its words: of the play in the label's first
// line, of each rep until the play is over, and of what became of it from then on. A fact
// that is not tagged has no words. Those of the register of tags that labels say as they
// are come on top.
var (
	situationFields = withPlain(tags.PlayFields, map[Field]func(*builder, *tags.Play) string{
		"down":      func(_ *builder, p *tags.Play) string { return downs(p) },
		"play":      func(_ *builder, p *tags.Play) string { return fmt.Sprintf("Play %d", p.Number) },
		"clock":     func(_ *builder, p *tags.Play) string { return gameClock(p) },
		"opponent":  func(_ *builder, p *tags.Play) string { return p.Game.Opponent },
		"yard-line": func(_ *builder, p *tags.Play) string { return ballOn(p) },
	})
	rushFields = withPlain(tags.RepFields, map[Field]func(*builder, *tags.Rep) string{
		"rusher": (*builder).called,
		"align": func(b *builder, r *tags.Rep) string {
			return strings.Join(nonEmpty(technique(b.word("align", r.Align)), b.word("side", r.Side)), ", ")
		},
		"move":  (*builder).sequence,
		"stunt": (*builder).stunt,
		"set":   (*builder).met,
		"help": func(b *builder, r *tags.Rep) string {
			if r.Help == "none" {
				return ""
			}
			return b.word("help", r.Help)
		},
		"blocker": func(b *builder, r *tags.Rep) string {
			if r.Blocker == nil {
				return ""
			}
			who := b.naming.Who(r.Play.Game, r.Blocker)
			switch {
			case who == Nobody: // which he is not
				return ""
			case Hidden(who):
				who = strings.ToLower(who)
			}
			return "on " + who
		},
	})
	resultFields = map[Field]func(*builder, *tags.Rep) string{
		"battle": func(b *builder, r *tags.Rep) string {
			return strings.Join(nonEmpty(strings.Join(Battled(r, b.season.Vocabulary), " "), Called(r, b.season.Vocabulary)), separator)
		},
		"outcome": func(b *builder, r *tags.Rep) string { return b.word("outcome", r.Outcome) },
		"time-to-beat": func(b *builder, r *tags.Rep) string {
			t, ok := r.TimeToBeat()
			if !ok {
				return ""
			}
			return "beat him in " + secondsWords(t, b.season.Vocabulary.Limit)
		},
	}
)

// secondsWords is a time in tenths of a second, or finer where those would put it on the other side
// of a limit: a frame of 29.97 a second comes at 2.5025 s.
func secondsWords(t, limit tags.Time) string {
	unit := tags.Second
	for digits := 1; ; digits++ {
		unit /= 10
		rounded := (t + unit/2) / unit * unit
		if digits == 3 || (rounded <= limit) == (t <= limit) {
			return fmt.Sprintf("%.*f s", digits, rounded.Seconds())
		}
	}
}

// withPlain adds to of the fields of the register that labels say as they are.
func withPlain[T any](fields []*tags.Field[T], of map[Field]func(*builder, *T) string) map[Field]func(*builder, *T) string {
	for _, f := range fields {
		if f.Label == "" {
			continue
		}
		of[Field(f.Name)] = func(b *builder, x *T) string {
			text := f.Text(x)
			if list := f.WordList(); list != "" {
				text = b.word(list, text)
			}
			if text == "" {
				return ""
			}
			return fmt.Sprintf(f.Label, text)
		}
	}
	return of
}

// ballOn is the yard line as the staff writes it, and a bare number with its unit: it stands beside
// downs and numbers of men.
func ballOn(p *tags.Play) string {
	if strings.Trim(p.YardLine, "0123456789") == "" && p.YardLine != "" {
		return p.YardLine + "-yard line"
	}
	return p.YardLine
}

// technique is an alignment as a room says it, so that it is not read for a jersey: 9-technique,
// wide 9-technique. One that is no number is said as it is.
func technique(align string) string {
	number := strings.TrimPrefix(align, "wide ")
	if number == "" || number[0] < '0' || number[0] > '9' {
		return align
	}
	return align + "-technique"
}

// before is a word before what it is of: high hands.
func before(what, word string) string {
	if word == "" {
		return ""
	}
	return word + " " + what
}

// AllFields is every field: the usual ones in the order in which labels say them, then the
// others by name.
var AllFields = func() []Field {
	others := slices.Concat(slices.Collect(maps.Keys(situationFields)), slices.Collect(maps.Keys(rushFields)), slices.Collect(maps.Keys(resultFields)))
	others = slices.DeleteFunc(others, func(f Field) bool { return slices.Contains(DefaultFields, f) })
	slices.Sort(others)
	return slices.Concat(DefaultFields, others)
}()

// labelFields reads a list of fields.
func labelFields(d *tags.Decoder, n *yaml.Node, into *[]Field) {
	*into = []Field{}
	parse := oneOf("field of a label", AllFields...)
	d.List(n, "label", func(n *yaml.Node) {
		field, err := parse(d.Text(n, "field"))
		switch {
		case err != nil:
			d.Faults.Add(d.Pos(n), "%v", err)
		case slices.Contains(*into, field):
			d.Faults.Add(d.Pos(n), "the label says %s twice", field)
		default:
			*into = append(*into, field)
		}
	})
}

// fields is what labels say: none where the recipe wants none.
func (r Recipe) fields() []Field {
	if r.Label == nil {
		return DefaultFields
	}
	return r.Label
}

// says reports whether labels say one of fields.
func (b *builder) says(fields ...Field) bool {
	return slices.ContainsFunc(fields, func(f Field) bool { return slices.Contains(b.recipe.fields(), f) })
}

// said is what labels say of x, in the recipe's order.
func said[T any](b *builder, of map[Field]func(*builder, *T) string, x *T) []string {
	var parts []string
	var last Field
	for _, f := range b.recipe.fields() {
		if of[f] == nil {
			continue
		}
		switch text := of[f](b, x); {
		case text == "":
			continue
		case f == "align" && last == "rusher": // where he is goes with who he is
			parts[len(parts)-1] += ", " + text
		default:
			parts = append(parts, text)
		}
		last = f
	}
	return parts
}
