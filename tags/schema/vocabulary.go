package schema

import (
	"maps"
	"slices"
	"strings"

	"trenchcut/tags"
)

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
	attributes := map[string]Node{
		"also":   described(list(name), "other names for it; one that is a word already gives that word this name"),
		"family": described(text(), "of a move: power, speed, hands, change, or one of your own"),
		"path":   described(text(), "of a move: the path it usually takes"),
		"label":  described(text(), "how it is shown to a room"),
		"what":   described(short(300), "of a move: what it is, as the slate of a teach reel says it"),
		"fix":    described(short(300), "of a move: what to put right first where it did not win"),
		"drills": described(list(short(300)), "of a move: what it is practised by"),
	}
	for _, f := range tags.WordFlags {
		attributes[f.Name] = described(yesNo(), "of a word of "+strings.Join(f.Lists, " or ")+": "+f.Doc)
	}
	defs := map[string]Node{
		"word":  mapping(nil, attributes),
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
		"limit":     sinceSnap("beat in time: at most this long after the snap"),
		"ball-out":  sinceSnap("a ball released sooner than this after the snap was out before a rush gets there"),
		"distances": described(distances(), "yards to go: short is at most, long at least"),
		"words":     described(mapping(nil, words), "words to add, or to change, by the key they stand under"),
		"order":     described(mapping(nil, order), "the order of a list, best first; what is left out follows"),
		"points":    described(mapping(nil, w.points()), "production points, added up over what is tagged of a rep"),
		"caution":   described(caution, "what stands where technique is taught, in the staff's own words"),
		"same":      described(Node{"type": "object", "additionalProperties": Node{"type": "object", "additionalProperties": list(text())}}, "texts of a field or of a column of the staff's own that mean the same, under the one that stands for all"),
		"choices":   described(named(word, terms()), "terms under a name, all of which must hold"),
	})
}

func sinceSnap(doc string) Node {
	return described(Node{"anyOf": []Node{
		pattern(`^\+?(` + clockTime + `|` + seconds + `|\d{1,6}\.\d{1,9})$`), someSeconds(0, 1e6),
	}}, doc)
}

// distances is what a staff calls short and long, on every down or on one.
func distances() Node {
	sides := func() map[string]Node {
		return map[string]Node{"short": whole(1, 99), "long": whole(1, 99)}
	}
	all := sides()
	for _, down := range []string{"second", "third", "fourth"} {
		all[down] = mapping(nil, sides())
	}
	return mapping(nil, all)
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
