package schema

import (
	"maps"
	"slices"

	"trenchcut/tags"
)

// Tags is the schema of tag files in the words of v.
func Tags(v *tags.Vocabulary) Node {
	w := newWriter(v)
	defs := map[string]Node{"play": w.play(), "rep": w.rep()}
	return document("Trenchcut tag file", defs, []string{"game"}, map[string]Node{
		"game": w.game(),
		"film": described(named(id, mapping(nil, map[string]Node{
			"file":   described(text(), "the film file, from this file's folder"),
			"offset": anyTime("this angle's time less the first angle's, for film that runs on without stops"),
			"drift":  described(wholeOrLess(1000), "by how many millionths of the first angle's time the offset grows"),
		})), "the film of each angle; the first is what in and out on a play mean"),
		"people": described(named(id, mapping(nil, map[string]Node{
			"name":   described(text(), "name as a room reads it"),
			"team":   described(text(), "us, or the opponent's name"),
			"jersey": described(text(), "number as it is written: 091 is not 91"),
			"pos":    described(text(), "position"),
			"traits": mapping(nil, map[string]Node{"runs": described(yesNo(), "a passer who runs")}),
		})), "who the reps name, by id"),
		"plays": described(Node{
			"type": []string{"array", "null"}, "items": Node{"$ref": "#/$defs/play"}, "maxItems": 9999,
		}, "the plays, with or without reps"),
	})
}

func (w *writer) game() Node {
	return Node{
		"type": "object", "additionalProperties": false, "required": []string{"id"},
		"properties": map[string]Node{
			"id":       described(Node{"type": []string{"string", "integer"}, "pattern": id.String()}, "name of the game in file names and chapters"),
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
	n := mapping([]string{"play"}, map[string]Node{
		"play":       w.of("play", whole(1, 9999)),
		"type":       w.word("type"),
		"unit":       w.word("unit"),
		"series":     w.of("series", whole(1, 99)),
		"quarter":    w.of("quarter", whole(1, 9)),
		"clock":      described(pattern(`^((0?\d|1[0-4]):[0-5]\d|15:00)$`), "time left in the quarter, in quotes: \"11:32\""),
		"down":       w.of("down", whole(1, 4)),
		"distance":   w.of("distance", whole(1, 99)),
		"yard-line":  w.of("yard-line", text()),
		"hash":       w.word("hash"),
		"personnel":  w.of("personnel", text()),
		"front":      w.of("front", text()),
		"call":       w.of("call", text()),
		"protection": w.word("protection"),
		"passer":     described(given(), "passer, by id"),
		"extra":      described(named(nil, text()), "columns of the staff's own, which find knows by their names"),
		"in":         filmTime("where the play begins on the first angle"),
		"out":        filmTime("where it ends: the first frame not shown"),
		"angles": described(named(nil, mapping(nil, map[string]Node{
			"file": described(text(), "a clip of this play alone"),
			"in":   filmTime("where the play begins on this angle"),
			"out":  filmTime("where it ends: the first frame not shown"),
			"snap": filmTime("the snap on this angle"),
		})), "the play's times on each angle"),
		"marks": w.marks(tags.AllMarks, true),
		"reps": described(Node{
			"type": []string{"array", "null"}, "items": Node{"$ref": "#/$defs/rep"}, "maxItems": 99,
		}, "one player's play each"),
	})
	n["type"] = "object"
	return n
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
		properties[string(m)] = anyTime(doc)
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
	for _, key := range []string{"align", "side", "job", "set", "help", "stunt", "battle", "outcome", "block"} {
		words = append(words, w.names(key)...)
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
	step := w.step()
	number := Node{"anyOf": []Node{
		{"type": "number", "minimum": 0, "maximum": 1},
		pattern(`^(0?\.\d+|0|1|0\.|1\.0*)$`),
	}}
	points := func(least, most int, doc string) Node {
		return described(Node{"type": "array", "items": number, "minItems": 2 * least, "maxItems": 2 * most}, doc)
	}
	n := mapping([]string{"rusher"}, map[string]Node{
		"rusher": described(given(), "whose rep it is, by id"),
		"job":    w.word("job"),
		"align":  w.word("align"),
		"side":   w.word("side"),
		"stance": w.word("stance"),
		"gap":    w.word("gap"),
		"blocker": described(mapping(nil, map[string]Node{
			"who":   described(given(), "who blocked him, by id"),
			"set":   w.word("set"),
			"hands": w.word("hands"),
			"lean":  w.word("lean"),
			"block": w.word("block"),
		}), "who blocked him, and how"),
		"unblocked": w.of("unblocked", yesNo()),
		"help":      w.word("help"),
		"stunt":     w.word("stunt"),
		"called":    w.word("called"),
		"move": described(Node{"anyOf": []Node{
			choice(w.names("move")), // an editor completes what is listed, not what matches
			pattern(`^` + step + `(\s*>\s*` + step + `)*$`),
			{"type": "array", "items": Node{"anyOf": []Node{exactly(w.names("move")), pattern(`^` + step + `$`)}}},
		}}, "the moves in order, each with its path where that is not the usual one: [bull, arm-over/outside]"),
		"counter": described(yesNo(), "the staff's own word, where it overrules the computed one"),
		"tells":   w.of("tells", list(text())),
		"saw":     w.of("saw", list(choice(w.names("saw")))),
		"marks":   w.marks(tags.AllMarks[1:], false),
		"battle":  w.word("battle"),
		"outcome": w.word("outcome"),
		"credit":  w.word("credit"),
		"how":     w.word("how"),
		"contain": w.word("contain"),
		"penalty": w.word("penalty"),
		"grade": described(mapping(nil, map[string]Node{
			"assignment": w.of("assignment", choice(w.names("grade"))),
			"technique":  w.of("technique", choice(w.names("grade"))),
			"effort":     w.of("effort", choice(w.names("grade"))),
		}), "plus, zero or minus"),
		"loaf":              w.of("loaf", yesNo()),
		"missed-assignment": w.of("missed-assignment", yesNo()),
		"taken":             w.word("taken"),
		"note":              w.of("note", text()),
		"point":             w.of("point", text()),
		"model":             described(text(), "the rep to show beside it, by its name: wk1-harbor-p022-91"),
		"spot":              described(named(nil, points(1, 1, "x and y, 0 to 1 of the picture")), "where he is at the snap, by angle"),
		"draw": described(list(Node{
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
		}), "what to draw over the picture, a shape each"),
		"in":  anyTime("where this rep begins, within the play"),
		"out": anyTime("where it ends: the first frame not shown"),
	})
	n["type"] = "object"
	n["anyOf"] = []Node{{"required": []string{"battle"}}, {"required": []string{"outcome"}}}
	return n
}

// Vocabulary is the schema of vocabulary files that lie over v.
func Vocabulary(v *tags.Vocabulary) Node {
	w := newWriter(v)
	// A word may be a number, such as an alignment; anything else is its name.
	name := Node{"anyOf": []Node{pattern(word.String()), {"type": "integer", "minimum": 0}}}
	entry := Node{"anyOf": []Node{
		name,
		{
			"type": "object", "propertyNames": Node{"pattern": word.String()},
			"additionalProperties": Node{"$ref": "#/$defs/word"},
		},
	}}
	defs := map[string]Node{
		"word": mapping(nil, map[string]Node{
			"also":   described(list(name), "other names for it; one that is a word already gives that word this name"),
			"family": described(text(), "of a move: power, speed, hands, change, or one of your own"),
			"path":   described(text(), "of a move: the path it usually takes"),
			"label":  described(text(), "how it is shown to a room"),
			"what":   described(short(300), "of a move: what it is, as the slate of a teach reel says it"),
			"drills": described(list(short(300)), "of a move: what it is practised by"),

			"pressure": described(yesNo(), "of an outcome: it counts as pressure on the passer"),
			"sack":     described(yesNo(), "of an outcome: it counts as a sack, which is pressure too"),
		}),
		"words": list(entry),
		"order": terms(),
	}
	words, order := map[string]Node{}, map[string]Node{}
	for _, key := range slices.Sorted(maps.Keys(v.Lists)) {
		words[key] = w.of(key, Node{"$ref": "#/$defs/words"})
		order[key] = Node{"$ref": "#/$defs/order"}
	}
	caution := pattern(`(\p{L}+\P{L}+){4}\p{L}`) // five words at least
	caution["maxLength"] = 400
	return document("Trenchcut vocabulary", defs, nil, map[string]Node{
		"limit":   described(pattern(`^\+?(`+clockTime+`|`+seconds+`)$`), "beat in time: at most this long after the snap"),
		"words":   described(mapping(nil, words), "words to add, or to change, by the key they stand under"),
		"order":   described(mapping(nil, order), "the order of a list, best first; what is left out follows"),
		"points":  described(mapping(nil, w.points()), "production points, added up over what is tagged of a rep"),
		"caution": described(caution, "what stands where technique is taught, in the staff's own words"),
		"choices": described(named(word, terms()), "terms under a name, all of which must hold"),
	})
}

// points is the keys of a table of production points. Words of a staff's own are not in
// v, so any word may stand, and those that are known are offered.
func (w *writer) points() map[string]Node {
	number := Node{"anyOf": []Node{
		{"type": "number", "exclusiveMinimum": -1000, "exclusiveMaximum": 1000, "multipleOf": 0.01},
		pattern(`^[+-]?\d{1,3}(\.\d{1,2})?$`),
	}}
	keys := map[string]Node{}
	for key, list := range tags.PricedKeys() {
		if list == "" {
			keys[key] = described(number, "points for a rep of which it is tagged")
			continue
		}
		n := named(word, number)
		n["propertyNames"] = Node{"anyOf": []Node{exactly(w.names(list)), {"pattern": word.String()}}}
		keys[key] = described(n, "points for each word")
	}
	return keys
}

// Reads is the schema of reads files in the words of v.
func Reads(v *tags.Vocabulary) Node {
	w := newWriter(v)
	anyOf := func(names []string) Node {
		return Node{"anyOf": []Node{exactly(names), {"type": "array", "items": exactly(names)}}}
	}
	moves, families, paths := w.names("move"), v.Families(), w.names("path")
	answer := mapping(nil, map[string]Node{
		"first-move":   w.of("first-move", anyOf(moves)),
		"move":         w.of("move", anyOf(moves)),
		"first-family": w.of("first-family", anyOf(families)),
		"family":       w.of("family", anyOf(families)),
		"path":         w.of("path", anyOf(paths)),
	})
	answer["type"], answer["minProperties"] = "object", 1
	read := mapping([]string{"answers"}, map[string]Node{
		"when":    described(terms(), "terms that must all hold, as find takes them"),
		"where":   described(text(), "a CEL expression that must hold, with _ for - in keys"),
		"answers": described(list(answer), "what takes the read: any one of these"),
		"why":     described(text(), "one line for the room"),
	})
	read["type"] = "object"
	read["anyOf"] = []Node{{"required": []string{"when"}}, {"required": []string{"where"}}}
	return document("Trenchcut reads", nil, nil, map[string]Node{
		"reads":   described(named(word, read), "what a rusher may see, and what it usually gives"),
		"without": described(terms(), "reads that are left out"),
	})
}

// Recipe is the schema of recipe files. Which orders, times to reveal, qualities
// and ways to name players there are is known above this package.
func Recipe(orders, reveals, qualities, names, traits, shapes, fields []string) Node {
	padding := `((0{0,3}60(\.0+)?|[0-5]?\d(\.\d{1,9})?)s|(0{1,3}:)?(0{1,2}:[0-5]?\d(\.\d{1,9})?|0?1:00?(\.0{1,9})?))`
	pad := `^` + padding + `$`
	moment := pattern(`^` + oneOf(tags.MarkNames()) + `([+-]` + padding + `)?$`)
	speed := Node{"anyOf": []Node{
		{"type": "number", "minimum": 0.1, "maximum": 1},
		pattern(`^(0?\.\d{1,5}|1(\.0*)?|\d{1,4}/\d{1,4}|\d{1,3}(\.\d+)?%)$`),
	}}
	// orNo is what may be left out of a reel by a word.
	orNo := func(n Node) Node { return Node{"anyOf": []Node{exactly([]string{"no"}), n}} }
	caps := map[string]Node{}
	for _, t := range traits {
		caps[t] = whole(1, 10_000)
	}
	selection := map[string]Node{
		"choose": described(terms(), "terms, as find takes them"),
		"where":  described(text(), "a CEL expression more, with _ for - in keys"),
		"plays":  described(yesNo(), "the unit is the play, with or without a rep tagged"),
		"order":  described(Node{"anyOf": []Node{exactly(orders), list(exactly(orders))}}, "order of the plays: by the first, where equal by the next"),
		"limit":  described(whole(0, 10_000), "at most so many plays; 0 is all"),
		"least":  described(whole(1, 10_000), "how many plays it should be: where it is fewer, that is said"),
		"vary": described(Node{"anyOf": []Node{yesNo(), exactly(traits), list(exactly(traits))}},
			"where the limit leaves some out, none of these has two before each has one; yes is move"),
		"same":     described(orNo(mapping(nil, caps)), "how many plays may have the same at most"),
		"in-a-row": described(whole(1, 10_000), "how many plays that were not won may follow each other before a win is seen, be it a model"),
		"why":      described(yesNo(), "after each rep that was not won, its point and the reads that were missed"),
		"model":    described(yesNo(), "after each rep that was not won, the win most like it"),
		"replay": described(orNo(mapping(nil, map[string]Node{
			"from":  described(moment, "the mark it begins at, or some time before or after: contact-0.2s"),
			"to":    described(moment, "the mark it ends at"),
			"speed": described(speed, "of the film's own: 0.5, 1/2 or 50%"),
		})), "each play again, slowed"),
		"freeze": described(orNo(mapping(nil, map[string]Node{
			"at":   described(exactly(tags.MarkNames()), "the mark to stop at where a rep has a point to teach"),
			"hold": described(pattern(pad), "for how long: 4s"),
		})), "the picture stopped, to teach"),
	}
	section := maps.Clone(selection)
	section["title"] = described(text(), "of the section's slate")
	section["slate"] = described(exactly([]string{"reads", "drills"}), "a slate and no plays: what calls for the technique, or its drills")
	named := Node{"type": "string", "minLength": 1}
	hold := mapping([]string{"file"}, map[string]Node{
		"file": described(named, "PNG or JPEG, beside the recipe"),
		"hold": described(pattern(pad), "for how long: 3s"),
	})
	hold["type"] = "object"
	one := Node{"anyOf": []Node{{"type": "string", "minLength": 1}, hold}}
	defs := map[string]Node{
		"picture":  one,
		"pictures": orNo(Node{"anyOf": []Node{{"$ref": "#/$defs/picture"}, {"type": "array", "items": Node{"$ref": "#/$defs/picture"}, "maxItems": 5}}}),
	}
	pictures := func(doc string) Node { return described(Node{"$ref": "#/$defs/pictures"}, doc) }
	recipe := map[string]Node{
		"about":    described(exactly([]string{"move"}), "the reel is about one of these, which the terms must name"),
		"intro":    pictures("pictures of your own, before all else"),
		"outro":    pictures("pictures of your own, behind all else"),
		"title":    described(text(), "title of the reel; left out, it says what was asked for"),
		"sections": described(list(mapping([]string{"title"}, section)), "parts of the reel, each behind a slate with its own numbers"),
		"angles":   described(list(text()), "angles to show, in this order; none means every one, end zone first"),
		"before":   described(pattern(pad), "shown before the snap: 3s"),
		"after":    described(pattern(pad), "shown after the finish: 1s"),
		"beyond":   described(yesNo(), "before and after may reach past the play's in and out"),
		"shape":    described(exactly(shapes), "outline of the picture: tall shows two angles in step, one above the other"),
		"label":    described(Node{"type": "array", "items": exactly(fields), "uniqueItems": true}, "what labels say, in this order; [] leaves them out"),
		"reveal":   described(exactly(reveals), "when a label tells what became of the rush"),
		"names":    described(exactly(names), "how much of who a player is the reel tells"),
		"quality":  described(exactly(qualities), "how much is kept of the picture, for how much space"),
		"size":     described(pattern(`^(\d{3,4}p|\d{3,4}[x×]\d{3,4})$`), "of the picture: 720p or 1280x720"),
		"rate": described(Node{"anyOf": []Node{
			{"type": "number", "minimum": 1, "maximum": 120},
			pattern(`^(\d{1,10}/\d{1,10}|\d+(\.\d+)?)$`),
		}}, "pictures a second: 25, 29.97 or 30000/1001"),
		"mute":  described(yesNo(), "no sound"),
		"clock": described(yesNo(), "the rush clock"),
		"ring":  described(yesNo(), "the rings around the men to watch"),
		"look":  described(mapping(nil, lookKeys()), "how labels and slates are drawn"),
	}
	maps.Copy(recipe, selection)
	return document("Trenchcut recipe", defs, nil, recipe)
}

// Look is the schema of look files.
func Look() Node { return document("Trenchcut look", nil, nil, lookKeys()) }

func lookKeys() map[string]Node {
	colour := func(doc string) Node { return described(pattern(`^#[0-9a-fA-F]{6}$`), doc) }
	size := func(doc string) Node { return described(whole(10, 200), doc) }
	return map[string]Node{
		"team": described(Node{"type": "array", "items": pattern(`^#[0-9a-fA-F]{6}$`), "minItems": 2, "maxItems": 2},
			"two colours of the team's own: of the ground, and of all that is on it and has no other"),
		"nearest": described(yesNo(), "take colours that cannot be read as the nearest that can, and say so"),
		"ink":     colour("colour of text"),
		"quiet":   colour("colour of text of less weight"),
		"ground":  colour("colour of slates, and of the strip behind labels"),
		"accent":  colour("colour of rules and bars"),
		"lead":    size("a label's first line, in thousandths of the picture's shorter side"),
		"line":    size("its other lines, and a slate's text"),
		"title":   size("a slate's title"),
		"small":   size("a slate's foot"),
	}
}
