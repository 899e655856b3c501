package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/files"
	"trenchcut/tags/listing"
	"trenchcut/tags/query"
)

type exportOptions struct {
	streams
	choose chooseOptions
	as     string
	out    string
	angle  string
	reps   bool
	force  bool
}

func newExportCommand(s streams) *cobra.Command {
	o := &exportOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "export [term…]",
		Short: "Write plays or reps in a form that other programs read",
		Long: `Export writes what meets every term in one of these forms:

  csv     play sheet, a row a play; import reads it back. A cell that a
          spreadsheet would run as a formula has an apostrophe before it
  xlsx    the same as a spreadsheet
          With --reps both have a row a rep, to edit and bring back with import
  jsonl   JSON Lines, an object a rep with every fact known of it
  webvtt  chapters of one film, a chapter a play
  otio    OpenTimelineIO timeline, a clip a play, with its marks; film is named
          from where the timeline lies, so move them together

` + chooseHelp,
		Example: `  trenchcut export --as csv -g wk1.game.yaml -o plays.csv
  trenchcut export --reps 91 -o marlow.xlsx
  trenchcut export inside-counter --as jsonl
  trenchcut export game=wk1-harbor down=3 --as webvtt --angle endzone -o wk1.vtt
  trenchcut export outcome=sack -o sacks.otio`,
		RunE: func(cmd *cobra.Command, terms []string) error {
			o.choose.terms = terms
			return o.run(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.as, "as", "", "`form`: "+tags.Either(exchange.FormNames())+" (default: as the output is named)")
	f.StringVarP(&o.out, "output", "o", "", "`file` to write (default: the standard output)")
	f.StringVar(&o.angle, "angle", "", "`angle` of webvtt and otio (default: the first of the games)")
	f.BoolVar(&o.reps, "reps", false, "of csv and xlsx: a row a rep, rather than a play")
	f.BoolVar(&o.force, "force", false, "replace a file that exists")
	return cmd
}

func (o *exportOptions) run(ctx context.Context) error {
	form, err := o.form()
	if err == nil && o.out != "" {
		err = o.policy().Check(o.out)
	}
	if err != nil {
		return usageError{err}
	}
	film := session.FilmForRates
	if form.OnFilm {
		film = session.FilmOfGames
	}
	s, q, err := o.choose.load(ctx, film)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	switch {
	case o.reps:
		err = o.writeRepSheet(&out, form, s.Season, q)
	case form.OfReps:
		err = o.writeReps(&out, s.Season, q)
	default:
		err = o.writePlays(&out, form, s, q)
	}
	if err != nil {
		return err
	}
	if o.out == "" {
		_, err := o.Out.Write(out.Bytes())
		return err
	}
	if err := o.policy().Write(o.out, out.Bytes()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: written\n", o.out)
	return err
}

func (o *exportOptions) policy() files.Policy { return files.Policy{Force: o.force} }

// form is the form asked for, by --as or by the name of the output.
func (o *exportOptions) form() (exchange.Form, error) {
	form, err := exchange.FormOf(o.as, o.out)
	switch {
	case err != nil && o.as == "" && form.Name == "":
		return form, fmt.Errorf("--as says in which form: %s", tags.Either(exchange.FormNames()))
	case err != nil && form.Binary && o.out == "":
		return form, fmt.Errorf("%w with -o", err)
	case err == nil && o.reps && form != exchange.CSV && form != exchange.XLSX:
		return form, fmt.Errorf("--reps is for csv and xlsx, not %s", form.Name)
	case err == nil && o.angle != "" && !form.OnFilm:
		return form, fmt.Errorf("--angle is for webvtt and otio: %s is of every angle", form.Name)
	}
	return form, err
}

func (o *exportOptions) writePlays(w io.Writer, form exchange.Form, s *session.Session, q *query.Query) error {
	plays := q.Plays(s.Season).Plays
	if len(plays) == 0 {
		return o.nothing(s.Season, q, listing.Plays(q, s.Season))
	}
	request := exchange.PlayExport{Plays: plays, Title: q.Words(), Angle: o.angle, Extents: plan.Extents(s.Films)}
	if o.out != "" {
		request.Folder = filepath.Dir(o.out)
	}
	angle, left, err := request.Write(w, form)
	if errors.Is(err, exchange.ErrNoShot) || errors.Is(err, exchange.ErrNotOneFilm) {
		return tags.WrongRequest(err)
	}
	if left > 0 {
		fmt.Fprintf(o.Err, "%s left out: not on angle %s\n", tags.Count(left, "play"), angle)
	}
	return err
}

func (o *exportOptions) writeReps(w io.Writer, season *tags.Season, q *query.Query) error {
	list := listing.Reps(q, season)
	if list.Len() == 0 {
		return o.nothing(season, q, list)
	}
	return list.JSONLines(w)
}

// writeRepSheet writes reps as a sheet, a row each.
func (o *exportOptions) writeRepSheet(w io.Writer, form exchange.Form, season *tags.Season, q *query.Query) error {
	reps := q.Reps(season).Reps
	if len(reps) == 0 {
		return o.nothing(season, q, listing.Reps(q, season))
	}
	if not := exchange.NotInRepSheet(reps); not != "" {
		fmt.Fprintf(o.Err, "not in the sheet: %s\n", not)
	}
	if form == exchange.XLSX {
		return exchange.RepSheet(reps).WriteXLSX(w)
	}
	return exchange.RepSheet(reps).WriteCSV(w)
}

// nothing says that there is nothing to export, and why.
func (o *exportOptions) nothing(season *tags.Season, q *query.Query, list *listing.List) error {
	if err := printNone(o.Err, q, season, list); err != nil {
		return err
	}
	return reportedError{errors.New("nothing to export")}
}
