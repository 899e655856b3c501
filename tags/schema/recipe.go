package schema

import (
	"maps"

	"trenchcut/tags"
)

// RecipeWords is the words of a recipe that are known above this package.
type RecipeWords struct {
	Orders, Reveals, Damaged, Qualities, Names, Traits, Shapes, Fields, Looks []string
}

// How long something is shown, up to a minute.
const (
	padding = `((0{0,3}60(\.0+)?|[0-5]?\d(\.\d{1,9})?)s|(0{1,3}:)?(0{1,2}:[0-5]?\d(\.\d{1,9})?|0?1:00?(\.0{1,9})?))`
	pad     = `^` + padding + `$`
)

// Recipe is the schema of recipe files.
func Recipe(words RecipeWords) Node {
	chosen := words.selection()
	section := maps.Clone(chosen)
	section["title"] = described(text(), "of the section's slate")
	section["slate"] = described(exactly([]string{"reads", "drills"}), "a slate and no plays: what calls for the technique, or its drills")
	recipe := words.whole()
	recipe["sections"] = described(list(mapping([]string{"title"}, section)), "parts of the reel, each behind a slate with its own numbers")
	maps.Copy(recipe, chosen)
	return document("Trenchcut recipe", pictureDefs(), nil, recipe)
}

// orNo is what may be left out of a reel by a word.
func orNo(n Node) Node { return Node{"anyOf": []Node{exactly([]string{"no"}), n}} }

// selection is the keys that choose plays, of a recipe and of its sections alike.
func (words RecipeWords) selection() map[string]Node {
	moment := pattern(`^` + oneOf(tags.MarkNames()) + `([+-]` + padding + `)?$`)
	speed := Node{"anyOf": []Node{
		{"type": "number", "minimum": 0.1, "maximum": 1},
		pattern(`^(0?\.\d{1,5}|1(\.0*)?|\d{1,4}/\d{1,4}|\d{1,3}(\.\d+)?%)$`),
	}}
	caps := map[string]Node{}
	for _, t := range words.Traits {
		caps[t] = whole(1, 10_000)
	}
	return map[string]Node{
		"choose": described(terms(), "terms, as find takes them"),
		"where":  described(text(), "a CEL expression more, with _ for - in keys"),
		"plays":  described(yesNo(), "the unit is the play, with or without a rep tagged"),
		"order":  described(Node{"anyOf": []Node{exactly(words.Orders), list(exactly(words.Orders))}}, "order of the plays: by the first, where equal by the next"),
		"limit":  described(whole(0, 10_000), "at most so many plays; 0 is all"),
		"least":  described(whole(1, 10_000), "how many plays it should be: where it is fewer, that is said"),
		"vary": described(Node{"anyOf": []Node{yesNo(), exactly(words.Traits), list(exactly(words.Traits))}},
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
}

// pictureDefs is pictures of a staff's own.
func pictureDefs() map[string]Node {
	named := Node{"type": "string", "minLength": 1}
	hold := mapping([]string{"file"}, map[string]Node{
		"file": described(named, "PNG or JPEG, beside the recipe"),
		"hold": described(pattern(pad), "for how long: 3s"),
	})
	hold["type"] = "object"
	one := Node{"anyOf": []Node{{"type": "string", "minLength": 1}, hold}}
	return map[string]Node{
		"picture":  one,
		"pictures": orNo(Node{"anyOf": []Node{{"$ref": "#/$defs/picture"}, {"type": "array", "items": Node{"$ref": "#/$defs/picture"}, "maxItems": 5}}}),
	}
}

// whole is the keys that a recipe alone has.
func (words RecipeWords) whole() map[string]Node {
	pictures := func(doc string) Node { return described(Node{"$ref": "#/$defs/pictures"}, doc) }
	return map[string]Node{
		"about":   described(exactly([]string{"move"}), "the reel is about one of these, which the terms must name"),
		"intro":   pictures("pictures of your own, before all else"),
		"outro":   pictures("pictures of your own, behind all else"),
		"title":   described(text(), "title of the reel; left out, it says what was asked for"),
		"angles":  described(list(text()), "angles to show, in this order; none means every one, end zone first"),
		"before":  described(pattern(pad), "shown before the snap: 3s"),
		"after":   described(pattern(pad), "shown after the finish: 1s"),
		"beyond":  described(yesNo(), "before and after may reach past the play's in and out"),
		"shape":   described(exactly(words.Shapes), "outline of the picture: phone follows the rush, tall shows two angles in step, one above the other"),
		"label":   described(Node{"type": "array", "items": exactly(words.Fields), "uniqueItems": true}, "what labels say, in this order; [] leaves them out"),
		"damaged": described(exactly(words.Damaged), "what becomes of plays whose film is damaged: the reel is refused, is made without them, or shows what decodes"),
		"reveal":  described(exactly(words.Reveals), "when a label tells what became of the rush"),
		"names":   described(exactly(words.Names), "how much of who a player is the reel tells"),
		"quality": described(exactly(words.Qualities), "how much is kept of the picture, for how much space"),
		"size":    described(pattern(`^(\d{3,4}p|\d{3,4}[x×]\d{3,4})$`), "of the picture: 720p or 1280x720"),
		"rate": described(Node{"anyOf": []Node{
			{"type": "number", "minimum": 1, "maximum": 120},
			pattern(`^(\d{1,10}/\d{1,10}|\d+(\.\d+)?)$`),
		}}, "pictures a second: 25, 29.97 or 30000/1001"),
		"mute":   described(yesNo(), "no sound"),
		"clock":  described(yesNo(), "the rush clock"),
		"ring":   described(Node{"anyOf": []Node{yesNo(), exactly([]string{"snap"})}}, "the rings around the men to watch: as long as each is surely followed, about the snap alone, or none"),
		"stills": described(yesNo(), "pictures of the film on slates"),
		"look":   described(Node{"anyOf": []Node{exactly(words.Looks), mapping(nil, lookKeys())}}, "how labels and slates are drawn: the name of a look that comes with the program, or its keys"),
	}
}

// Keys is the schema of files of keys, by what each name in them stands for; named is the keys
// that have a name and no character.
func Keys(what map[string]string, named []string) Node {
	key := func() Node {
		return Node{"anyOf": []Node{exactly(named), pattern(`^(Shift )?[^0-9\s]$`)}}
	}
	properties := map[string]Node{}
	for name, does := range what {
		properties[name] = described(key(), does)
	}
	return document("Trenchcut keys of the marking page", nil, nil, properties)
}

// Look is the schema of look files.
func Look() Node { return document("Trenchcut look", nil, nil, lookKeys()) }

func lookKeys() map[string]Node {
	colour := func(doc string) Node { return described(pattern(`^#[0-9a-fA-F]{6}$`), doc) }
	size := func(doc string) Node { return described(whole(10, 300), doc) }
	return map[string]Node{
		"team": described(Node{"type": "array", "items": pattern(`^#[0-9a-fA-F]{6}$`), "minItems": 2, "maxItems": 2},
			"two colours of the team's own: of the ground, and the accent"),
		"nearest": described(yesNo(), "take colours that cannot be read as the nearest that can, and say so"),
		"ink":     colour("colour of text"),
		"quiet":   colour("colour of text of less weight"),
		"ground":  colour("colour of slates, and of the strip behind labels"),
		"accent":  colour("colour of rules and bars"),
		"lead":    size("a label's first line, in thousandths of the picture's shorter side"),
		"line":    size("its other lines, and a slate's text"),
		"title":   size("a slate's title"),
		"small":   size("a slate's foot"),
		"figure":  size("the count that a slate of numbers is about"),
	}
}
