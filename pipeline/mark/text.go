package mark

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// text is a tag file as it reads: its bytes, its tree and the game in it.
type text struct {
	tags.Tree
	file   string
	game   *tags.Game
	faults tags.Faults
	places map[int]int // where among the plays the first of each number is
}

// films is what a game's film is, for holding the tags to it.
type films map[string]tags.Extent

// readText reads a tag file. It fails where the file is no YAML that can be edited; faults of
// the game are the text's.
func readText(file string, data []byte, v *tags.Vocabulary, f films) (*text, error) {
	t := &text{file: file}
	t.Data = data
	if t.game, t.Top, t.faults = tags.ParseGameTree(file, data, v); t.Top == nil {
		return nil, t.faults
	}
	t.hold(f)
	return t, nil
}

// hold notes the places of the plays and checks the game against its film.
func (t *text) hold(f films) {
	t.placed()
	if len(f) > 0 {
		t.faults = append(t.faults, t.game.CheckFilm(f)...)
		t.faults.Sort()
	}
}

// play is the play of a number, the place of its node among the plays, and its path.
func (t *text) play(number int) (*tags.Play, *yaml.Node, tags.Path) {
	list := child(t.Top, "plays")
	if i, ok := t.place(number); ok && list != nil && i < len(list.Content) {
		return t.game.Plays[i], list.Content[i], tags.Path{"plays", i}
	}
	return nil, nil, nil
}

// place is where among the game's plays the one of a number is.
func (t *text) place(number int) (int, bool) {
	i, ok := t.places[number]
	return i, ok
}

// placed notes where the plays are.
func (t *text) placed() {
	t.places = make(map[int]int, len(t.game.Plays))
	for i, p := range t.game.Plays {
		if _, there := t.places[p.Number]; !there {
			t.places[p.Number] = i
		}
	}
}

func (t *text) rep(number int, rusher string) (*tags.Rep, *yaml.Node, tags.Path) {
	p, n, at := t.play(number)
	if p == nil {
		return nil, nil, nil
	}
	list := child(n, "reps")
	for i, r := range p.Reps {
		if r.Rusher.ID == rusher && list != nil && i < len(list.Content) {
			return r, list.Content[i], at.To("reps", i)
		}
	}
	return nil, nil, nil
}

// value returns what the file says in a field, and whether it has that play or rep.
func (t *text) value(play int, rep string, f Field) (string, bool) {
	if rep != "" {
		r, _, _ := t.rep(play, rep)
		if r == nil {
			return "", false
		}
		return ofRep(r, f), true
	}
	p, _, _ := t.play(play)
	if p == nil {
		return "", false
	}
	return ofPlay(p, f), true
}

// said returns the values of all fields of plays, by play, rep and field, for comparing.
func said(g *tags.Game, plays ...*tags.Play) map[string]string {
	all := map[string]string{}
	for _, p := range plays {
		all[fmt.Sprintf("%d", p.Number)] = "play"
		for _, f := range playFields(g) {
			if v := ofPlay(p, f); v != "" {
				all[fmt.Sprintf("%d %s", p.Number, f)] = v
			}
		}
		for k, v := range p.Extra {
			all[fmt.Sprintf("%d extra.%s", p.Number, k)] = v
		}
		for _, r := range p.Reps {
			all[fmt.Sprintf("%d %s", p.Number, r.Rusher.ID)] = "rep"
			for _, v := range valuesOf(r) {
				all[fmt.Sprintf("%d %s %s", p.Number, r.Rusher.ID, v.Field)] = v.Text
			}
		}
	}
	return all
}

// put is the file with a field set; an empty value takes it out.
func (t *text) put(e Edit, v *tags.Vocabulary) (tags.Tree, error) {
	var n *yaml.Node
	var at tags.Path
	if e.Rep != "" {
		var r *tags.Rep
		r, n, at = t.rep(e.Play, e.Rep)
		if r == nil {
			return tags.Tree{}, &ConflictError{Edit: e}
		}
		if n.Kind == yaml.ScalarNode {
			return t.putInLine(e, r, n, at, v)
		}
	} else if _, n, at = t.play(e.Play); n == nil {
		return tags.Tree{}, &ConflictError{Edit: e}
	}
	way := t.way(n, e)
	if e.Value == "" {
		return t.cleared(n, at, way)
	}
	if data, done, err := t.putDrawings(n, at, e); done || err != nil {
		return data, err
	}
	tree := t.Tree
	for _, edits := range set(n, at, e.Rep != "", way, anglesOf(t.game), valueNode(e.Rep != "", e.Field, e.Value)) {
		var err error
		if tree, err = tree.Splice(edits...); err != nil {
			return tags.Tree{}, err
		}
	}
	return tree, nil
}

// cleared is the file without a key.
func (t *text) cleared(n *yaml.Node, at tags.Path, way []string) (tags.Tree, error) {
	for _, key := range way {
		if n = child(n, key); n == nil {
			return t.Tree, nil
		}
		at = at.To(key)
	}
	return t.Splice(tags.Remove(at))
}

// way is the keys to the place of a field in the play or rep at n: a time on the first angle
// may stand on the play itself.
func (t *text) way(n *yaml.Node, e Edit) []string {
	keys := e.Field.Keys()
	if e.Rep != "" || keys[0] != "angles" || len(keys) < 3 || len(t.game.Films) == 0 || keys[1] != t.game.Films[0].Angle {
		return keys
	}
	angles := child(n, "angles")
	if angles != nil && child(angles, keys[1]) != nil && child(child(angles, keys[1]), keys[2]) != nil {
		return keys
	}
	switch own := child(n, "in") != nil; {
	case keys[2] != "snap" && own:
		return keys[2:]
	case keys[2] == "snap" && (own || child(n, "marks") != nil && child(child(n, "marks"), "snap") != nil):
		return []string{"marks", "snap"}
	}
	return keys
}

// putInLine is the file with a field of a one-line rep set: within the line where it can
// stand there, else the rep takes lines of its own.
func (t *text) putInLine(e Edit, r *tags.Rep, n *yaml.Node, at tags.Path, v *tags.Vocabulary) (tags.Tree, error) {
	wanted := map[Field]string{}
	for _, old := range valuesOf(r) {
		wanted[old.Field] = old.Text
	}
	wanted[e.Field] = e.Value
	if line, ok := lineWith(n.Value, e.Field, ofRep(r, e.Field), e.Value, v); ok {
		tree, err := t.Splice(tags.Put(at, tags.Scalar(line)))
		if err == nil {
			game, _ := tags.ReadGame(t.file, tree, v)
			again := &text{game: game, Tree: tree}
			again.placed()
			if now, _, _ := again.rep(e.Play, e.Rep); now != nil && same(now, wanted) {
				return tree, nil
			}
		}
	}
	var values []Value
	for _, f := range slices.Sorted(maps.Keys(wanted)) {
		values = append(values, Value{f, wanted[f]})
	}
	rusher, _, _ := strings.Cut(strings.TrimSpace(n.Value), " ")
	return t.Splice(tags.Put(at, built(true, Value{"rusher", rusher}, values, repFields(t.game))))
}

// same reports whether a rep says what is wanted and nothing else.
func same(r *tags.Rep, wanted map[Field]string) bool {
	got := map[Field]string{}
	for _, v := range valuesOf(r) {
		got[v.Field] = v.Text
	}
	for f, text := range wanted {
		if text == "" {
			delete(wanted, f)
		}
	}
	return maps.Equal(got, wanted)
}

// lineWith returns a one-line rep in which value stands for a field: in place of the word was, or
// at the end where was is empty. It is false where the line cannot hold the value or has no such
// word.
func lineWith(line string, f Field, was, value string, v *tags.Vocabulary) (string, bool) {
	rf, ok := repField[f]
	if f != "move" && (!ok || !rf.OneLine || rf.Kind != tags.KindWord) {
		return "", false
	}
	words := strings.Fields(line)
	means := func(word string) bool {
		if f == "move" {
			first, _, _ := strings.Cut(word, ">")
			first, _, _ = strings.Cut(first, "/")
			_, ok := v.List("move").Read(first)
			return ok
		}
		w, ok := v.List(rf.WordList()).Read(word)
		return ok && w.Name == was
	}
	place := slices.IndexFunc(words[1:], func(w string) bool { return was != "" && means(w) })
	word := strings.ReplaceAll(value, listSign, ">")
	switch {
	case was != "" && place < 0:
		return "", false
	case place >= 0 && value == "":
		words = slices.Delete(words, place+1, place+2)
	case place >= 0:
		words[place+1] = word
	default:
		words = append(words, word)
	}
	return strings.Join(words, " "), true
}

// add is the file with a play or rep more.
func (t *text) add(e Edit) (tags.Tree, error) {
	item := built(true, Value{"rusher", e.Rep}, e.Values, repFields(t.game))
	if e.Rep == "" {
		item = built(false, Value{"play", fmt.Sprint(e.Play)}, e.Values, playFields(t.game))
	}
	if e.Text != "" {
		var doc yaml.Node
		if err := yaml.Unmarshal([]byte(e.Text), &doc); err != nil || len(doc.Content) == 0 {
			return tags.Tree{}, fmt.Errorf("%s: what was removed cannot be read: %w", e.where(), err)
		}
		item = doc.Content[0]
	}
	if e.Rep == "" {
		return t.addPlay(e.Play, item)
	}
	p, n, at := t.play(e.Play)
	if p == nil {
		return tags.Tree{}, &ConflictError{Edit: e}
	}
	if r, _, _ := t.rep(e.Play, e.Rep); r != nil {
		return tags.Tree{}, fmt.Errorf("%s is there already", e.where())
	}
	if child(n, "reps") == nil {
		list := &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{item}}
		return t.Splice(tags.Insert(at, "reps", list, tags.PlayKeysBefore("reps")...))
	}
	return t.Splice(tags.Append(at.To("reps"), item))
}

// addPlay puts a play into the list of plays, in the order of their numbers.
func (t *text) addPlay(number int, item *yaml.Node) (tags.Tree, error) {
	if p, _, _ := t.play(number); p != nil {
		return tags.Tree{}, fmt.Errorf("play %d is there already", number)
	}
	if child(t.Top, "plays") == nil {
		list := &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{item}}
		return t.Splice(tags.Insert(tags.Path{}, "plays", list))
	}
	place := len(t.game.Plays)
	for place > 0 && t.game.Plays[place-1].Number > number {
		place--
	}
	return t.Splice(tags.InsertItem(tags.Path{"plays"}, place, item).Apart())
}

// without is the file without a play or rep, and what was said of it.
func (t *text) without(e Edit) (tree tags.Tree, was string, err error) {
	var n *yaml.Node
	var at tags.Path
	if e.Rep == "" {
		_, n, at = t.play(e.Play)
	} else {
		_, n, at = t.rep(e.Play, e.Rep)
	}
	if n == nil {
		return tree, "", &ConflictError{Edit: e}
	}
	said, err := yaml.Marshal(n)
	if err != nil {
		return tree, "", err
	}
	tree, err = t.Splice(tags.Remove(at))
	return tree, string(said), err
}
