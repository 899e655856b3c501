package exchange

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// field is a key of a play that a column of a sheet may hold.
type field struct {
	*tags.Field[tags.Play]
	// read makes of a cell the text to write in a tag file, or says what it wants instead.
	read func(f field, r *reader, c Cell) (text, want string)
}

// readers is how the cells of a kind of field are read.
var readers = map[tags.Kind]func(f field, r *reader, c Cell) (text, want string){
	tags.KindWord:   readWord,
	tags.KindText:   readText,
	tags.KindClock:  readClock,
	tags.KindWhole:  readOrdinal,
	tags.KindYesNo:  readYesNo,
	tags.KindPerson: readPasser,
}

// fields is the fields of plays, in the order in which a tag file has its keys.
var fields = func() []field {
	all := make([]field, len(tags.PlayFields))
	for i, f := range tags.PlayFields {
		all[i] = field{f, readers[f.Kind]}
		switch f.Name {
		case "quarter":
			all[i].read = readQuarter
		case "distance":
			all[i].read = readDistance
		}
	}
	return all
}()

// means reports whether a heading, flattened, means the field (common practice).
func (f field) means(flat string) bool {
	return flat == flatten(f.FileKey()) || slices.Contains(strings.Fields(f.Headings), flat)
}

// numberHeading is the heading of the column of play numbers.
const numberHeading = "No."

// heading is the heading of the field's column in a sheet, in plain words.
func (f field) heading() string {
	switch f.Name {
	case "play":
		return numberHeading
	case "distance":
		return "To go"
	case "qb":
		return "QB"
	}
	return strings.ToUpper(f.Name[:1]) + strings.ReplaceAll(f.Name[1:], "-", " ")
}

// have is what a play says of the field; empty where it says nothing.
func (f field) have(p *tags.Play) string {
	if f.Kind == tags.KindClock {
		return shortClock(f.Text(p))
	}
	return f.Text(p)
}

// quoted reports whether the field holds text, which may look like a number.
func (f field) quoted() bool { return f.Kind == tags.KindText || f.Kind == tags.KindClock }

// shortClock is 1:05 for 01:05.
func shortClock(text string) string {
	if len(text) == len("01:05") {
		return strings.TrimPrefix(text, "0")
	}
	return text
}

func fieldOf(key string) (field, bool) {
	i := slices.IndexFunc(fields, func(f field) bool { return f.FileKey() == key })
	if i < 0 {
		return field{}, false
	}
	return fields[i], true
}

// dateForm is how spreadsheets show dates in CSV.
var dateForm = regexp.MustCompile(`^(?:\d{1,2}[/.]\d{1,2}[/.]\d{2,4}|\d{1,2}-(?i:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*(?:-\d{2,4})?)$`)

const aDate = "the sheet made a date of what was typed: want "

// plain is the text of a cell that is no date.
func plain(c Cell) string {
	if c.Number != "" {
		v, err := strconv.ParseFloat(c.Number, 64)
		shown, notWhole := strconv.Atoi(c.Text)
		if notWhole == nil && err == nil && float64(shown) == v {
			return c.Text // 01 is shown so on purpose
		}
		if err == nil && !strings.HasSuffix(c.Text, "%") {
			return strconv.FormatFloat(v, 'f', -1, 64)
		}
	}
	return c.Text
}

func readWhole(f field, _ *reader, c Cell) (text, want string) {
	want = fmt.Sprintf("want a whole number from %d to %d", f.Least, f.Most)
	if c.Date {
		return "", want
	}
	text = unletter(decimalPoint(plain(c)))
	if whole, zeros, ok := strings.Cut(text, "."); ok && strings.Trim(zeros, "0") == "" {
		text = whole // 14.0 is 14 to a spreadsheet
	}
	v, err := strconv.Atoi(text)
	if err != nil || v < f.Least || v > f.Most {
		return "", want
	}
	return strconv.Itoa(v), ""
}

// decimalComma is how half of the world writes 0.85.
var decimalComma = regexp.MustCompile(`^[+-]?[0-9]*,[0-9]+$`)

// decimalPoint is a number with a decimal comma as one with a point.
func decimalPoint(text string) string {
	if decimalComma.MatchString(text) {
		return strings.Replace(text, ",", ".", 1)
	}
	return text
}

// unletter is a number in which somebody typed letters for digits: 1O and l0 are both 10.
func unletter(text string) string {
	if !letterDigits.MatchString(text) {
		return text
	}
	return strings.NewReplacer("O", "0", "o", "0", "I", "1", "l", "1").Replace(text)
}

var letterDigits = regexp.MustCompile(`^[0-9OoIl]*[0-9][0-9OoIl]*$`)

// goal is what a distance says where the goal line is nearer than ten yards.
const goal = "goal"

func isGoal(text string) bool {
	lower := strings.ToLower(text)
	return lower == "g" || lower == "gl" || lower == goal
}

// readDistance reads yards to go; [goal] where it is the goal.
func readDistance(f field, r *reader, c Cell) (text, want string) {
	if isGoal(c.Text) {
		return goal, ""
	}
	if m := yards.FindStringSubmatch(c.Text); m != nil && c.Number == "" {
		c.Text = m[1]
	}
	return readOrdinal(f, r, c)
}

// yards is a distance with its unit.
var yards = regexp.MustCompile(`(?i)^([0-9]+) ?(?:y|yds?|yards?)\.?$`)

// ordinals is how downs and quarters are written too.
var ordinals = map[string]string{"1st": "1", "2nd": "2", "3rd": "3", "4th": "4"}

func readOrdinal(f field, r *reader, c Cell) (text, want string) {
	if n, ok := ordinals[strings.ToLower(c.Text)]; ok {
		return n, ""
	}
	return readWhole(f, r, c)
}

func readQuarter(f field, r *reader, c Cell) (text, want string) {
	switch lower := strings.ToLower(c.Text); {
	case lower == "ot":
		return "5", ""
	case strings.HasPrefix(lower, "q"):
		c = Cell{Text: lower[1:]}
	case strings.HasPrefix(lower, "ot"):
		if n, err := strconv.Atoi(lower[2:]); err == nil {
			c = Cell{Text: strconv.Itoa(4 + n)}
		}
	}
	return readOrdinal(f, r, c)
}

func readText(_ field, _ *reader, c Cell) (text, want string) {
	if c.Date {
		return "", aDate + "text"
	}
	return plain(c), ""
}

// readWord reads a word of the vocabulary, however it is spaced and capitalised.
func readWord(f field, r *reader, c Cell) (text, want string) {
	if w, ok := r.word(f.FileKey(), f.WordList(), c.Text); ok {
		return w.Name, ""
	}
	if f.Name == "type" && slices.Contains([]string{"pass", "p"}, flatten(c.Text)) {
		return "", "it does not say which pass it was, such as dropback, quick or screen"
	}
	return "", r.vocabulary.DidYouMean(f.WordList(), hyphened(c.Text))
}

// hyphened is text as the vocabulary would write it.
func hyphened(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == '_' }), "-")
}

// wordOf is the word of a list that a cell says, however it is spaced and capitalised.
func wordOf(list *tags.List, text string) (tags.Word, bool) {
	if w, ok := list.Read(hyphened(text)); ok {
		return w, true
	}
	flat := flatten(strings.ReplaceAll(text, "&", "and"))
	for _, w := range list.Words {
		for _, name := range append([]string{w.Name}, w.Also...) {
			if flatten(name) == flat {
				return w, true
			}
		}
	}
	return tags.Word{}, false
}

// readYesNo reads yes and no, and what staffs tick a box with.
func readYesNo(_ field, _ *reader, c Cell) (text, want string) {
	switch strings.ToLower(plain(c)) {
	case "yes", "y", "true", "x", "1":
		return "yes", ""
	case "no", "n", "false", "0":
		return "no", ""
	default:
		return "", "want yes or no"
	}
}

// readPasser reads who of theirs threw, as [reader.person] reads people.
func readPasser(_ field, r *reader, c Cell) (text, want string) {
	who := plain(c)
	if r.bringsPeople() {
		return r.newPasser(who)
	}
	if text, want = r.known(who, false, passerOf(who)); want != "" {
		want += "; or map the column to extra"
	}
	return text, want
}

// passer is a person whom a sheet names: a quarterback, or one of a rep.
type passer struct{ id, jersey, name, team, pos string }

// node is what a tag file says of him. Who is of no team is of the opponent's, who may be unknown.
func (p passer) node(opponent string) *yaml.Node {
	said := []value{{key: "name", text: p.name}, {key: "team", text: cmp.Or(p.team, opponent, tags.Them)}, {key: "jersey", text: p.jersey}, {key: "pos", text: p.pos}}
	return mappingOf(slices.DeleteFunc(said, func(v value) bool { return v.text == "" }))
}

// jerseyForm is a number, which a spreadsheet may have written 91.0, and perhaps a name behind it.
var jerseyForm = regexp.MustCompile(`^#?(\d{1,3})(?:\.0+)?(?:\s+(\S.*))?$`)

// noName is what is no man's name: 72/65, RT + RG.
var noName = regexp.MustCompile(`^#?\s*\d|[/+&]`)

// passerOf is "12", "#12 Sam Reyes" or "Sam Reyes" as a person of a tag file; no id where
// none can be made of it.
func passerOf(who string) passer {
	p := passer{name: who, pos: "QB"}
	if m := jerseyForm.FindStringSubmatch(who); m != nil {
		p.jersey, p.name = m[1], m[2]
	}
	switch {
	case noName.MatchString(p.name):
	case idOf(p.name) == "" && p.jersey != "":
		p.id = "qb" + p.jersey
	default:
		p.id = idOf(p.name)
	}
	return p
}

// newPasser is the id that a new tag file's passer goes by.
func (r *reader) newPasser(who string) (id, want string) {
	p := passerOf(who)
	if p.id == "" {
		return "", "want a jersey, or a name with some Latin letters; or map the column to extra"
	}
	if p, want = r.whole("qb", p); want != "" {
		return "", want
	}
	for i := range r.passers {
		have := &r.passers[i]
		if have.pos != p.pos {
			if have.id == p.id {
				return "", "the sheet has somebody of that name among its reps: write the tag file with its people first"
			}
			continue
		}
		sameName := strings.EqualFold(have.name, p.name)
		switch {
		case who == have.id, have.jersey == p.jersey && sameName:
			return have.id, ""
		case have.jersey == p.jersey && (have.name == "" || p.name == ""):
			if have.name == "" {
				have.name = p.name // he keeps his id: rows above name it
			}
			return have.id, ""
		case sameName && p.name != "" && (have.jersey == "" || p.jersey == ""):
			if have.jersey == "" {
				have.jersey = p.jersey
			}
			return have.id, ""
		case have.id == p.id || have.jersey == p.jersey && p.jersey != "":
			return "", fmt.Sprintf("the sheet has %s too, and who is meant is open: write the tag file with its people first", strings.TrimSpace(have.jersey+" "+have.name))
		}
	}
	r.passers = append(r.passers, p)
	return p.id, ""
}
