package mark

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// ofPlay is what a play says in a field; empty where it says nothing.
func ofPlay(p *tags.Play, f Field) string {
	keys := f.Keys()
	switch {
	case keys[0] == "angles" && len(keys) == 3:
		for _, w := range p.Written() {
			if w.Angle == keys[1] {
				return instant(map[string]*tags.Instant{"in": w.In, "out": w.Out, "snap": w.Snap}[keys[2]])
			}
		}
		return ""
	case keys[0] == "marks" && len(keys) == 2:
		at, _ := p.Marks.At(tags.Mark(keys[1]))
		return instant(at)
	case keys[0] == "extra" && len(keys) == 2:
		return p.Extra[keys[1]]
	case f == "in" || f == "out":
		for _, w := range p.Written() {
			if w.Angle == "" {
				return instant(map[Field]*tags.Instant{"in": w.In, "out": w.Out}[f])
			}
		}
		return ""
	}
	if pf, ok := playField[f]; ok {
		return pf.Text(p)
	}
	return ""
}

// ofRep is what a rep says in a field itself, without what its game lets stand.
func ofRep(r *tags.Rep, f Field) string {
	keys := f.Keys()
	switch {
	case keys[0] == "marks" && len(keys) == 2:
		at, _ := r.Marks.At(tags.Mark(keys[1]))
		return instant(at)
	case keys[0] == "spot" && len(keys) == 2:
		if at, ok := r.Spot[keys[1]]; ok {
			return listed(coordinate(at.X), coordinate(at.Y))
		}
		return ""
	case f == "move":
		return strings.ReplaceAll(r.Sequence(), ">", listSign)
	case f == "counter":
		return r.Counter
	case f == "job" && r.Job == r.Play.UsualJob():
		return "" // as where nothing is tagged
	case f == "in":
		return instant(r.Written().In)
	case f == "out":
		return instant(r.Written().Out)
	case f == "draw":
		return drawings(r)
	}
	rf, ok := repField[f]
	if !ok {
		return ""
	}
	for assumed := range r.Assumed() {
		if assumed == rf {
			return ""
		}
	}
	if list, ok := rf.At(r).(*[]string); ok {
		return listed(*list...)
	}
	return rf.Text(r)
}

func instant(at *tags.Instant) string {
	if at == nil {
		return ""
	}
	return at.String()
}

// coordinate is a place in the picture to a thousandth of it.
func coordinate(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// playField and repField are the registers of plays and of reps, by field.
var (
	playField = registered(tags.PlayFields, func(pf *tags.Field[tags.Play]) Field { return Field(pf.FileKey()) })
	repField  = registered(tags.RepFields, fieldOf)
)

func registered[T any](list []*tags.Field[T], field func(*tags.Field[T]) Field) map[Field]*tags.Field[T] {
	by := make(map[Field]*tags.Field[T], len(list))
	for _, f := range list {
		by[field(f)] = f
	}
	return by
}

// isText reports whether a field of a play, or of a rep, holds one text, which may have lines.
func isText(rep string, f Field) bool {
	if rep != "" {
		rf, ok := repField[f]
		return ok && rf.Kind == tags.KindText
	}
	pf, ok := playField[f]
	return ok && pf.Kind == tags.KindText
}

// fieldOf is the field that an entry of the register is about.
func fieldOf(rf *tags.Field[tags.Rep]) Field {
	if rf.Under != "" {
		return Field(rf.Under + "." + rf.FileKey())
	}
	return Field(rf.FileKey())
}

// valuesOf is all that a rep says, in the order of a tag file.
func valuesOf(r *tags.Rep) []Value {
	var values []Value
	for _, f := range repFields(r.Play.Game) {
		if text := ofRep(r, f); text != "" {
			values = append(values, Value{f, text})
		}
	}
	return values
}

// repFields is every field of reps that can be set, in the order of a tag file.
func repFields(g *tags.Game) []Field {
	var fields []Field
	for _, key := range repKeys {
		switch key {
		case "marks":
			for _, m := range tags.AllMarks[1:] {
				fields = append(fields, Field("marks."+string(m)))
			}
			continue
		case "spot":
			for _, film := range g.Films {
				fields = append(fields, Field("spot."+film.Angle))
			}
			continue
		}
		under := len(fields)
		for _, rf := range tags.RepFields {
			if rf.Under == key {
				fields = append(fields, fieldOf(rf))
			}
		}
		if len(fields) == under {
			fields = append(fields, Field(key))
		}
	}
	return fields
}

// repKeys is the keys of a rep in the order in which a person writes them.
var repKeys = []string{
	"rusher", "job", "align", "side", "stance", "gap", "unblocked", "blocker", "help", "stunt", "called", "in", "out",
	"move", "counter", "tells", "saw", "marks", "battle", "outcome", "did", "credit", "how", "contain", "penalty",
	"grade", "loaf", "missed-assignment", "taken", "note", "point", "praise", "model", "spot", "draw",
}

// playFields is every field of plays that can be set, in the order of a tag file; their
// numbers cannot.
func playFields(g *tags.Game) []Field {
	var fields []Field
	for _, pf := range tags.PlayFields[1:] {
		fields = append(fields, Field(pf.FileKey()))
	}
	for _, film := range g.Films {
		for _, key := range angleKeys[1:] {
			fields = append(fields, Field("angles."+film.Angle+"."+key))
		}
	}
	for _, m := range tags.AllMarks {
		fields = append(fields, Field("marks."+string(m)))
	}
	return fields
}

// anglesOf is the name of each of a game's films, in order.
func anglesOf(g *tags.Game) []string {
	names := make([]string, len(g.Films))
	for i, f := range g.Films {
		names[i] = f.Angle
	}
	return names
}

// angleKeys is the keys of an angle of a play in their order.
var angleKeys = []string{"file", "in", "out", "snap"}

// knownField reports whether a field of a play, or of a rep, can be set in g.
func knownField(g *tags.Game, rep string, f Field) error {
	known := playFields(g)
	if rep != "" {
		known = repFields(g)
	}
	if slices.Contains(known, f) || rep == "" && (strings.HasPrefix(string(f), "extra.") || f == "in" || f == "out") {
		return nil
	}
	return fmt.Errorf("%s is nothing that can be set here", f)
}
