package mark

import (
	"bytes"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// kept is the text of a rep that lost its only result. When it has one again, the text goes back to
// its place as it was written.
type kept struct {
	Text  string   `json:"text"`            // whole lines, what is said above it among them
	Head  string   `json:"head,omitempty"`  // of the only rep: the lines of the list's key above it
	After []string `json:"after,omitempty"` // the rushers behind whose reps it stands
}

// kept returns the text and the place of a rep that is taken out of the file, and the file without
// both. Tree is the file without the rep alone. Where the rep does not stand on lines of its own,
// kept is nil and the file is tree.
func (a *applier) kept(e Edit, tree tags.Tree) (*kept, tags.Tree) {
	p, play, _ := a.play(e.Play)
	_, n, _ := a.rep(e.Play, e.Rep)
	lines := bytes.SplitAfter(a.Data, []byte("\n"))
	list := child(play, "reps")
	if n.Line > len(lines) || !bytes.HasPrefix(bytes.TrimLeft(lines[n.Line-1], " "), []byte("-")) {
		return nil, tree
	}
	k := &kept{}
	top, key := n.Line-1, -1
	if len(list.Content) == 1 {
		for i := 0; i+1 < len(play.Content); i += 2 {
			if play.Content[i].Value == "reps" {
				key = play.Content[i].Line - 1
				top = key
			}
		}
	}
	from := func(line int) int { return len(bytes.Join(lines[:line], nil)) }
	gone := len(a.Data) - len(tree.Data)
	takes := func(line int) bool {
		at := from(line)
		return at+gone <= len(a.Data) && bytes.Equal(a.Data[:at], tree.Data[:at]) && bytes.Equal(a.Data[at+gone:], tree.Data[at:])
	}
	for key < 0 && top > 0 && len(bytes.TrimSpace(lines[top-1])) == 0 && takes(top-1) {
		top--
	}
	end := from(top) + gone
	if !takes(top) || a.Data[end-1] != '\n' {
		return nil, tree
	}
	indent := leadOf(lines[n.Line-1])
	if key >= 0 {
		indent = leadOf(lines[key])
	}
	for top > 0 && (len(bytes.TrimSpace(lines[top-1])) == 0 || isComment(lines[top-1]) && leadOf(lines[top-1]) <= indent) {
		top--
	}
	k.Text = string(a.Data[from(top):end])
	if key >= 0 {
		k.Head, k.Text = string(a.Data[from(top):from(key+1)]), string(a.Data[from(key+1):end])
	}
	for _, r := range p.Reps {
		if r.Rusher.ID == e.Rep {
			break
		}
		k.After = append(k.After, r.Rusher.ID)
	}
	for _, d := range a.drafts { // one that this stands before says so
		if d.Play == e.Play && d.Kept != nil && !slices.Contains(d.Kept.After, e.Rep) {
			k.After = append(k.After, d.Rep)
		}
	}
	bare, ok := a.readAs(slices.Concat(a.Data[:from(top)], a.Data[end:]))
	if !ok || !maps.Equal(bare.saidOf(e.Play), a.withTree(tree).saidOf(e.Play)) {
		return nil, tree
	}
	return k, bare.Tree
}

// restored puts the kept text of a draft back in its place and lays what the draft says over it.
// Where that fails, it changes nothing and returns false.
func (a *applier) restored(d Draft) bool {
	p, play, at := a.play(d.Play)
	if d.Kept == nil || p == nil {
		return false
	}
	place := 0
	for i, r := range p.Reps {
		if slices.Contains(d.Kept.After, r.Rusher.ID) {
			place = i + 1
		}
	}
	sign := tags.Scalar("here" + sum(a.Data))
	list := child(play, "reps")
	edit := tags.InsertItem(at.To("reps"), place, sign)
	if list == nil {
		edit = tags.Insert(at, "reps", &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{sign}}, tags.PlayKeysBefore("reps")...)
	}
	tree, err := a.Splice(edit)
	if err != nil {
		return false
	}
	before, behind, found := bytes.Cut(tree.Data, []byte("- "+sign.Value))
	start, end := bytes.LastIndexByte(before, '\n')+1, bytes.IndexByte(behind, '\n')+1
	indent := len(before) - start
	if !found || end == 0 || len(bytes.TrimSpace(before[start:])) > 0 || len(bytes.TrimSpace(behind[:end])) > 0 {
		return false
	}
	from := start
	if list == nil || place > 0 { // a key or a blank line came above it
		from -= len(tree.Data) - len(a.Data) - (len(tree.Data) - len(behind) + end - start)
	}
	if from < 1 || from > len(a.Data) || !bytes.Equal(a.Data[:from], tree.Data[:from]) || a.Data[from-1] != '\n' {
		return false
	}
	text := d.Kept.Text
	switch {
	case list == nil && d.Kept.Head != "":
		text = d.Kept.Head + text
	case list == nil:
		text = string(tree.Data[from:start]) + text
	case place > 0: // what is said within the rep above stays with it
		for line := range bytes.SplitAfterSeq(a.Data[from:], []byte("\n")) {
			if !isComment(line) || leadOf(line) <= indent {
				break
			}
			from += len(line)
		}
	}
	trial, ok := a.readAs(slices.Concat(a.Data[:from], []byte(text), a.Data[from:]))
	if !ok || !trial.inFile(d.Play, d.Rep) || !trial.says(d) {
		return false
	}
	now := trial.saidOf(d.Play)
	for key, said := range a.saidOf(d.Play) {
		if now[key] != said {
			return false
		}
	}
	a.text = trial.text
	return true
}

// leaveSaid puts what was said above a rep that is begun back into the file, where it was kept with
// the rep's text: as of any rep that is taken out, it stays.
func (a *applier) leaveSaid(d Draft) {
	battles := a.vocabulary.List("battle").Words
	if d.Kept == nil || len(battles) == 0 {
		return
	}
	before := a.text
	if !a.restored(d.with("battle", battles[0].Name)) {
		return
	}
	tree, _, err := a.without(Edit{Play: d.Play, Rep: d.Rep})
	if err != nil {
		a.text = before
		return
	}
	a.reread(tree)
}

// says makes a rep of the file say what a draft says, and reports whether it then says that and no
// more. It sets fields before it clears any, so that the rep never lacks a result.
func (a *applier) says(d Draft) bool {
	for _, clears := range []bool{false, true} {
		for _, f := range repFields(a.game) {
			now, _ := a.text.value(d.Play, d.Rep, f)
			e := Edit{Verb: Set, Play: d.Play, Rep: d.Rep, Field: f, Was: now, Value: d.Value(f)}
			if f == "rusher" || now == e.Value || (e.Value == "") != clears {
				continue
			}
			tree, err := a.put(e, a.vocabulary)
			if err != nil {
				return false
			}
			a.reread(tree)
		}
	}
	r, _, _ := a.rep(d.Play, d.Rep)
	wanted := map[Field]string{"rusher": d.Rep}
	for _, v := range d.Values {
		wanted[v.Field] = v.Text
	}
	return r != nil && same(r, wanted)
}

// readAs returns a with the text data in place of the file's; false where data does not parse.
func (a *applier) readAs(data []byte) (*applier, bool) {
	_, top, _ := tags.ParseGameTree(a.file, data, a.vocabulary)
	if top == nil {
		return nil, false
	}
	return a.withTree(tags.Tree{Data: data, Top: top}), true
}

// withTree is a with another tree for the file's.
func (a *applier) withTree(tree tags.Tree) *applier {
	trial := &applier{state: a.state, vocabulary: a.vocabulary, films: a.films}
	trial.reread(tree)
	return trial
}

// leadOf is how many blanks a line begins with.
func leadOf(line []byte) int { return len(line) - len(bytes.TrimLeft(line, " ")) }

// isComment reports whether nothing but a comment is on a line.
func isComment(line []byte) bool {
	return strings.HasPrefix(strings.TrimLeft(string(line), " \t"), "#")
}
