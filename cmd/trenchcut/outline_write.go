package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"
	"gopkg.in/yaml.v3"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

// base is what plays there are before film is looked at.
type base struct {
	old        []byte     // the tag file as it is; nil where there is none
	data       []byte     // the tag file that film is put into; nil where its plays are yet to be found
	game       *tags.Game // data, parsed
	ours       bool       // all of it is of outline's making
	vocabulary *tags.Vocabulary
}

// base reads the sheet and the tag file, as far as there are any.
func (o *outlineOptions) base() (*base, tags.Faults, error) {
	var err error
	b := &base{ours: true}
	importing := importOptions{streams: o.streams, season: o.season, into: o.out, columns: o.columns}
	if b.vocabulary, err = importing.vocabulary(); err != nil {
		return nil, nil, err
	}
	name := strings.TrimSuffix(filepath.Base(o.out), tags.Suffix)
	if !angleForm.MatchString(name) {
		return nil, nil, usageError{err: fmt.Errorf("%s: %w", o.out, exchange.ErrNoID)}
	}
	b.old, err = os.ReadFile(o.out)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, nil, fmt.Errorf("read the tag file: %w", err)
	}
	if b.old != nil && !isOutlined(b.old) {
		game, faults := tags.ParseGame(o.out, b.old, b.vocabulary)
		if faults.Err() != nil {
			return nil, faults, nil
		}
		if len(game.Films) > 0 || len(game.Plays) == 0 {
			return nil, nil, usageError{err: fmt.Errorf("%s is there and holds somebody's work: name another file with -o", o.out)}
		}
		b.data, b.game, b.ours = b.old, game, false
	}
	if o.sheet == "" {
		return b, nil, nil
	}
	mapping, err := importing.mapping()
	var wrong tags.Faults
	if errors.As(err, &wrong) {
		return nil, wrong, nil
	} else if err != nil {
		return nil, nil, err
	}
	text, err := readBounded(o.sheet)
	if err != nil {
		return nil, nil, usageError{err: fmt.Errorf("read the play sheet: %w", err)}
	}
	sheet, faults := exchange.ReadSheet(o.sheet, text)
	if faults.Err() != nil {
		return nil, faults, nil
	}
	change, err := exchange.Merge(o.out, b.data, sheet, mapping, b.vocabulary)
	if errors.As(err, &wrong) {
		return b, wrong, nil // film may have faults too
	} else if err != nil {
		return nil, nil, err
	}
	game, faults := tags.ParseGame(o.out, change.Data, b.vocabulary)
	switch {
	case faults.Err() != nil:
		return nil, faults, nil
	case len(game.Films) > 0:
		return nil, nil, usageError{err: fmt.Errorf("%s says itself where its plays are on film: trenchcut import brings it in", o.sheet)}
	case len(game.Plays) == 0:
		return nil, nil, usageError{err: fmt.Errorf("%s has no plays", o.sheet)}
	}
	b.data, b.game = change.Data, game
	return b, nil, nil
}

// seal is the last line of a file that outline wrote: the digest of all above it. Where it
// fits, nobody has changed the file.
const seal = "# as outlined: "

func sealed(data []byte) []byte {
	return fmt.Appendf(data, "%s%x\n", seal, sha256.Sum256(data))
}

func isOutlined(data []byte) bool {
	at := bytes.LastIndex(data, []byte(seal))
	return at >= 0 && bytes.Equal(sealed(bytes.Clone(data[:at])), data)
}

const outlineHeading = `# Found on film. Snaps are guesses: whoever confirms one takes "guess: snap" out. With
# "unsure: play" a shot may be of another play, with "unsure: angle" its shots may not
# be of one play.
`

// write is the tag file with the film in it.
func (found *outline) write(file string, b *base) ([]byte, error) {
	data := b.data
	if data == nil {
		name := strings.TrimSuffix(filepath.Base(file), tags.Suffix)
		text := fmt.Sprintf("trenchcut: %d\ngame: {id: %s}\n\nplays:\n", tags.Format, name)
		for i, p := range found.plays {
			if i > 0 {
				text += "\n"
			}
			text += fmt.Sprintf("  - play: %d\n", p.number)
		}
		data = []byte(text)
	}
	places := map[int]int{}
	game, faults := tags.ParseGame(file, data, b.vocabulary)
	if faults.Err() != nil {
		return nil, faults
	}
	for i, p := range game.Plays {
		places[p.Number] = i
	}
	films, common := found.films(file)
	edits := []tags.Edit{tags.Insert(tags.Path{}, "film", films, "trenchcut", "game")}
	for _, p := range found.plays {
		at := tags.Path{"plays", places[p.number]}
		edits = append(edits, p.marks(game.Plays[places[p.number]], at)...)
		edits = append(edits, tags.Insert(at, "angles", p.angles(file, common), tags.PlayKeysBefore("angles")...))
	}
	data, err := tags.Splice(data, edits...)
	if err != nil {
		return nil, fmt.Errorf("write the tag file: %w", err)
	}
	if b.ours {
		data = sealed(append([]byte(outlineHeading), data...))
	}
	if _, faults := tags.ParseGame(file, data, b.vocabulary); faults.Err() != nil {
		return nil, fmt.Errorf("the tag file would have faults: %w", errors.New(faults.Error()))
	}
	return data, nil
}

// films is what the game says of its film, and the file of each angle that has just one.
func (found *outline) films(file string) (n *yaml.Node, common map[string]string) {
	var angles []string
	files := map[string][]string{}
	clips := map[string]bool{}
	for _, p := range found.plays {
		for _, s := range p.take.shots {
			if !slices.Contains(angles, s.angle) {
				angles = append(angles, s.angle)
			}
			if !slices.Contains(files[s.angle], s.file) {
				files[s.angle] = append(files[s.angle], s.file)
			}
			clips[s.angle] = clips[s.angle] || s.reel.clips
		}
	}
	n = &yaml.Node{Kind: yaml.MappingNode}
	common = map[string]string{}
	for _, angle := range angles {
		about := flow()
		if len(files[angle]) == 1 && !clips[angle] {
			common[angle] = files[angle][0]
			put(about, "file", tags.Scalar(written(file, common[angle])))
		}
		put(n, angle, about)
	}
	return n, common
}

// angles is where p is on film.
func (p outlined) angles(file string, common map[string]string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	for _, s := range p.take.shots {
		clock := s.source.Clock()
		about := flow()
		if common[s.angle] != s.file {
			put(about, "file", tags.Scalar(written(file, s.file)))
		}
		if !s.reel.clips {
			put(about, "in", tags.Bare(clock.At(s.Span.In).String()))
			put(about, "out", tags.Bare(clock.At(s.Span.Out).String()))
		}
		if s.Snaps {
			put(about, "snap", tags.Bare(clock.At(s.Snap).String()))
		}
		put(n, s.angle, about)
	}
	return n
}

// marks puts among the extras of a play what is a guess about it.
func (p outlined) marks(play *tags.Play, at tags.Path) []tags.Edit {
	extra := flow()
	if slices.ContainsFunc(p.take.shots, func(s *shot) bool { return s.Snaps }) {
		put(extra, guessKey, tags.Scalar(string(tags.Snap)))
	}
	if doubt := p.doubt(); doubt != "" {
		put(extra, "unsure", tags.Scalar(doubt))
	}
	if len(play.Extra) == 0 {
		if len(extra.Content) == 0 {
			return nil
		}
		return []tags.Edit{tags.Insert(at, "extra", extra, tags.PlayKeysBefore("extra")...)}
	}
	var edits []tags.Edit
	for i := 0; i < len(extra.Content); i += 2 {
		if _, there := play.Extra[extra.Content[i].Value]; !there {
			edits = append(edits, tags.Insert(append(slices.Clone(at), "extra"), extra.Content[i].Value, extra.Content[i+1]))
		}
	}
	return edits
}

// doubt is what is not sure about p.
func (p outlined) doubt() string {
	switch {
	case !p.sure && !p.take.sure:
		return "play, angle"
	case !p.sure:
		return "play"
	case !p.take.sure:
		return "angle"
	default:
		return ""
	}
}

func flow() *yaml.Node { return &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle} }

func put(n *yaml.Node, key string, value *yaml.Node) {
	n.Content = append(n.Content, tags.Scalar(key), value)
}

// written is a film file as the tag file at file names it.
func written(file, path string) string {
	dir, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		return path
	}
	rel, err := filepath.Rel(dir, path)
	if err != nil || strings.HasPrefix(rel, "..") {
		return path
	}
	return filepath.ToSlash(rel)
}

// print prints what was found, a line each play.
func (found *outline) print(w io.Writer, shots []*shot) error {
	columns := []column{{title: "play", right: true}, {title: "shot", right: true}, {title: "angle"}, {title: "in"}, {title: "out"}, {title: "snap"}, {title: "says the sheet"}, {title: "not sure"}}
	var rows [][]string
	for _, p := range found.plays {
		for i, s := range p.take.shots {
			clock := s.source.Clock()
			row := []string{"", fmt.Sprint(s.id), s.angle, clock.At(s.Span.In).String(), clock.At(s.Span.Out).String(), "", "", ""}
			if s.Snaps {
				row[5] = clock.At(s.Snap).String()
			}
			if i == 0 {
				row[0], row[6], row[7] = fmt.Sprint(p.number), situation(p.play), p.doubt()
			}
			rows = append(rows, row)
		}
	}
	if !slices.ContainsFunc(rows, func(r []string) bool { return r[6] != "" }) {
		columns = slices.Delete(columns, 6, 7)
		for i := range rows {
			rows[i] = slices.Delete(rows[i], 6, 7)
		}
	}
	if err := printTable(w, outWidth(w), columns, rows); err != nil {
		return err
	}
	for _, s := range found.left(shots) {
		clock := s.source.Clock()
		if _, err := fmt.Fprintf(w, "left out: shot %d, %s to %s: %s\n", s.id, clock.At(s.Span.In), clock.At(s.Span.Out), s.why()); err != nil {
			return err
		}
	}
	return nil
}

// situation is a few words on a play that tell it from its neighbours.
func situation(p *tags.Play) string {
	if p == nil {
		return ""
	}
	return strings.Join(strings.Fields(strings.Join([]string{downAndDistance(p), p.Type, p.YardLine}, " ")), " ")
}

// left is the shots that are of no play.
func (found *outline) left(shots []*shot) []*shot {
	used := map[*shot]bool{}
	for _, p := range found.plays {
		for _, s := range p.take.shots {
			used[s] = true
		}
	}
	var left []*shot
	for _, s := range shots {
		if !used[s] {
			left = append(left, s)
		}
	}
	return left
}

// why is why s is of no play.
func (s *shot) why() string {
	if s.Off == "" {
		return "no play of the sheet"
	}
	return string(s.Off)
}

// picturing is the stage of taking the contact sheet's pictures.
const picturing render.Stage = "picturing"

// thumbsAcross is how many pictures stand beside one another, a whole number of plays.
const thumbsAcross = 6

// contactSheet is the contact sheet as PNG.
func (o *outlineOptions) contactSheet(ctx context.Context, found *outline, shots []*shot) ([]byte, error) {
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return nil, err
	}
	thumbs, of := found.thumbs(shots)
	bars := &bars{streams: o.streams}
	defer bars.done()
	var group errgroup.Group
	group.SetLimit(runtime.NumCPU())
	done := make(chan struct{}, len(of))
	for i, s := range of {
		group.Go(func() error {
			m, err := o.machine.Library.Still(ctx, s.file, s.telling(), draw.ThumbWidth, draw.ThumbHeight)
			if err == nil {
				thumbs[i].Picture = m
			}
			done <- struct{}{}
			return err
		})
	}
	for i := range of {
		<-done
		bars.show(render.Event{Stage: picturing, Done: tags.Frame(i + 1), Total: tags.Frame(len(of))})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	heading := fmt.Sprintf("%s: is each play under its own number?", filepath.Base(o.out))
	m, err := draw.Contact(heading, thumbs, thumbsAcross, recipe.Look)
	if err != nil {
		return nil, err
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, m); err != nil {
		return nil, fmt.Errorf("write the contact sheet: %w", err)
	}
	return picture.Bytes(), nil
}

// telling is the frame that shows best what s is: the formation, just before the snap.
func (s *shot) telling() tags.Frame {
	if s.Snaps {
		return max(s.Snap-s.source.Rate.Floor(tags.Second/4), s.Span.In)
	}
	return (s.Span.In + s.Span.Out) / 2
}

// thumbs is the pictures of the contact sheet, and the shot of each: plays in order, a
// shot that is left out where it comes on its film.
func (found *outline) thumbs(shots []*shot) (thumbs []draw.Thumb, of []*shot) {
	left := found.left(shots)
	add := func(s *shot, lead string, out, doubt bool) {
		clock := s.source.Clock()
		at := clock.At(s.Span.In).String()
		line := fmt.Sprintf("shot %d · %s · %s", s.id, s.angle, at[:len(at)-4])
		if s.reel.clips {
			line = fmt.Sprintf("shot %d · %s · %s", s.id, s.angle, filepath.Base(s.file))
		}
		thumbs = append(thumbs, draw.Thumb{Lead: lead, Line: line, Out: out, Doubt: doubt})
		of = append(of, s)
	}
	for _, p := range found.plays {
		for len(left) > 0 && left[0].reel == p.take.shots[0].reel && left[0].id < p.take.shots[0].id {
			add(left[0], left[0].why(), true, false)
			left = left[1:]
		}
		mark := ""
		if p.doubt() != "" {
			mark = "?"
		}
		lead := fmt.Sprintf("play %d%s · %s", p.number, mark, situation(p.play))
		lead = strings.TrimSuffix(lead, " · ")
		for _, s := range p.take.shots {
			add(s, lead, false, p.doubt() != "")
		}
	}
	for _, s := range left {
		add(s, s.why(), true, false)
	}
	return thumbs, of
}

// summary says how it went, and where to look.
func (o *outlineOptions) summary(found *outline, shots []*shot, contact string) error {
	var lines []string
	say := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	snaps := 0
	for _, p := range found.plays {
		if slices.ContainsFunc(p.take.shots, func(s *shot) bool { return s.Snaps }) {
			snaps++
		}
	}
	dry := ""
	if o.dryRun {
		dry = " (dry run: nothing written)"
	}
	say("%s: %s on film, %s guessed, %s left out%s", o.out, plural(len(found.plays), "play"), plural(snaps, "snap"), plural(len(found.left(shots)), "shot"), dry)
	if n := len(found.absent); n > 0 {
		say("not on film: %s", numbers(found.absent))
	}
	for _, run := range found.doubtful() {
		first, last := run[0], run[len(run)-1]
		where := fmt.Sprintf("play %d is", first.number)
		if len(run) > 1 {
			where = fmt.Sprintf("plays %d to %d are", first.number, last.number)
		}
		say("%s not sure: the film would fit another way nearly as well", where)
	}
	if contact != "" {
		say("look at %s: where a play is under the wrong number, say --pin PLAY=SHOT or --leave-out SHOT", contact)
	}
	_, err := fmt.Fprintln(o.Err, strings.Join(lines, "\n"))
	return err
}

// doubtful is runs of plays next to one another that are not sure.
func (found *outline) doubtful() [][]outlined {
	var runs [][]outlined
	before := false
	for _, p := range found.plays {
		doubt := p.doubt() != ""
		switch {
		case doubt && before:
			runs[len(runs)-1] = append(runs[len(runs)-1], p)
		case doubt:
			runs = append(runs, []outlined{p})
		}
		before = doubt
	}
	return runs
}

// numbers is "7, 19, 20".
func numbers(list []int) string {
	texts := make([]string, len(list))
	for i, n := range list {
		texts[i] = fmt.Sprint(n)
	}
	return strings.Join(texts, ", ")
}
