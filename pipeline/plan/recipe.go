package plan

import (
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
	"trenchcut/templates"
)

// Reveal says when a label tells what became of the rush.
type Reveal string

// The times to reveal.
const (
	RevealAfter  Reveal = "after"  // once the play is over: the room is asked first
	RevealBefore Reveal = "before" // from the start
)

var reveals = []Reveal{RevealAfter, RevealBefore}

// Recipe is how a reel is made, whatever film it is made from.
type Recipe struct {
	Title string
	Selection
	About Subject // what the terms must name one of
	// Sections are shown one after the other; a recipe without any is one by itself.
	Sections []Section
	Angles   []string  // in this order; none means every angle, end zone first
	Before   tags.Time // shown before the snap
	After    tags.Time // shown after the finish
	Beyond   bool      // before and after may reach past the play's in and out
	Reveal   Reveal
	Width    int // of the house picture; 0 takes the ladder's
	Height   int
	Rate     tags.Rate // of the house picture; zero takes the ladder's
	Shape    Shape     // of the house picture; empty is wide
	Label    []Field   // what labels say, in this order; nil is DefaultFields
	Mute     bool
	Damaged  Damaged // what becomes of plays whose film is damaged; empty is RefuseDamaged
	NoClock  bool    // leave the rush clock out
	Rings    Rings   // around rushers; empty is FollowRings
	NoStills bool    // leave the pictures of film on slates out
	Names    Names
	Handout  Handout // whom the reel is handed to; no recipe file says it
	// Whose is the key of the one player whose rushes were asked for; no recipe file says it.
	Whose string
	// Eye tells what moves in film, for shapes that follow it; no recipe file says it.
	Eye Eye
	// Tracker follows rushers for their rings; nil follows none. No recipe file says it.
	Tracker Tracker
	Look    Look
	// Nearest says that a look that cannot be read is taken as the nearest that can.
	Nearest bool
	Intro   []Picture // pictures of the staff's own, before all else
	Outro   []Picture // and behind it
	// Encoder is what the recipe file says by the name of a Quality.
	Encoder Encoder
}

// maxPad bounds Before and After.
const maxPad = 60 * tags.Second

// DefaultRecipe is the recipe and the look that templates carry.
func DefaultRecipe() (Recipe, error) {
	r := Recipe{Encoder: Standard.Encoder()}
	r, err := read("look.yaml", func(file string, data []byte) (Recipe, error) { return ParseLook(file, data, r) })
	if err != nil {
		return r, err
	}
	return read("default.reel.yaml", func(file string, data []byte) (Recipe, error) { return ParseRecipe(file, data, r) })
}

func read[T any](name string, parse func(file string, data []byte) (T, error)) (T, error) {
	data, err := templates.FS.ReadFile(name)
	if err != nil {
		var none T
		return none, fmt.Errorf("read the template %s: %w", name, err)
	}
	return parse("templates/"+name, data)
}

// ParseRecipe reads a recipe file over base: what the file leaves out stays as it is
// there. Its error is [tags.Faults].
func ParseRecipe(file string, data []byte, base Recipe) (Recipe, error) {
	d := &tags.Decoder{File: file}
	r := base
	var sections *yaml.Node
	keys := recipeKeys(d, &r)
	keys["sections"] = func(n *yaml.Node) { sections = n }
	d.Document(data, "the recipe", keys)
	if sections != nil { // last, because they start from what the recipe says
		r.Sections = nil
		d.List(sections, "sections", func(n *yaml.Node) {
			s := section(d, n, r.Selection)
			if s.Slate != "" && r.About == "" {
				d.Faults.Add(d.Pos(n), "a slate of %s is of one technique: the recipe wants about: move", s.Slate)
			}
			r.Sections = append(r.Sections, s)
		})
	}
	return r, d.Faults.Err()
}

// recipeKeys reads each key of a recipe, but for its sections, into r.
func recipeKeys(d *tags.Decoder, r *Recipe) tags.Keys {
	keys := tags.Keys{
		"title": func(n *yaml.Node) { r.Title = d.Text(n, "title") },
		"about": value(d, "about", oneOf("subject", AboutMove), &r.About),
		"intro": func(n *yaml.Node) { r.Intro = pictures(d, n, "intro") },
		"outro": func(n *yaml.Node) { r.Outro = pictures(d, n, "outro") },
		"angles": func(n *yaml.Node) {
			r.Angles = nil
			d.List(n, "angles", func(n *yaml.Node) { r.Angles = append(r.Angles, d.Text(n, "angle")) })
		},
		"shape":  value(d, "shape", oneOf("shape", shapes...), &r.Shape),
		"label":  func(n *yaml.Node) { labelFields(d, n, &r.Label) },
		"before": value(d, "before", parsePad, &r.Before),
		"after":  value(d, "after", parsePad, &r.After),
		"beyond": func(n *yaml.Node) { r.Beyond = d.YesNo(n, "beyond") },
		"reveal": value(d, "reveal", oneOf("reveal", reveals...), &r.Reveal),
		"size": func(n *yaml.Node) {
			w, h, err := ParseSize(d.Text(n, "size"))
			if err != nil {
				d.Faults.Add(d.Pos(n), "%v", err)
			}
			r.Width, r.Height = w, h
		},
		"quality": func(n *yaml.Node) {
			q := Standard
			value(d, "quality", oneOf("quality", qualities...), &q)(n)
			r.Encoder = q.Encoder()
		},
		"rate":    value(d, "rate", ParseRate, &r.Rate),
		"mute":    func(n *yaml.Node) { r.Mute = d.YesNo(n, "mute") },
		"damaged": value(d, "damaged", oneOf("way with damaged film", damagedWays...), &r.Damaged),
		"clock":   func(n *yaml.Node) { r.NoClock = !d.YesNo(n, "clock") },
		"names":   value(d, "names", oneOf("names", nameWays...), &r.Names),
		"ring":    value(d, "ring", parseRings, &r.Rings),
		"stills":  func(n *yaml.Node) { r.NoStills = !d.YesNo(n, "stills") },
		"look":    func(n *yaml.Node) { look(d, n, r) },
	}
	maps.Copy(keys, selectionKeys(d, &r.Selection))
	return keys
}

// value reads a scalar with a parser.
func value[T any](d *tags.Decoder, what string, parse func(string) (T, error), into *T) func(*yaml.Node) {
	return func(n *yaml.Node) {
		v, err := parse(d.Text(n, what))
		if err != nil {
			d.Faults.Add(d.Pos(n), "%v", err)
			return
		}
		*into = v
	}
}

// terms reads one line of terms, or a list of them.
func terms(d *tags.Decoder, n *yaml.Node) []string {
	if n.Kind == yaml.ScalarNode {
		return tags.SplitTerms(d.Text(n, "choose"))
	}
	var list []string
	d.List(n, "choose", func(n *yaml.Node) { list = append(list, d.Text(n, "term")) })
	return list
}

// oneOf returns a parser that takes the known names alone; what says in its error what they are.
func oneOf[T ~string](what string, known ...T) func(string) (T, error) {
	return func(s string) (T, error) {
		if slices.Contains(known, T(s)) {
			return T(s), nil
		}
		return "", fmt.Errorf("unknown %s %q; %s", what, s, tags.DidYouMean(s, namesOf(known)))
	}
}

func namesOf[T ~string](list []T) []string {
	names := make([]string, len(list))
	for i, t := range list {
		names[i] = string(t)
	}
	return names
}

// parsePad reads how much to show before the snap or after the finish: 3s, 2.5s, 1:00.
func parsePad(s string) (tags.Time, error) {
	at, err := tags.ParseInstant(s)
	if err != nil || at.NeedsRate() || at.From == tags.FromSnap || tags.Time(at.N) > maxPad {
		return 0, fmt.Errorf("%q is not a length of time such as 3s or 2.5s, at most %d s", s, maxPad/tags.Second)
	}
	return tags.Time(at.N), nil
}

// ParseRate reads the rate of a house picture: 1 to 120 frames a second, as a fraction
// no finer than cameras have it, such as 30000/1001.
func ParseRate(s string) (tags.Rate, error) {
	r, err := tags.ParseRate(s)
	if err == nil && (r.FPS() < 1 || r.FPS() > 120 || r.Den > 1001) {
		err = fmt.Errorf("rate %q is not one a reel can have: 1 to 120 frames a second", s)
	}
	return r, err
}

var sizeForm = regexp.MustCompile(`^(\d{3,4})[x×](\d{3,4})$`)

// The least and the most that the sides of a reel's picture may be: on a smaller one a
// slate has no room for its caution.
const (
	LeastShort = 180
	LeastLong  = 320
	MostSide   = 3840
)

// ParseSize reads 720p or 1280x720, with even sides.
func ParseSize(s string) (width, height int, err error) {
	if h, ok := strings.CutSuffix(s, "p"); ok {
		height, _ = strconv.Atoi(h)
		width = even((height*16 + 4) / 9)
	} else if m := sizeForm.FindStringSubmatch(s); m != nil {
		width, _ = strconv.Atoi(m[1])
		height, _ = strconv.Atoi(m[2])
	}
	short, long := min(width, height), max(width, height)
	if short < LeastShort || long < LeastLong || long > MostSide || width%2+height%2 != 0 {
		return 0, 0, fmt.Errorf("size %q is not one such as 720p or 1280x720, with even sides, from %dx%d up to %d a side", s, LeastLong, LeastShort, MostSide)
	}
	return width, height, nil
}

var colourForm = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)

// ParseLook reads a look file over the look of base. Its error is [tags.Faults].
func ParseLook(file string, data []byte, base Recipe) (Recipe, error) {
	d := &tags.Decoder{File: file}
	r := base
	d.Document(data, "the look", lookKeys(d, &r))
	return r, d.Faults.Err()
}

// look reads a look in a recipe: its keys, or the name of one that comes with the program.
func look(d *tags.Decoder, n *yaml.Node, r *Recipe) {
	if n.Kind != yaml.ScalarNode {
		d.Mapping(n, "look", lookKeys(d, r))
		return
	}
	name := d.Text(n, "look")
	if !slices.Contains(Looks(), name) {
		d.Faults.Add(d.Pos(n), "unknown look %q; %s", name, tags.DidYouMean(name, Looks()))
		return
	}
	file := "look.yaml"
	if name != Night {
		file = name + lookSuffix
	}
	named, err := read(file, func(file string, data []byte) (Recipe, error) { return ParseLook(file, data, *r) })
	if err != nil {
		d.Faults.Add(d.Pos(n), "look %s: %v", name, err)
		return
	}
	r.Look = named.Look
}

// lookSuffix ends the names of files of looks.
const lookSuffix = ".look.yaml"

// Night is the look of look.yaml.
const Night = "night"

// Looks is the names of the looks that come with the program.
func Looks() []string {
	found, _ := fs.Glob(templates.FS, "*"+lookSuffix) // it fails only for a bad pattern
	names := []string{Night}
	for _, f := range found {
		names = append(names, strings.TrimSuffix(f, lookSuffix))
	}
	return names
}

// lookKeys reads a look, in a file of its own or in a recipe. The two colours of a team are
// the ground and the accent; what else is said of a colour comes first.
func lookKeys(d *tags.Decoder, r *Recipe) tags.Keys {
	l := &r.Look
	said := map[*string]bool{}
	read := func(n *yaml.Node, what string) string {
		c := strings.ToLower(d.Text(n, what))
		if !colourForm.MatchString(c) {
			d.Faults.Add(d.Pos(n), "%s %q is not a colour such as \"#e69f00\"", what, c)
		}
		return c
	}
	colour := func(what string, into *string) func(*yaml.Node) {
		return func(n *yaml.Node) { *into, said[into] = read(n, what), true }
	}
	team := func(n *yaml.Node) {
		var two []string
		d.List(n, "team", func(n *yaml.Node) { two = append(two, read(n, "colour of the team")) })
		if len(two) != 2 {
			d.Faults.Add(d.Pos(n), "a team has two colours here, that of the ground and that of the accent: [\"#7a1f3d\", \"#f2c75c\"]")
			return
		}
		for into, c := range map[*string]string{&l.Ground: two[0], &l.Ink: Readable, &l.Quiet: Readable, &l.Accent: two[1]} {
			if !said[into] {
				*into = c
			}
		}
	}
	size := func(into *int) func(*yaml.Node) {
		return func(n *yaml.Node) { *into, _ = d.Whole(n, 10, 300) }
	}
	return tags.Keys{
		"team":    team,
		"nearest": func(n *yaml.Node) { r.Nearest = d.YesNo(n, "nearest") },
		"ink":     colour("ink", &l.Ink), "quiet": colour("quiet", &l.Quiet),
		"ground": colour("ground", &l.Ground), "accent": colour("accent", &l.Accent),
		"lead": size(&l.Lead), "line": size(&l.Line), "title": size(&l.Title), "small": size(&l.Small),
		"figure": size(&l.Figure),
	}
}
