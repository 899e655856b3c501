package schema

import "trenchcut/tags"

// Tags is the schema of tag files in the words of v.
func Tags(v *tags.Vocabulary) Node {
	w := newWriter(v)
	defs := map[string]Node{"play": w.play(), "rep": w.rep()}
	return document("Trenchcut tag file", defs, []string{"game"}, map[string]Node{
		"game": w.game(),
		"film": described(named(tags.ID, mapping(nil, map[string]Node{
			"file":   described(textOrParts(), "the film file, from this file's folder, or a list of the files that a camera or a disc cut one film into"),
			"offset": anyTime("this angle's time less the first angle's, for film that runs on without stops"),
			"drift":  described(wholeOrLess(1000), "by how many millionths of the first angle's time the offset grows"),
		})), "the film of each angle; the first is what in and out on a play mean"),
		"people": described(named(tags.ID, mapping(nil, map[string]Node{
			"name":   described(text(), "name as a room reads it"),
			"team":   described(text(), "us, them, or the opponent's name"),
			"jersey": described(text(), "number as it is written: 091 is not 91"),
			"pos":    described(text(), "position"),
			"traits": mapping(nil, map[string]Node{"runs": described(yesNo(), "a passer who runs")}),
		})), "who the reps name, by id"),
		"assume": described(mapping(nil, assumable()), "what stands of a rep where nothing is tagged"),
		"plays": described(Node{
			"type": []string{"array", "null"}, "items": Node{"$ref": "#/$defs/play"}, "maxItems": tags.MaxPlays,
		}, "the plays, with or without reps"),
	})
}

// assumable is the fields of a rep that a file may let stand without a tag, each with the
// one value that may.
func assumable() map[string]Node {
	fields := map[string]Node{}
	for _, f := range tags.RepFields {
		switch {
		case f.Absent == "":
		case f.Kind == tags.KindYesNo:
			fields[f.Name] = described(Node{"enum": []any{"no", "false", false}}, f.Doc)
		default:
			fields[f.Name] = described(exactly([]string{f.Absent}), f.Doc)
		}
	}
	return fields
}

func (w *writer) game() Node {
	return Node{
		"type": "object", "additionalProperties": false, "required": []string{"id"},
		"properties": map[string]Node{
			"id":       described(Node{"type": []string{"string", "integer"}, "pattern": tags.ID.String()}, "name of the game in file names and chapters"),
			"by":       described(text(), "who tagged it, where another has a file of the same id: a second opinion, for agreement only"),
			"kind":     w.word("kind"),
			"date":     w.of("date", pattern(`^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$`)),
			"us":       described(text(), "our team"),
			"opponent": w.of("opponent", text()),
			"field":    w.word("field"),
		},
	}
}

func (w *writer) play() Node {
	properties := map[string]Node{
		"extra": described(named(nil, text()), "columns of the staff's own, which find knows by their names"),
		"in":    filmTime("where the play begins on the first angle"),
		"out":   filmTime("where it ends: the first frame not shown"),
		"angles": described(named(nil, mapping(nil, map[string]Node{
			"file": described(text(), "a clip of this play alone"),
			"in":   filmTime("where the play begins on this angle"),
			"out":  filmTime("where it ends: the first frame not shown"),
			"snap": filmTime("the snap on this angle"),
		})), "the play's times on each angle"),
		"marks": w.marks(tags.AllMarks, true),
		"reps": described(Node{
			"type": []string{"array", "null"}, "items": Node{"$ref": "#/$defs/rep"}, "maxItems": tags.MaxReps,
		}, "one player's play each"),
	}
	for _, f := range tags.PlayFields {
		properties[f.FileKey()] = fieldNode(w, f)
	}
	n := mapping([]string{"play"}, properties)
	n["type"] = "object"
	return n
}

// fieldNode is the value of a field of the register.
func fieldNode[T any](w *writer, f *tags.Field[T]) Node {
	switch f.Kind {
	case tags.KindWord:
		return described(choice(w.names(f.WordList())), f.Doc)
	case tags.KindWords:
		return described(list(choice(w.names(f.WordList()))), f.Doc)
	case tags.KindTexts:
		return described(list(text()), f.Doc)
	case tags.KindClock:
		return described(pattern(`^((0?\d|1[0-4]):[0-5]\d|15:00)$`), f.Doc+", in quotes: \"11:32\"")
	case tags.KindWhole:
		return described(whole(f.Least, f.Most), f.Doc)
	case tags.KindYesNo:
		return described(yesNo(), f.Doc)
	case tags.KindPerson:
		return described(given(), f.Doc+", by id, number or name")
	default:
		return described(text(), f.Doc)
	}
}

func (w *writer) marks(marks []tags.Mark, ofPlay bool) Node {
	properties := map[string]Node{}
	for _, m := range marks {
		if m == tags.Snap && ofPlay {
			properties[string(m)] = filmTime("the snap on the first angle")
			continue
		}
		doc := "the " + string(m) + ", on the film or from the snap: +1.90s"
		if said, ok := markDocs[m]; ok {
			doc = said + ", on the film or from the snap: +1.90s"
		}
		properties[string(m)] = markTime(doc)
	}
	return described(mapping(nil, properties), "what is known of when things happened")
}

var markDocs = map[tags.Mark]string{
	tags.Getoff:  "his first movement",
	tags.Contact: "first contact with the blocker",
	tags.Turn:    "his path changes",
	tags.Beat:    "his hips past the blocker's hips",
	tags.Release: "ball out",
	tags.Finish:  "the rush is over",
}

func (w *writer) rep() Node {
	return Node{"anyOf": []Node{w.shortRep(), w.longRep()}}
}

// shortRep is "91 9 long-arm>up-and-under short sack".
func (w *writer) shortRep() Node {
	var words []string
	for _, list := range tags.OneLineLists() {
		words = append(words, w.names(list)...)
	}
	step := w.step()
	moves := step + `(>` + step + `)*`
	n := pattern(`^\s*\S+(\s+(` + oneOf(words) + `|` + moves + `))+\s*$`)
	return described(n, "a rep on one line: number or id, then align, moves, set, battle or outcome, in any order")
}

// step is one move, with its path where that is not the usual one.
func (w *writer) step() string {
	return oneOf(w.names("move")) + `(/` + oneOf(w.names("path")) + `)?`
}

func (w *writer) longRep() Node {
	properties := map[string]Node{
		"move":    w.moves(),
		"counter": described(yesNo(), "the staff's own word, where it overrules the computed one"),
		"marks":   w.marks(tags.AllMarks[1:], false),
		"spot":    described(named(nil, points(1, 1, "x and y, 0 to 1 of the picture")), "where he is at the snap, by angle"),
		"draw":    described(list(drawing()), "what to draw over the picture, a shape each"),
		"in":      anyTime("where this rep begins, within the play"),
		"out":     anyTime("where it ends: the first frame not shown"),
	}
	under := map[string]map[string]Node{"": properties}
	for _, f := range tags.RepFields {
		if under[f.Under] == nil {
			under[f.Under] = map[string]Node{}
		}
		under[f.Under][f.FileKey()] = fieldNode(w, f)
	}
	for key, doc := range map[string]string{"blocker": "who blocked him, and how", "grade": "plus, zero or minus"} {
		properties[key] = described(mapping(nil, under[key]), doc)
	}
	n := mapping([]string{"rusher"}, properties)
	n["type"] = "object"
	n["anyOf"] = []Node{{"required": []string{"battle"}}, {"required": []string{"outcome"}}}
	return n
}

func (w *writer) moves() Node {
	step := w.step()
	return described(Node{"anyOf": []Node{
		choice(w.names("move")), // an editor completes what is listed, not what matches
		pattern(`^` + step + `(\s*>\s*` + step + `)*$`),
		{"type": "array", "items": Node{"anyOf": []Node{exactly(w.names("move")), pattern(`^` + step + `$`)}}},
	}}, "the moves in order, each with its path where that is not the usual one: [bull, arm-over/outside]")
}

// points is least to most points of a picture, as x and y in turn.
func points(least, most int, doc string) Node {
	number := Node{"anyOf": []Node{
		{"type": "number", "minimum": 0, "maximum": 1},
		pattern(`^(0?\.\d+|0|1|0\.|1\.0*)$`),
	}}
	return described(Node{"type": "array", "items": number, "minItems": 2 * least, "maxItems": 2 * most}, doc)
}

func drawing() Node {
	return Node{
		"type": "object", "additionalProperties": false, "required": []string{"at", "angle"},
		"oneOf": []Node{
			{"required": []string{"circle"}},
			{"required": []string{"arrow"}},
			{"required": []string{"line"}},
			{"required": []string{"path"}},
		},
		"properties": map[string]Node{
			"at":     described(exactly(tags.MarkNames()), "the mark at which it is drawn"),
			"angle":  described(given(), "the angle it is drawn on"),
			"circle": points(1, 1, "its middle"),
			"arrow":  points(2, 2, "from and to"),
			"line":   points(2, 2, "from and to"),
			"path":   points(2, 64, "point after point"),
		},
	}
}
