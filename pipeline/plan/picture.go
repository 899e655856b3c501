package plan

import (
	"path/filepath"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Picture is a picture of the staff's own, which stands by itself at an end of the reel.
type Picture struct {
	Pos  tags.Pos // in the recipe
	File string   // beside the recipe or below it
	Hold tags.Time
	// What the file was found to be: the SHA-256 of its content, and its size in pixels.
	Content       string
	Width, Height int
}

// How long a picture stands where the recipe does not say, and how many an end may have.
const (
	pictureHold  = 3 * tags.Second
	mostPictures = 5
)

// pictures reads a file's name, {file: logo.png, hold: 4s}, a list of them, or no.
func pictures(d *tags.Decoder, n *yaml.Node, what string) []Picture {
	var list []Picture
	one := func(n *yaml.Node) {
		p := Picture{Pos: d.Pos(n), Hold: pictureHold}
		name := func(n *yaml.Node) { p.File, p.Pos = d.Text(n, what), d.Pos(n) }
		if n.Kind == yaml.MappingNode {
			d.Mapping(n, what, tags.Keys{"file": name, "hold": value(d, "hold", parseHold, &p.Hold)})
		} else {
			name(n)
		}
		if !filepath.IsLocal(filepath.FromSlash(p.File)) {
			d.Faults.Add(p.Pos, "%s %q: want a PNG or JPEG file beside the recipe, such as logo.png", what, p.File)
			return
		}
		list = append(list, p)
	}
	switch {
	case n.Kind == yaml.ScalarNode && n.Value == "no":
	case n.Kind == yaml.SequenceNode:
		d.List(n, what, one)
	default:
		one(n)
	}
	if len(list) > mostPictures {
		d.Faults.Add(d.Pos(n), "%s has %d pictures, want at most %d", what, len(list), mostPictures)
	}
	return list
}

// pictures is the staff's pictures as part of the reel, whole amid the slates' ground.
func (b *builder) pictures(chapter string, list []Picture) []Entry {
	var entries []Entry
	for _, p := range list {
		e := b.slate(chapter, Card{}, p.Hold)
		e.Shows = ShowsStaff
		e.Segment.Card, e.Segment.Picture = nil, p.Content
		e.Segment.Fit = Letterbox(p.Width, p.Height, b.plan.House)
		entries = append(entries, e)
	}
	return entries
}
