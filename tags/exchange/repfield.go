package exchange

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// repField is a key of a rep that a column of a sheet may hold.
type repField struct {
	key      string // of the column; the fact's name
	under    string // the mapping of the rep that it stands in; empty is the rep itself
	file     string // its key there
	headings string // further headings, flattened, with spaces between
	always   bool   // an exported sheet has the column though it is empty, to be filled
	list     bool   // the tag file has a list
	result   bool   // it tells how the rush ended
	field    *tags.Field[tags.Rep]
	mark     tags.Mark
}

const (
	keyRusher   = "rusher"
	keyRep      = "rep"         // a rep on one line, under its rusher's number
	keyWords    = "result"      // words that say how the rush ended
	keyExported = "as exported" // the digest of a rep as it was written out
)

// repHeadings is further headings of the columns of reps (common practice).
var repHeadings = map[string]string{
	keyRusher: "passrusher", "align": "alignment linedup", "blocker": "blockedby vs against versus ol olineman lineman", "set": "passset",
	"move": "moves", "battle": "winloss wl", "did": "alsodid", "note": "notes comment comments", "point": "points teach coachingpoint topoint",
	"assignment": "assignmentgrade", "technique": "techniquegrade", "effort": "effortgrade", "missed-assignment": "ma", "release": "ballout",
}

// alwaysThere is the columns of an exported sheet of reps that a coach fills.
var alwaysThere = strings.Fields("align side blocker set hands help move getoff contact turn beat battle outcome assignment technique effort point note")

// repFields is the fields of reps, in the order in which a tag file has their keys.
var repFields = func() []repField {
	var all []repField
	add := func(f repField) {
		f.headings = repHeadings[f.key]
		f.always = slices.Contains(alwaysThere, f.key)
		all = append(all, f)
	}
	marks := false
	for _, f := range tags.RepFields {
		if f.Name == "tells" { // the moves and what they met come before what he saw
			add(repField{key: "move", file: "move", list: true})
			add(repField{key: "counter", file: "counter"})
		}
		if f.Name == "battle" && !marks {
			marks = true
			for _, m := range tags.AllMarks[1:] {
				add(repField{key: string(m), under: "marks", file: string(m), mark: m})
			}
		}
		list := f.Kind == tags.KindWords || f.Kind == tags.KindTexts
		add(repField{key: f.Name, under: f.Under, file: f.FileKey(), list: list, result: slices.Contains([]string{"battle", "outcome", "did"}, f.Name), field: f})
	}
	return all
}()

func repFieldOf(key string) (repField, bool) {
	i := slices.IndexFunc(repFields, func(f repField) bool { return f.key == key })
	if i < 0 {
		return repField{}, false
	}
	return repFields[i], true
}

// heading is the heading of the field's column in a sheet.
func (f repField) heading() string {
	return strings.ToUpper(f.key[:1]) + strings.ReplaceAll(f.key[1:], "-", " ")
}

// repColumn is what a heading means in a sheet of reps, or in any sheet as "91 move", which is
// the move of rusher 91.
func repColumn(heading string, ofReps bool) (column, bool) {
	if isRusherHeading(heading) {
		return column{key: keyRusher}, true
	}
	number, rest, _ := strings.Cut(strings.TrimPrefix(heading, "#"), " ")
	if jersey := jerseyForm.MatchString(number) && (len(number) == 2 || len(number) == 1 && rest != ""); jersey {
		if rest == "" {
			return column{key: keyRep, rusher: number}, true
		}
		if tech.MatchString(flatten(rest)) {
			return column{key: "align", rusher: number}, true
		}
		if c, ok := repColumn(rest, true); ok && c.rusher == "" && c.key != keyRusher && c.key != keySkip {
			return column{key: c.key, name: c.name, rusher: number}, true
		}
		return column{}, false
	}
	if !ofReps {
		return column{}, false
	}
	flat := flatten(heading)
	if m := moveOf.FindStringSubmatch(flat); m != nil {
		return column{key: "move", name: m[1] + m[2]}, true
	}
	switch flat {
	case keyWords:
		return column{key: keyWords}, true
	case "player":
		return column{key: keySkip}, true
	case flatten(keyExported):
		return column{key: keyExported}, true
	}
	for _, f := range repFields {
		if flat == flatten(f.key) || slices.Contains(strings.Fields(f.headings), flat) {
			return column{key: f.key}, true
		}
	}
	return column{}, false
}

// moveOf is the heading of a column that has one of his moves, by its place among them.
var moveOf = regexp.MustCompile(`^(?:moves?|rushmove)([1-4])$|^([1-4])(?:st|nd|rd|th)move$`)

func isRusherHeading(heading string) bool {
	flat := flatten(heading)
	return flat == keyRusher || slices.Contains(strings.Fields(repHeadings[keyRusher]), flat)
}

// mapping is where the mapping stands that the field is in, of the rep at a path.
func (f repField) mapping(at tags.Path) tags.Path {
	if f.under == "" {
		return at
	}
	return at.To(f.under)
}

// text is the field of r as a sheet can hold it, without blanks around it; empty where it is not
// tagged, or stands only by what the game assumes or the type of play suggests.
func (f repField) text(r *tags.Rep) string {
	switch {
	case f.mark != "":
		at, ok := r.Marks.At(f.mark)
		if !ok {
			return ""
		}
		return markText(*at)
	case f.key == "counter":
		return r.Counter
	case f.key == "move":
		return r.Sequence()
	case f.key == "job" && r.Job == r.Play.UsualJob():
		return ""
	}
	for a := range r.Assumed() {
		if a.Name == f.key {
			return ""
		}
	}
	switch at := f.field.At(r).(type) {
	case *[]string:
		return strings.Join(f.items(inCell(strings.Join(*at, f.separator()))), f.separator()+" ")
	default:
		return inCell(f.field.Text(r))
	}
}

// separator stands between the items of a list in a cell.
func (f repField) separator() string {
	if f.field != nil && f.field.Kind == tags.KindTexts {
		return ";"
	}
	return ","
}

// node is the field's value as a tag file writes it, of the text that a sheet has.
func (f repField) node(text string) *yaml.Node {
	switch {
	case f.mark != "":
		if plainNumber.MatchString(text) {
			text = signed(text) + "s"
		}
		return tags.Bare(text)
	case f.list:
		n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
		for _, item := range f.items(text) {
			n.Content = append(n.Content, tags.Scalar(item))
		}
		return n
	default:
		return tags.Scalar(text)
	}
}

func signed(number string) string {
	if strings.HasPrefix(number, "-") || strings.HasPrefix(number, "+") {
		return number
	}
	return "+" + number
}

func (f repField) items(text string) []string {
	separator := f.separator()
	if f.key == "move" {
		separator = ">"
	}
	var items []string
	for item := range strings.SplitSeq(text, separator) {
		if item = strings.TrimSpace(item); item != "" {
			items = append(items, item)
		}
	}
	return items
}

// read makes of a cell the text of the field, or says what it wants instead.
func (f repField) read(r *reader, c Cell) (text, want string) {
	switch {
	case f.mark != "":
		return r.readMark(c)
	case f.key == "counter":
		return readYesNo(field{}, r, c)
	case f.key == "move":
		return r.readMoves(c)
	}
	switch f.field.Kind {
	case tags.KindPerson:
		return r.person(plain(c), f.key == keyRusher)
	case tags.KindYesNo:
		return readYesNo(field{}, r, c)
	case tags.KindText:
		return readText(field{}, r, c)
	case tags.KindTexts:
		return strings.Join(f.items(plain(c)), "; "), ""
	case tags.KindWords:
		var said []string
		for _, item := range f.items(plain(c)) {
			w, ok := r.word(f.key, f.field.WordList(), item)
			if !ok {
				return "", r.vocabulary.DidYouMean(f.field.WordList(), hyphened(item))
			}
			said = append(said, w.Name)
		}
		return strings.Join(said, ", "), ""
	default:
		if w, ok := r.word(f.key, f.field.WordList(), plain(c)); ok {
			return w.Name, ""
		}
		return "", r.vocabulary.DidYouMean(f.field.WordList(), hyphened(plain(c)))
	}
}

// readMark reads seconds from the snap, or a time as a tag file has it. A number alone that no rush
// lasts is none of seconds, and a time on film wants film.
func (r *reader) readMark(c Cell) (text, want string) {
	want = fmt.Sprintf("want seconds from the snap, at most %d, such as 0.85", tags.LongestRush)
	text = decimalPoint(strings.TrimSuffix(plain(c), "s"))
	if strings.HasPrefix(text, ".") {
		text = "0" + text
	}
	if plainNumber.MatchString(text) {
		at, err := tags.ParseInstant(signed(text) + "s")
		if err != nil || at.N > 60*int64(tags.Second) || !strings.HasSuffix(plain(c), "s") && at.N > tags.LongestRush*int64(tags.Second) {
			return "", want
		}
		return markText(at), ""
	}
	at, err := tags.ParseInstant(plain(c))
	if err != nil || at.From == tags.FromFilm && len(r.game.Films) == 0 {
		return "", want
	}
	return at.String(), ""
}

// markText is a mark as a sheet has it: from the snap as a number of seconds.
func markText(at tags.Instant) string {
	text := at.String()
	if at.From != tags.FromSnap || at.NeedsRate() || at.N > tags.LongestRush*int64(tags.Second) {
		return text
	}
	return strings.TrimSuffix(strings.TrimPrefix(text, "+"), "s")
}

// readMoves reads moves in order, with > or a comma between, each with its path where it
// differs.
func (r *reader) readMoves(c Cell) (text, want string) {
	var said []string
	for _, step := range strings.FieldsFunc(plain(c), func(r rune) bool { return r == '>' || r == ',' || r == ';' }) {
		name, path, written := strings.Cut(strings.TrimSpace(step), "/")
		w, ok := wordOf(r.vocabulary.List("move"), name)
		if !ok {
			return "", r.vocabulary.DidYouMean("move", hyphened(strings.TrimSpace(name)))
		}
		step = w.Name
		if written {
			p, ok := wordOf(r.vocabulary.List("path"), path)
			if !ok {
				return "", r.vocabulary.DidYouMean("path", hyphened(path))
			}
			if p.Name != w.Path {
				step += "/" + p.Name
			}
		}
		said = append(said, step)
	}
	return strings.Join(said, ">"), ""
}
