package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/query"
)

type exportOptions struct {
	streams
	choose chooseOptions
	as     string
	out    string
	angle  string

	films map[string]plan.Source
}

// exportForm is one form that export writes.
type exportForm struct {
	name   string
	ext    string
	film   bool // it needs to know the film
	binary bool
	write  func(o *exportOptions, ctx context.Context, w io.Writer, season *tags.Season, q *query.Query) error
}

var exportForms = []exportForm{
	{name: "csv", ext: ".csv", write: (*exportOptions).csv},
	{name: "xlsx", ext: ".xlsx", binary: true, write: (*exportOptions).xlsx},
	{name: "jsonl", ext: ".jsonl", write: (*exportOptions).jsonLines},
	{name: "webvtt", ext: ".vtt", film: true, write: (*exportOptions).chapters},
	{name: "otio", ext: ".otio", film: true, write: (*exportOptions).timeline},
}

func newExportCommand(s streams) *cobra.Command {
	o := &exportOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "export [term…]",
		Short: "Write plays or reps in a form that other programs read",
		Long: `Export writes what meets every term in one of these forms:

  csv     play sheet, a row a play; import reads it back
  xlsx    the same as a spreadsheet
  jsonl   JSON Lines, an object a rep with every fact known of it
  webvtt  chapters of one film, a chapter a play
  otio    OpenTimelineIO timeline, a clip a play, with its marks; film is named
          from where the timeline lies, so move them together

` + chooseHelp,
		Example: `  trenchcut export --as csv -g wk1.game.yaml -o plays.csv
  trenchcut export inside-counter --as jsonl
  trenchcut export game=wk1-harbor down=3 --as webvtt --angle endzone -o wk1.vtt
  trenchcut export outcome=sack -o sacks.otio`,
		RunE: func(cmd *cobra.Command, terms []string) error {
			o.choose.terms = terms
			return o.run(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	names := make([]string, len(exportForms))
	for i, f := range exportForms {
		names[i] = f.name
	}
	f := cmd.Flags()
	f.StringVar(&o.as, "as", "", "`form`: "+orList(names)+" (default: as the output is named)")
	f.StringVarP(&o.out, "output", "o", "", "`file` to write (default: the standard output)")
	f.StringVar(&o.angle, "angle", "", "`angle` of webvtt and otio (default: the first of the games)")
	return cmd
}

func (o *exportOptions) run(ctx context.Context) error {
	form, err := o.form()
	if err != nil {
		return usageError{err, "trenchcut export"}
	}
	film := session.FilmForRates
	if form.film {
		film = session.FilmOfGames
	}
	s, q, err := o.choose.load(ctx, film)
	if err != nil {
		return err
	}
	o.films = s.Films
	season := s.Season
	var out bytes.Buffer
	if err := form.write(o, ctx, &out, season, q); err != nil {
		return err
	}
	if o.out == "" {
		_, err := o.Out.Write(out.Bytes())
		return err
	}
	old, err := os.ReadFile(o.out)
	if err != nil {
		old = nil // WriteFile says what is wrong if it is more than that there is no such file
	}
	if err := tags.WriteFile(o.out, old, out.Bytes()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: written\n", o.out)
	return err
}

// form is the form asked for, by --as or by the name of the output.
func (o *exportOptions) form() (exportForm, error) {
	ext := strings.ToLower(filepath.Ext(o.out))
	i := slices.IndexFunc(exportForms, func(f exportForm) bool {
		return f.name == o.as || o.as == "" && ext != "" && f.ext == ext
	})
	if i < 0 {
		var names []string
		for _, f := range exportForms {
			names = append(names, f.name)
		}
		if o.as == "" {
			return exportForm{}, fmt.Errorf("--as says in which form: %s", orList(names))
		}
		err := fmt.Errorf("--as %s is no form", o.as)
		if hint := tags.DidYouMean(o.as, names); hint != "" {
			err = fmt.Errorf("%w; %s", err, hint)
		}
		return exportForm{}, err
	}
	form := exportForms[i]
	switch {
	case o.out == "" && form.binary:
		return form, fmt.Errorf("%s is not text: say where it goes with -o", form.name)
	case o.out != "" && ext != form.ext:
		return form, fmt.Errorf("output %s: the name of a %s file ends in %s", o.out, form.name, form.ext)
	case o.angle != "" && !form.film:
		return form, fmt.Errorf("--angle is for webvtt and otio: %s is of every angle", form.name)
	}
	return form, nil
}

// plays is the plays that were chosen, of which there must be some.
func (o *exportOptions) plays(season *tags.Season, q *query.Query) ([]*tags.Play, error) {
	found := foundPlays(q, season)
	plays := q.Plays(season).Plays
	if len(plays) == 0 {
		if err := printNone(o.Err, q, season, found); err != nil {
			return nil, err
		}
		return nil, reportedError{errors.New("nothing to export")}
	}
	return plays, nil
}

func (o *exportOptions) csv(_ context.Context, w io.Writer, season *tags.Season, q *query.Query) error {
	plays, err := o.plays(season, q)
	if err != nil {
		return err
	}
	return exchange.PlaySheet(plays).WriteCSV(w)
}

func (o *exportOptions) xlsx(_ context.Context, w io.Writer, season *tags.Season, q *query.Query) error {
	plays, err := o.plays(season, q)
	if err != nil {
		return err
	}
	return exchange.PlaySheet(plays).WriteXLSX(w)
}

func (o *exportOptions) jsonLines(_ context.Context, w io.Writer, season *tags.Season, q *query.Query) error {
	found := foundReps(q, season)
	if len(found.rows) == 0 {
		if err := printNone(o.Err, q, season, found); err != nil {
			return err
		}
		return reportedError{errors.New("nothing to export")}
	}
	return found.printJSONLines(w)
}

// printJSONLines prints an object a line, with the facts that are known.
func (l found) printJSONLines(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	for row := range l.rows {
		var o object
		for _, f := range l.facts {
			if value, ok := l.values(row, f); ok {
				o = append(o, field{f.Name, jsonValue(f, value)})
			}
		}
		if err := enc.Encode(o); err != nil {
			return err
		}
	}
	return nil
}

func (o *exportOptions) chapters(ctx context.Context, w io.Writer, season *tags.Season, q *query.Query) error {
	shots, err := o.shots(season, q)
	if err != nil {
		return err
	}
	if err := exchange.WriteChapters(w, shots); err != nil {
		return usageError{err: fmt.Errorf("%w: choose fewer, by game= or -g", err)}
	}
	return nil
}

func (o *exportOptions) timeline(ctx context.Context, w io.Writer, season *tags.Season, q *query.Query) error {
	shots, err := o.shots(season, q)
	if err != nil {
		return err
	}
	folder := "" // of the timeline, which nobody knows of what goes to the standard output
	if o.out != "" {
		folder = filepath.Dir(o.out)
	}
	return exchange.WriteTimeline(w, q.String(), shots, folder)
}

// shots is the chosen plays on the angle asked for.
func (o *exportOptions) shots(season *tags.Season, q *query.Query) ([]exchange.Shot, error) {
	plays, err := o.plays(season, q)
	if err != nil {
		return nil, err
	}
	angle := o.angle
	var angles []string
	for _, p := range plays {
		for _, name := range p.Angles() {
			if !slices.Contains(angles, name) {
				angles = append(angles, name)
			}
		}
	}
	if angle == "" && len(angles) > 0 {
		angle = angles[0]
	}
	shots, err := exchange.Shots(plays, angle, plan.Extents(o.films))
	if errors.Is(err, exchange.ErrNoShot) {
		return nil, usageError{err: fmt.Errorf("%w; the plays chosen are on %s", err, orList(angles))}
	}
	if err != nil {
		return nil, err
	}
	if left := len(plays) - len(shots); left > 0 {
		fmt.Fprintf(o.Err, "%s left out: not on angle %s\n", plural(left, "play"), angle)
	}
	return shots, nil
}
