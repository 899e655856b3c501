package main

import (
	"fmt"
	"strconv"

	"gopkg.in/yaml.v3"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// setting is one value that goes into a tag file.
type setting struct {
	edit tags.Edit
	said string // "film.sideline.offset: 0:04:29.100"
}

// write puts what was found of one game into its tag file, and says so.
func (o *syncOptions) write(v *tags.Vocabulary, g *tags.Game, data []byte, jobs []*syncJob) error {
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil {
		return fmt.Errorf("read %s: %w", g.Pos.File, err)
	}
	var settings []setting
	guesses := map[*tags.Play]string{}
	for _, p := range g.Plays {
		guesses[p] = p.Extra[guessKey]
	}
	for _, j := range jobs {
		if j.err != nil || j.stays {
			continue
		}
		settings = append(settings, j.settings(&root)...)
		if j.guess {
			guesses[j.play] = j.saying(guesses[j.play])
		}
	}
	for _, p := range g.Plays {
		if said := guesses[p]; said != p.Extra[guessKey] {
			settings = append(settings, guessing(&root, p, said))
		}
	}
	if len(settings) == 0 {
		return nil
	}
	edits := make([]tags.Edit, len(settings))
	for i, s := range settings {
		edits[i] = s.edit
		if o.dryRun {
			fmt.Fprintf(o.Out, "%s: %s\n", g.Pos.File, s.said)
		}
	}
	next, err := tags.Splice(data, edits...)
	if err != nil {
		return fmt.Errorf("edit %s: %w", g.Pos.File, err)
	}
	held, faults := tags.ParseGame(g.Pos.File, next, v)
	if err := faults.Err(); err != nil {
		return fmt.Errorf("with this %s would have faults, so it is left as it is: %w", g.Pos.File, err)
	}
	if o.dryRun {
		_, err = fmt.Fprintf(o.Err, "%s: %s to write (dry run: nothing written)\n", g.Pos.File, plural(len(settings), "value"))
		return err
	}
	if err := tags.WriteFile(g.Pos.File, data, next); err != nil {
		return err
	}
	_ = held.CheckFilm(plan.Extents(o.session.Films)) // sets the clocks; what it finds, check tells
	for _, j := range jobs {
		if n := o.missed(held, j); n > 0 {
			fmt.Fprintf(o.Err, "%s: the %s misses %s or part of them: trenchcut check names them\n", g.Pos.File, j.angle.Angle, plural(n, "play"))
		}
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s written\n", g.Pos.File, plural(len(settings), "value"))
	return err
}

// missed is how many plays the film of an angle that was put in step does not show whole.
func (o *syncOptions) missed(g *tags.Game, j *syncJob) int {
	if j.play != nil || j.err != nil || j.stays {
		return 0
	}
	src, n := o.session.Films[j.angle.File], 0
	for _, p := range g.Plays {
		v, err := p.View(j.angle.Angle)
		if err == nil && !p.Timed(j.angle.Angle) && (src.Clock().FrameAt(v.In) < 0 || src.Clock().FrameAt(v.Out) > src.Frames) {
			n++
		}
	}
	return n
}

// settings is what a job writes into the file that root is of.
func (j *syncJob) settings(root *yaml.Node) []setting {
	if j.play == nil {
		at := tags.Path{"film", j.angle.Angle}
		list := []setting{set(root, at, "offset", j.set.String(), "file")}
		if j.drift != 0 || valueAt(root, append(at, "drift")) != nil {
			list = append(list, set(root, at, "drift", strconv.Itoa(j.drift), "file", "offset"))
		}
		return list
	}
	play := pathOf(root, j.play)
	switch at := append(play, "angles", j.on().Angle); {
	case valueAt(root, at) != nil:
		return []setting{set(root, at, "snap", j.set.String(), "file", "in", "out")}
	case valueAt(root, append(play, "marks")) != nil:
		return []setting{set(root, append(play, "marks"), "snap", j.set.String())}
	default:
		marks := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{tags.Scalar("snap"), tags.Bare(j.set.String())}}
		said := fmt.Sprintf("%s: %s", append(play, "marks", "snap"), j.set)
		return []setting{{tags.Insert(play, "marks", marks, "angles", "in", "out"), said}}
	}
}

// guessing is what tells of a play which of its snaps are guesses.
func guessing(root *yaml.Node, p *tags.Play, said string) setting {
	play := pathOf(root, p)
	if at := append(play, "extra"); valueAt(root, at) != nil {
		return set(root, at, guessKey, said)
	}
	extra := flow()
	put(extra, guessKey, tags.Scalar(said))
	return setting{tags.Insert(play, "extra", extra, tags.PlayKeysBefore("extra")...), fmt.Sprintf("%s: %s", append(play, "extra", guessKey), said)}
}

// pathOf is where a play stands in the file that root is of; -1 leads nowhere.
func pathOf(root *yaml.Node, p *tags.Play) tags.Path {
	place := -1
	if plays := valueAt(root, tags.Path{"plays"}); plays != nil {
		for i, item := range plays.Content {
			if n := valueAt(item, tags.Path{"play"}); n != nil && n.Value == strconv.Itoa(p.Number) {
				place = i
			}
		}
	}
	return tags.Path{"plays", place}
}

// set sets a key of the mapping at a path, behind those named, or in the place of what it has.
func set(root *yaml.Node, at tags.Path, key, value string, after ...string) setting {
	whole := append(append(tags.Path{}, at...), key)
	said := fmt.Sprintf("%s: %s", whole, value)
	if n := valueAt(root, whole); n != nil && n.Value != "" {
		return setting{tags.Replace(whole, value), fmt.Sprintf("%s, was %s", said, n.Value)}
	}
	return setting{tags.Insert(at, key, tags.Bare(value), after...), said}
}

// valueAt is the value that a path leads to; nil where there is none.
func valueAt(n *yaml.Node, path tags.Path) *yaml.Node {
	if n.Kind == yaml.DocumentNode {
		n = n.Content[0]
	}
	for _, step := range path {
		var next *yaml.Node
		switch step := step.(type) {
		case int:
			if n.Kind == yaml.SequenceNode && step >= 0 && step < len(n.Content) {
				next = n.Content[step]
			}
		case string:
			for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
				if n.Content[i].Value == step {
					next = n.Content[i+1]
				}
			}
		}
		if next == nil {
			return nil
		}
		n = next
	}
	return n
}
