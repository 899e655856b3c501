package exchange

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// theirGame is a tag file of another staff.
type theirGame struct {
	name string // its place in their folder
	data []byte
	game *tags.Game
	team string // whose it is
}

// read reads a tag file of theirs. Its faults are the Taking's.
func (t *Taking) read(name string, data []byte, v *tags.Vocabulary) *theirGame {
	file := filepath.Join(t.folder.From, filepath.FromSlash(name))
	game, faults := tags.ParseGame(file, data, v)
	for _, f := range faults {
		if !f.Warning { // what is worth a look is for check, once it is taken in
			t.Faults = append(t.Faults, f)
		}
	}
	g := &theirGame{name: name, data: data, game: game, team: cmp.Or(game.Us, t.folder.Team)}
	if g.team == "" && faults.Err() == nil {
		t.Faults.Add(game.Pos, "the game does not say whose tags these are: add us: under game, or say --team NAME")
	}
	return g
}

// renames is what changes: ids of people and of games, and the names of reps that models have.
type renames struct{ people, games, models map[string]string }

// rename chooses ids for the people and the games of theirs whose ids are those of others among
// ours. One of the same team and jersey is the same man, and keeps his.
func (t *Taking) rename(theirs []*theirGame) renames {
	ours := map[string][]*tags.Person{}
	games := map[string]bool{}
	taken := map[string]bool{}
	team := func(g *tags.Game, us string, p *tags.Person) string {
		if g.Ours(p) {
			return strings.ToLower(us)
		}
		return strings.ToLower(p.Team)
	}
	teams := map[*tags.Person]string{}
	for _, g := range t.folder.Ours {
		games[g.ID] = true
		for id, p := range g.People {
			ours[id], taken[id], teams[p] = append(ours[id], p), true, team(g, g.Us, p)
		}
	}
	for _, g := range theirs {
		for id := range g.game.People {
			taken[id] = true
		}
	}
	r := renames{map[string]string{}, map[string]string{}, map[string]string{}}
	for _, g := range theirs {
		for _, id := range slices.Sorted(maps.Keys(g.game.People)) {
			p := g.game.People[id]
			its := team(g.game, g.team, p)
			other := slices.ContainsFunc(ours[id], func(o *tags.Person) bool { return teams[o] != its || o.Jersey != p.Jersey })
			if !other || r.people[id] != "" {
				continue
			}
			r.people[id] = free(taken, idOf(its)+"-"+cmp.Or(idOf(p.Jersey), id))
		}
		if games[g.game.ID] {
			r.games[g.game.ID] = free(games, idOf(g.team)+"-"+g.game.ID)
		}
		games[cmp.Or(r.games[g.game.ID], g.game.ID)] = true
	}
	t.renameModels(theirs, r)
	return r
}

// free is an id that begins as wanted and that nobody has, and takes it.
func free(taken map[string]bool, wanted string) string {
	wanted = strings.Trim(wanted[:min(len(wanted), 36)], "-")
	id := wanted
	for n := 2; taken[id] || !tags.ID.MatchString(id); n++ {
		id = fmt.Sprintf("%s-%d", strings.TrimLeft(cmp.Or(wanted, "their"), "-"), n)
	}
	taken[id] = true
	return id
}

// take makes of g the tag file as it is to lie among ours.
func (t *Taking) take(root *os.Root, g *theirGame, r renames, there map[string]bool, v *tags.Vocabulary) {
	pos := g.game.Pos
	data, err := renamedIn(g.data, r.people)
	if err == nil {
		data, err = remodelled(data, r.models)
	}
	if err == nil {
		data, err = t.asScout(data, g, r.games[g.game.ID])
	}
	into := filepath.Join(t.folder.Into, filepath.FromSlash(g.name))
	if err == nil {
		var again *tags.Game
		var faults tags.Faults
		again, faults = tags.ParseGame(into, data, v)
		if err = faults.Err(); err == nil {
			err = samePeople(g.game, again, r.people)
		}
	}
	if err != nil {
		t.Faults.Add(pos, "its ids cannot be kept apart from ours: %v", err)
		return
	}
	t.say("%s: %s of %s, %s, %s", g.name, cmp.Or(r.games[g.game.ID], g.game.ID), g.team, tags.Count(len(g.game.Plays), "play"), tags.Count(len(repsOf(g.game)), "rep"))
	if id := r.games[g.game.ID]; id != "" {
		t.say("  game %s becomes %s, because one of yours has that id", g.game.ID, id)
	}
	for _, id := range slices.Sorted(maps.Keys(g.game.People)) {
		if to := r.people[id]; to != "" {
			t.say("  %s (%s) becomes %s, because %s is another of yours", id, g.game.People[id].Shown(), to, id)
		}
	}
	t.Games++
	t.files = append(t.files, files.File{Path: filepath.FromSlash(g.name), Data: data})
	t.film(root, g, there)
}

// film takes along the film that a game names.
func (t *Taking) film(root *os.Root, g *theirGame, there map[string]bool) {
	from, err := filepath.Abs(t.folder.From)
	if err != nil {
		t.Faults.Add(g.game.Pos, "%v", err)
		return
	}
	for _, ref := range g.game.Files() {
		for _, part := range files.Parts(ref.File) {
			rel, err := filepath.Rel(from, part)
			name := filepath.ToSlash(rel)
			switch {
			case err != nil || !filepath.IsLocal(rel):
				t.Faults.Add(ref.Pos, "the film lies outside the folder: put it in, and name it from there")
			case slices.Contains(t.films, name):
			case !there[name]:
				t.say("  no film %s in the folder: its plays can be counted, not shown", name)
			default:
				info, err := root.Lstat(name)
				if err != nil || !info.Mode().IsRegular() {
					t.Faults.Add(ref.Pos, "the film is no plain file")
					continue
				}
				t.films, t.Films, t.Bytes = append(t.films, name), t.Films+1, t.Bytes+info.Size()
			}
		}
	}
}

// asScout is data as a game of another team's: it says whose it is and, but for a practice, that
// it is scout film, so that its numbers can be told from ours.
func (t *Taking) asScout(data []byte, g *theirGame, id string) ([]byte, error) {
	at := tags.Path{"game"}
	var edits []tags.Edit
	if id != "" {
		edits = append(edits, tags.Replace(tags.Path{"game", "id"}, id))
	}
	if g.game.Us == "" {
		edits = append(edits, tags.Insert(at, "us", tags.Scalar(g.team), "id", "by", "kind", "date"))
	}
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil {
		return nil, err
	}
	said := tags.Child(root.Content[0], "game", "kind") != nil
	switch kind := g.game.Kind; {
	case kind == tags.Scout, kind == tags.Practice:
	case !said:
		edits = append(edits, tags.Insert(at, "kind", tags.Scalar(tags.Scout), "id", "by"))
	default:
		edits = append(edits, tags.Replace(tags.Path{"game", "kind"}, tags.Scout))
	}
	var err error
	for _, e := range edits { // two keys may go to one place
		if data, err = tags.Splice(data, e); err != nil {
			return nil, err
		}
	}
	return data, nil
}

// samePeople fails where was and is do not name the same people in every rep, but for ids.
func samePeople(was, is *tags.Game, ids map[string]string) error {
	differ := errors.New("a rep would name somebody else")
	if len(was.Plays) != len(is.Plays) {
		return differ
	}
	for i, p := range was.Plays {
		if len(p.Reps) != len(is.Plays[i].Reps) {
			return differ
		}
		for k, rep := range p.Reps {
			for _, f := range tags.RepFields {
				a, ok := f.At(rep).(**tags.Person)
				if !ok {
					continue
				}
				b := *f.At(is.Plays[i].Reps[k]).(**tags.Person)
				if (*a == nil) != (b == nil) || *a != nil && cmp.Or(ids[(*a).ID], (*a).ID) != b.ID {
					return differ
				}
			}
		}
	}
	return nil
}

// renamedIn is a tag file with other ids of people, and nothing else of it changed.
func renamedIn(data []byte, ids map[string]string) ([]byte, error) {
	naming := map[string]bool{}
	for _, f := range tags.RepFields {
		naming[f.FileKey()] = f.Kind == tags.KindPerson || naming[f.FileKey()]
	}
	for _, f := range tags.PlayFields {
		naming[f.FileKey()] = f.Kind == tags.KindPerson || naming[f.FileKey()]
	}
	return replaceIn(data, ids, func(top *yaml.Node) (found []*yaml.Node) {
		if people := tags.Child(top, "people"); people != nil && people.Kind == yaml.MappingNode {
			for i := 0; i+1 < len(people.Content); i += 2 {
				found = append(found, people.Content[i])
			}
		}
		var walk func(n *yaml.Node)
		walk = func(n *yaml.Node) {
			for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
				if key, value := n.Content[i], n.Content[i+1]; naming[key.Value] && value.Kind == yaml.ScalarNode {
					found = append(found, value)
				}
			}
			for _, c := range n.Content {
				walk(c)
			}
		}
		for _, play := range items(top, "plays") {
			walk(play)
			for _, rep := range items(play, "reps") {
				if rep.Kind == yaml.ScalarNode { // on one line, the rusher first
					found = append(found, rep)
				}
			}
		}
		return found
	})
}

// items returns the items of the list that a mapping has under a key; none where it has no list.
func items(n *yaml.Node, key string) []*yaml.Node {
	if list := tags.Child(n, key); list != nil && list.Kind == yaml.SequenceNode {
		return list.Content
	}
	return nil
}

// replaceIn puts other ids in the place of those that the nodes of a tag file begin with which find
// returns, given its top value.
func replaceIn(data []byte, ids map[string]string, find func(top *yaml.Node) []*yaml.Node) ([]byte, error) {
	if len(ids) == 0 {
		return data, nil
	}
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil {
		return nil, err
	}
	nodes := find(root.Content[0])
	lines := strings.SplitAfter(string(data), "\n")
	slices.SortFunc(nodes, func(a, b *yaml.Node) int { return cmp.Or(b.Line-a.Line, b.Column-a.Column) }) // from the end
	for _, n := range nodes {
		id, _, _ := strings.Cut(n.Value, " ")
		to := ids[id]
		if to == "" {
			continue
		}
		line := []rune(lines[n.Line-1])
		before, rest := string(line[:n.Column-1]), string(line[n.Column-1:])
		quote := ""
		if strings.HasPrefix(rest, `"`) || strings.HasPrefix(rest, "'") {
			quote, rest = rest[:1], rest[1:]
		}
		after, ok := strings.CutPrefix(rest, id)
		if !ok {
			return nil, fmt.Errorf("line %d: %s is not written out there", n.Line, id)
		}
		lines[n.Line-1] = before + quote + to + after
	}
	return []byte(strings.Join(lines, "")), nil
}
