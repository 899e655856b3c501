package outline

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/files"
)

// Write writes the tag file, and the contact sheet, a PNG, to the path contact where policy
// allows it: both or neither. It fails with [files.ErrChanged] where the tag file is no longer what
// it was when the search began.
func (p *Proposal) Write(contact string, picture []byte, policy files.Policy) error {
	if err := policy.Check(contact); err != nil {
		return err
	}
	with := []files.File{{Path: contact, Data: picture}}
	if p.Sheet != nil {
		with = append(with, p.Sheet.Ledger.Files(p.File)...)
	}
	return files.UpdateTogether(p.File, p.old, p.data, with...)
}

// ContactFile is where the contact sheet lies where nobody says otherwise: beside the tag
// file.
func ContactFile(file string) string {
	return strings.TrimSuffix(file, tags.Suffix) + ".outline.png"
}

// unsureKey is the extra of a play that says what is not sure about its film.
const unsureKey = "unsure"

const heading = `# Found on film. Snaps are guesses: whoever confirms one takes "guess: snap" out. With
# "unsure: play" a shot may be of another play, with "unsure: angle" its shots may not
# be of one play.
`

// tagFile is the tag file with the film in it.
func (p *Proposal) tagFile(known *list, v *tags.Vocabulary) ([]byte, error) {
	if known.again != nil {
		data, changes, err := known.again.write(p.File, p.Plays, v)
		if err != nil {
			return nil, err
		}
		p.Again, p.Changes = true, changes
		return data, checked(p.File, data, v)
	}
	data := known.data
	if data == nil {
		data = p.bareFile()
	}
	game, faults := tags.ParseGame(p.File, data, v)
	if faults.Err() != nil {
		return nil, faults
	}
	places := map[int]int{}
	for i, play := range game.Plays {
		places[play.Number] = i
	}
	films, common := p.films()
	edits := []tags.Edit{tags.Insert(tags.Path{}, "film", films, "trenchcut", "game")}
	for _, play := range p.Plays {
		place := places[play.Number]
		at := tags.Path{"plays", place}
		edits = append(edits, play.marks(game.Plays[place], at)...)
		edits = append(edits, tags.Insert(at, "angles", play.angles(p.File, common), tags.PlayKeysBefore("angles")...))
	}
	data, err := tags.Splice(data, edits...)
	if err != nil {
		return nil, fmt.Errorf("write the tag file: %w", err)
	}
	if known.whole {
		data = sealed(append([]byte(heading), data...))
	}
	return data, checked(p.File, data, v)
}

// checked fails where a tag file would have faults.
func checked(file string, data []byte, v *tags.Vocabulary) error {
	if _, faults := tags.ParseGame(file, data, v); faults.Err() != nil {
		return fmt.Errorf("the tag file would have faults: %w", errors.New(faults.Error()))
	}
	return nil
}

// bareFile is a tag file with the plays' numbers alone.
func (p *Proposal) bareFile() []byte {
	name := strings.TrimSuffix(filepath.Base(p.File), tags.Suffix)
	data := fmt.Appendf(nil, "trenchcut: %d\ngame: {id: %s}\n\nplays:\n", tags.Format, name)
	for i, play := range p.Plays {
		if i > 0 {
			data = append(data, '\n')
		}
		data = fmt.Appendf(data, "  - play: %d\n", play.Number)
	}
	return data
}

// films is the game's films, and the file of each angle that has just one.
func (p *Proposal) films() (n *yaml.Node, common map[string]string) {
	var angles []string
	files := map[string][]string{}
	clips := map[string]bool{}
	for _, play := range p.Plays {
		for _, s := range play.Shots {
			if !slices.Contains(angles, s.Angle) {
				angles = append(angles, s.Angle)
			}
			if !slices.Contains(files[s.Angle], s.File) {
				files[s.Angle] = append(files[s.Angle], s.File)
			}
			clips[s.Angle] = clips[s.Angle] || s.Clip
		}
	}
	n = &yaml.Node{Kind: yaml.MappingNode}
	common = map[string]string{}
	for _, angle := range angles {
		about := flowMapping()
		if len(files[angle]) == 1 && !clips[angle] {
			common[angle] = files[angle][0]
			put(about, "file", filmNode(p.File, common[angle]))
		}
		put(n, angle, about)
	}
	return n, common
}

// filmNode is a film as the tag file at tagFile names it, or the list of its parts.
func filmNode(tagFile, film string) *yaml.Node {
	parts := files.Parts(film)
	if len(parts) == 1 {
		return tags.Scalar(exchange.FilmName(tagFile, film))
	}
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, part := range parts {
		n.Content = append(n.Content, tags.Scalar(exchange.FilmName(tagFile, part)))
	}
	return n
}

// angles is where p is on film. common is the file of each angle that has just one.
func (p Play) angles(tagFile string, common map[string]string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	for _, s := range p.Shots {
		clock := s.Source.Clock()
		about := flowMapping()
		if common[s.Angle] != s.File {
			put(about, "file", tags.Scalar(exchange.FilmName(tagFile, s.File)))
		}
		if !s.Clip || s.Span.In > 0 {
			put(about, "in", tags.Bare(clock.At(s.Span.In).String()))
		}
		if !s.Clip {
			put(about, "out", tags.Bare(clock.At(s.Span.Out).String()))
		}
		if s.Snaps {
			put(about, "snap", tags.Bare(clock.At(s.Snap).String()))
		}
		put(n, s.Angle, about)
	}
	return n
}

// marks returns the edits that note in the extras of a play what is guessed about it. Extras that
// are there stay.
func (p Play) marks(play *tags.Play, at tags.Path) []tags.Edit {
	var values []tags.ExtraValue
	add := func(key, value string) {
		if _, there := play.Extra[key]; !there {
			values = append(values, tags.ExtraValue{Key: key, Value: value})
		}
	}
	if p.Snaps() {
		add(tags.GuessKey, string(tags.EverySnap))
	}
	if doubt := p.Doubt(); doubt != "" {
		add(unsureKey, doubt)
	}
	return tags.SetExtra(play, at, values...)
}

func flowMapping() *yaml.Node { return &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle} }

func put(n *yaml.Node, key string, value *yaml.Node) {
	n.Content = append(n.Content, tags.Scalar(key), value)
}
