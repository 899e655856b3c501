package mark

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// A drawing as one value of the field draw: its mark, its angle, its shape and its points, such
// as "beat endzone arrow 0.42 0.55 0.5 0.48".

// drawings is what a rep says in the field draw.
func drawings(r *tags.Rep) string {
	lines := make([]string, len(r.Draw))
	for i, d := range r.Draw {
		lines[i] = drawing(d)
	}
	return listed(lines...)
}

func drawing(d tags.Drawing) string {
	words := []string{string(d.At), d.Angle, d.Shape}
	for _, p := range d.Points {
		words = append(words, coordinate(p.X), coordinate(p.Y))
	}
	return strings.Join(words, " ")
}

// parseDrawings reads the field draw.
func parseDrawings(text string) []tags.Drawing {
	var all []tags.Drawing
	for line := range strings.SplitSeq(text, listSign) {
		words := strings.Fields(line)
		if len(words) < 5 {
			continue
		}
		d := tags.Drawing{At: tags.Mark(words[0]), Angle: words[1], Shape: words[2]}
		for pair := range slices.Chunk(words[3:], 2) {
			if len(pair) == 2 {
				x, _ := strconv.ParseFloat(pair[0], 64)
				y, _ := strconv.ParseFloat(pair[1], 64)
				d.Points = append(d.Points, tags.Point{X: x, Y: y})
			}
		}
		all = append(all, d)
	}
	return all
}

// drawingNode is one drawing as a tag file writes it.
func drawingNode(d tags.Drawing) *yaml.Node {
	points := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, p := range d.Points {
		points.Content = append(points.Content, tags.Bare(coordinate(p.X)), tags.Bare(coordinate(p.Y)))
	}
	return &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{
		tags.Scalar("at"), tags.Scalar(string(d.At)), tags.Scalar("angle"), tags.Scalar(d.Angle), tags.Scalar(d.Shape), points,
	}}
}

func drawingNodes(text string) *yaml.Node {
	list := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, d := range parseDrawings(text) {
		list.Content = append(list.Content, drawingNode(d))
	}
	return list
}

// spokenDrawings is the field draw as a room says it.
func spokenDrawings(text string) string {
	var said []string
	for _, d := range parseDrawings(text) {
		said = append(said, fmt.Sprintf("%s at %s (%s)", d.Shape, Field("marks."+d.At).Spoken(), d.Angle))
	}
	return strings.Join(said, ", ")
}

// DrawnAt is a drawing over the frame of its mark.
type DrawnAt struct {
	Frame  tags.Frame `json:"frame"`
	Shape  string     `json:"shape"`
	Points []float64  `json:"points"` // x, y, x, y, …, each 0 to 1 of the picture
	Open   bool       `json:"open,omitempty"`
}

func (f *form) drawings() []tags.Drawing {
	text, _ := f.look.Value(f.Play, f.Rep, "draw")
	return parseDrawings(text)
}

// drawnOn is the drawings of the rep on an angle.
func (f *form) drawnOn(a Angle) []DrawnAt {
	if f.Rep == "" {
		return nil
	}
	drawings := f.drawings()
	open := f.openOf(drawings)
	var all []DrawnAt
	for i, d := range drawings {
		at := slices.IndexFunc(a.Marks, func(m MarkedAt) bool { return m.Mark == string(d.At) })
		if d.Angle != a.Angle || at < 0 {
			continue
		}
		drawn := DrawnAt{Frame: a.Marks[at].Frame, Shape: d.Shape, Open: f.Open == "draw" && i == open}
		for _, p := range d.Points {
			drawn.Points = append(drawn.Points, p.X, p.Y)
		}
		all = append(all, drawn)
	}
	return all
}

// markHere is the mark that the frame on the screen is; a drawing belongs to one.
func (f *form) markHere() (tags.Mark, error) {
	if f.rep() == "" {
		return "", errors.New("choose a rep first: a drawing is of one rusher")
	}
	for _, mark := range tags.AllMarks {
		rep := f.Rep
		if v, _ := f.look.Value(f.Play, rep, Field("marks."+string(mark))); v == "" {
			rep = ""
		}
		if at, ok := f.doc.Frame(f.look, f.Play, rep, string(mark), f.at.Angle); ok && at == f.at.Frame {
			return mark, nil
		}
	}
	return "", errors.New("a drawing belongs to a mark: go to one, or mark this frame first")
}

// drawn draws an arrow over the frame on the screen, as it was dragged.
func (f *form) drawn(act Act) error {
	mark, err := f.markHere()
	if err != nil {
		return err
	}
	return f.drawAlso(tags.Drawing{At: mark, Angle: f.at.Angle, Shape: "arrow", Points: []tags.Point{{X: act.X, Y: act.Y}, {X: act.ToX, Y: act.ToY}}})
}

// openDrawing opens the last drawing at the mark on the screen, or begins an arrow there, from
// the rusher's spot where that is known.
func (f *form) openDrawing() error {
	mark, err := f.markHere()
	if err != nil {
		return err
	}
	f.at.Frame = max(f.at.Frame, 0)
	if f.openOf(f.drawings()) >= 0 {
		f.close()
		f.Open = "draw"
		return nil
	}
	from := tags.Point{X: 0.45, Y: 0.5}
	if x, y, ok := strings.Cut(firstOf(f.look.Value(f.Play, f.Rep, spotField(f.at.Angle))), listSign); ok {
		from.X, _ = strconv.ParseFloat(x, 64)
		from.Y, _ = strconv.ParseFloat(y, 64)
	}
	return f.drawAlso(tags.Drawing{At: mark, Angle: f.at.Angle, Shape: "arrow", Points: []tags.Point{from, {X: from.X + 0.1, Y: from.Y}}})
}

func (f *form) drawAlso(d tags.Drawing) error {
	all := append(f.drawings(), d)
	f.close()
	f.Open = "draw"
	return f.draw(all)
}

// draw gives the rep its drawings.
func (f *form) draw(all []tags.Drawing) error {
	was, _ := f.look.Value(f.Play, f.Rep, "draw")
	lines := make([]string, len(all))
	for i, d := range all {
		for j, p := range d.Points {
			d.Points[j] = tags.Point{X: thousandth(p.X), Y: thousandth(p.Y)}
		}
		lines[i] = drawing(d)
	}
	return f.do(Edit{Verb: Set, Play: f.Play, Rep: f.Rep, Field: "draw", Was: was, Value: listed(lines...)})
}

// thousandth is a coordinate within the picture, to a thousandth of it.
func thousandth(v float64) float64 { return float64(int(min(max(v, 0), 1)*1000+0.5)) / 1000 }

// openOf is which of the drawings the keys change: the last at the mark and on the angle that
// is shown; -1 is none.
func (f *form) openOf(all []tags.Drawing) int {
	mark, err := f.markHere()
	for i := len(all) - 1; i >= 0 && err == nil; i-- {
		if all[i].At == mark && all[i].Angle == f.at.Angle {
			return i
		}
	}
	return -1
}

// What the keys do with an open drawing.
var drawChoices = []Choice{
	{Value: "a", Shown: "arrow", Key: "a"},
	{Value: "l", Shown: "line", Key: "l"},
	{Value: "c", Shown: "circle", Key: "c"},
	{Value: "o", Shown: "move the other end", Key: "o"},
	{Value: "n", Shown: "new drawing", Key: "n"},
	{Value: "x", Shown: "remove it", Key: "x"},
}

func (f *form) drawAsked() string {
	end := "its end"
	if f.Pick == 1 {
		end = "its beginning"
	}
	return "Drawing: arrows move " + end + ", Enter leaves it"
}

// opened is the drawings and the one that the keys change.
func (f *form) opened() ([]tags.Drawing, int, error) {
	all := f.drawings()
	i := f.openOf(all)
	if i < 0 {
		return nil, 0, errors.New("no drawing is on the screen: go to its mark")
	}
	return all, i, nil
}

// drawKey is a letter at an open drawing.
func (f *form) drawKey(key string) error {
	all, i, err := f.opened()
	if err != nil {
		return err
	}
	d := &all[i]
	last := d.Points[len(d.Points)-1]
	switch key {
	case "a", "l":
		d.Shape = map[string]string{"a": "arrow", "l": "line"}[key]
		if len(d.Points) != 2 {
			d.Points = []tags.Point{d.Points[0], last}
		}
		if len(d.Points) == 2 && d.Points[0] == d.Points[1] {
			d.Points[1].X += 0.1
		}
	case "c":
		d.Shape, d.Points = "circle", []tags.Point{last}
	case "o":
		f.Pick = 1 - min(f.Pick, 1)
		return nil
	case "n":
		return f.drawAlso(tags.Drawing{At: d.At, Angle: d.Angle, Shape: "arrow", Points: []tags.Point{{X: 0.45, Y: 0.5}, {X: 0.55, Y: 0.5}}})
	case "x":
		f.close()
		return f.draw(slices.Delete(all, i, i+1))
	default:
		return fmt.Errorf("a drawing has no %q", key)
	}
	pick := f.Pick
	err = f.draw(all)
	f.Pick = pick
	return err
}

// moveDrawing moves the end of the open drawing that is picked.
func (f *form) moveDrawing(dx, dy float64) error {
	all, i, err := f.opened()
	if err != nil {
		return err
	}
	points := slices.Clone(all[i].Points)
	at := len(points) - 1
	if f.Pick == 1 {
		at = 0
	}
	points[at].X += dx
	points[at].Y += dy
	all[i].Points = points
	return f.draw(all)
}

// placing reports whether the arrows move something over the picture.
func (f *form) placing() bool {
	return f.Open == "draw" || f.Open != "" && f.Open == spotField(f.at.Angle)
}

// place moves what is open over the picture by an arrow.
func (f *form) place(key string) error {
	if !f.placing() {
		return nil
	}
	if f.Open != "draw" {
		return f.moveSpot(key)
	}
	dx := map[string]float64{"ArrowLeft": -spotStep, "ArrowRight": spotStep}[key]
	dy := map[string]float64{"ArrowUp": -spotStep, "ArrowDown": spotStep}[key]
	return f.moveDrawing(dx, dy)
}

// putDrawings is the file with the drawings of a rep changed: one more is put behind the
// others, and one that is gone is taken out, so that the others stay as they are written.
func (t *text) putDrawings(n *yaml.Node, at tags.Path, e Edit) (tree tags.Tree, done bool, err error) {
	list := child(n, "draw")
	if e.Field != "draw" || list == nil || e.Value == "" {
		return tree, false, nil
	}
	was, now := strings.Split(e.Was, listSign), strings.Split(e.Value, listSign)
	if len(was) != len(list.Content) {
		return tree, false, nil
	}
	same := 0
	for same < min(len(was), len(now)) && was[same] == now[same] {
		same++
	}
	var edits []tags.Edit
	switch {
	case len(now) == len(was) && slices.Equal(was[same+1:], now[same+1:]):
		if list.Content[same].Style&yaml.FlowStyle == 0 {
			return tree, false, nil
		}
		edits = append(edits, tags.Put(at.To("draw", same), drawingNode(parseDrawings(now[same])[0])))
	case len(now) == len(was)+1 && same == len(was):
		edits = append(edits, tags.Append(at.To("draw"), drawingNode(parseDrawings(now[same])[0])))
	case len(now) == len(was)-1 && slices.Equal(was[same+1:], now[same:]):
		edits = append(edits, tags.Remove(at.To("draw", same)))
	default:
		return tree, false, nil
	}
	tree, err = t.Splice(edits...)
	return tree, true, err
}
