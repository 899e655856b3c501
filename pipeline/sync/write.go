package sync

import (
	"fmt"
	"strconv"

	"gopkg.in/yaml.v3"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Edit is what a proposal makes of its game's tag file.
type Edit struct {
	File    string
	Changes []Change // none where the file says all of it already
	Missed  []Missed

	old, next []byte
}

// Change is one value of a tag file.
type Change struct {
	Path  tags.Path
	Value string // empty where it is removed
	Was   string // empty where there was none
}

// String is "film.sideline.offset: 0:04:29.100, was 0:04:29.000".
func (c Change) String() string {
	switch {
	case c.Value == "":
		return fmt.Sprintf("%s: removed, was %s", c.Path, c.Was)
	case c.Was == "":
		return fmt.Sprintf("%s: %s", c.Path, c.Value)
	default:
		return fmt.Sprintf("%s: %s, was %s", c.Path, c.Value, c.Was)
	}
}

// Missed is how many plays an angle put in step does not show whole.
type Missed struct {
	Angle string
	Plays int
}

// Edit is what the findings of p make of the tag file. It fails where the file could not
// say so without a fault.
func (p *Proposal) Edit(v *tags.Vocabulary) (*Edit, error) {
	e := &editor{Edit: Edit{File: p.Game.Pos.File, old: p.file}}
	var root yaml.Node
	if err := yaml.Unmarshal(p.file, &root); err != nil {
		return nil, fmt.Errorf("read %s: %w", e.File, err)
	}
	e.top = root.Content[0]
	guesses := map[*tags.Play]tags.Guesses{}
	for _, play := range p.Game.Plays {
		guesses[play] = play.Guesses()
	}
	for _, f := range p.Findings {
		if f.Err != nil || f.Stays {
			continue
		}
		e.put(f)
		if f.Play != nil {
			guesses[f.Play] = f.guesses(guesses[f.Play])
		}
	}
	for _, play := range p.Game.Plays {
		e.setGuesses(play, guesses[play])
	}
	e.next = p.file
	if len(e.Changes) == 0 {
		return &e.Edit, nil
	}
	var err error
	if e.next, err = tags.Splice(p.file, e.edits...); err != nil {
		return nil, fmt.Errorf("edit %s: %w", e.File, err)
	}
	game, faults := tags.ParseGame(e.File, e.next, v)
	if err := faults.Err(); err != nil {
		return nil, fmt.Errorf("with this %s would have faults, so it is left as it is: %w", e.File, err)
	}
	_ = game.CheckFilm(plan.Extents(p.films)) // sets the clocks; its faults are for check to tell
	for _, f := range p.Findings {
		if n := p.missed(game, f); n > 0 {
			e.Missed = append(e.Missed, Missed{f.Angle, n})
		}
	}
	return &e.Edit, nil
}

// Write writes the tag file. It fails with [files.ErrChanged] where the file has changed
// since the search began.
func (e *Edit) Write() error {
	if len(e.Changes) == 0 {
		return nil
	}
	return files.Update(e.File, e.old, e.next)
}

// guesses is what a play says of its guessed snaps once f, which was said of them before.
func (f *Finding) guesses(said tags.Guesses) tags.Guesses {
	switch {
	case !f.Guess:
		return said.WithoutSnap(f.On, f.Play.Angles())
	case f.Angle == f.search.first.Angle: // the other angles take theirs from it
		return tags.EverySnap
	default:
		return said.WithSnap(f.On)
	}
}

// missed is how many plays the film of an angle that was put in step does not show whole.
func (p *Proposal) missed(game *tags.Game, f *Finding) int {
	if f.Play != nil || f.Err != nil || f.Stays {
		return 0
	}
	src, n := p.films[f.search.film.File], 0
	for _, play := range game.Plays {
		v, err := play.View(f.Angle)
		if err == nil && !play.Timed(f.Angle) && (src.Clock().FrameAt(v.In) < 0 || src.Clock().FrameAt(v.Out) > src.Frames) {
			n++
		}
	}
	return n
}

// editor collects edits of a tag file.
type editor struct {
	Edit
	top   *yaml.Node // of the file as it was
	edits []tags.Edit
}

// put takes over what was found.
func (e *editor) put(f *Finding) {
	if f.Play == nil {
		at := tags.Path{"film", f.Angle}
		e.set(at, "offset", f.Set.String(), "file")
		if drift := tags.Child(e.top, at.To("drift")...); f.Drift != 0 || drift != nil {
			e.set(at, "drift", strconv.Itoa(f.Drift), "file", "offset")
		}
		return
	}
	play := e.pathOf(f.Play)
	angle, marks := play.To("angles", f.On), play.To("marks")
	switch {
	case tags.Child(e.top, angle...) != nil:
		e.set(angle, "snap", f.Set.String(), "file", "in", "out")
	case tags.Child(e.top, marks...) != nil:
		e.set(marks, "snap", f.Set.String())
	default:
		node := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{tags.Scalar("snap"), tags.Bare(f.Set.String())}}
		e.edits = append(e.edits, tags.Insert(play, "marks", node, "angles", "in", "out"))
		e.Changes = append(e.Changes, Change{Path: marks.To("snap"), Value: f.Set.String()})
	}
}

// setGuesses says of a play which of its snaps are guesses.
func (e *editor) setGuesses(p *tags.Play, said tags.Guesses) {
	if said == p.Guesses() {
		return
	}
	play := e.pathOf(p)
	at := play.To("extra", tags.GuessKey)
	e.Changes = append(e.Changes, Change{Path: at, Value: string(said), Was: string(p.Guesses())})
	if said == "" {
		e.edits = append(e.edits, tags.Remove(at))
		return
	}
	e.edits = append(e.edits, tags.SetExtra(p, play, tags.ExtraValue{Key: tags.GuessKey, Value: string(said)})...)
}

// set sets a key of the mapping at a path: a new one behind those named in after.
func (e *editor) set(at tags.Path, key, value string, after ...string) {
	change := Change{Path: at.To(key), Value: value}
	if n := tags.Child(e.top, change.Path...); n != nil && n.Value != "" {
		change.Was = n.Value
		e.edits = append(e.edits, tags.Replace(change.Path, value))
	} else {
		e.edits = append(e.edits, tags.Insert(at, key, tags.Bare(value), after...))
	}
	e.Changes = append(e.Changes, change)
}

// pathOf is where a play stands in the file; the last of its number where there are
// several, and a path that leads nowhere where there is none.
func (e *editor) pathOf(p *tags.Play) tags.Path {
	place := -1
	if plays := tags.Child(e.top, "plays"); plays != nil {
		for i := range plays.Content {
			if n := tags.Child(e.top, "plays", i, "play"); n != nil && n.Value == strconv.Itoa(p.Number) {
				place = i
			}
		}
	}
	return tags.Path{"plays", place}
}
