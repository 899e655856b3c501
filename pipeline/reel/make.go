package reel

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"path/filepath"
	"slices"

	"trenchcut/pipeline/paper"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Maker makes the reels of drafts, with what lies beside them.
type Maker struct {
	Workers  int    // segments to cut at once, at least 1
	Encoder  string // as [plan.ParseEncoder] has it; empty is libx264
	MaxBytes int64  // the most a reel may take; 0 is any
	Force    bool   // replace files that this program did not write
	Beside   Beside
	Printer  paper.Printer // where a practice sheet is wanted as PDF
	TellSize bool          // tell how large a reel will be, even where nothing else is told
	Log      *slog.Logger  // is told what is decided; nil is nobody
	Events   render.Events // is told how far the work is; nil is nobody
	// Elsewhere has segments rendered on other machines as well; nil is on this one alone.
	Elsewhere func(home *render.Local) render.Renderer
}

func (m *Maker) log() *slog.Logger { return cmp.Or(m.Log, slog.New(slog.DiscardHandler)) }

func (m *Maker) events() render.Events {
	if m.Events == nil {
		return func(render.Event) {}
	}
	return m.Events
}

// renderer is what cuts and joins the reels of a recipe.
func (m *Maker) renderer(ctx context.Context, machine *session.Machine, r Recipe) (*render.Maker, error) {
	maker, err := machine.Maker(ctx, m.Workers, r.pictures)
	if err != nil {
		return nil, err
	}
	maker.KeepGoing, maker.MaxBytes, maker.Log, maker.Elsewhere = r.keepsGoing(), m.MaxBytes, m.log(), m.Elsewhere
	return maker, nil
}

// Report is what making a reel came to.
type Report struct {
	render.Report
	Plan *plan.Plan // of the reel as it was made
	Made bool       // the reel is there, whatever else failed
	// Indexed is how many reels the index of the folder lists; 0 where none was asked for.
	Indexed int
}

// Lines is what was made, a line a file: the reel, then what lies beside it.
func (r Report) Lines(beside Beside) []string {
	done := fmt.Sprintf("%s, %d new", tags.Count(r.Segments, "segment"), r.Rendered)
	if r.Unchanged {
		done = "unchanged"
	}
	if r.Replaced != "" {
		done += fmt.Sprintf(", in place of a reel of %q", r.Replaced)
	}
	house := r.Plan.House
	lines := []string{fmt.Sprintf("%s: %s, %s, %d×%d at %s frames a second (%s)",
		r.Out, tags.Count(r.Plan.Clips(), "clip"), house.Rate.Duration(r.Frames), house.Width, house.Height, house.Rate, done)}
	stem, name := Stem(r.Out), filepath.Base(r.Out)
	base := filepath.Base(stem)
	if beside.Practice {
		also := ""
		if beside.PDF {
			also = "; beside it " + base + PDFSuffix
		}
		lines = append(lines, fmt.Sprintf("%s: practice sheet of %s%s", stem+PracticeSuffix, name, also))
	}
	if beside.Page {
		lines = append(lines, fmt.Sprintf("%s: page of %s; beside it %s, %s and %s", stem+PageSuffix, name,
			base+ContactSuffix, base+ChaptersSuffix, base+CaptionsSuffix))
	}
	if r.Indexed > 0 {
		lines = append(lines, fmt.Sprintf("%s: %s of this folder", filepath.Join(filepath.Dir(r.Out), indexName), tags.Count(r.Indexed, "reel")))
	}
	return lines
}

// Plan plans the reel of a draft as Make would make it.
func (m *Maker) Plan(ctx context.Context, d *Draft) (*plan.Plan, error) {
	machine, err := d.Session.Machine()
	if err != nil {
		return nil, err
	}
	codec, err := m.encoder(ctx, machine)
	if err != nil {
		return nil, err
	}
	d.Recipe.Encoder = d.Recipe.Encoder.With(codec)
	p, err := d.Plan(m.events())
	if err != nil {
		return nil, err
	}
	maker, err := m.renderer(ctx, machine, d.Recipe)
	if err != nil {
		return nil, err
	}
	m.tell(p)
	return p, m.foretell(ctx, maker, d, p)
}

// Make makes the reel of a draft at out, and what is to lie beside it. Film that is damaged is
// treated as the recipe says. A reel that takes more than MaxBytes is made again with less
// quality, then smaller.
func (m *Maker) Make(ctx context.Context, d *Draft, out string) (Report, error) {
	var report Report
	machine, err := d.Session.Machine()
	if err != nil {
		return report, err
	}
	if err := m.mayWriteBeside(out); err != nil {
		return report, err
	}
	codec, err := m.encoder(ctx, machine)
	if err != nil {
		return report, err
	}
	err = m.withEncoder(ctx, codec, func(codec string) error {
		d.Recipe.Encoder = d.Recipe.Encoder.With(codec)
		report, err = m.makeUntilItFits(ctx, d, out)
		return err
	})
	return report, err
}

// makeUntilItFits makes a reel, again where its film is damaged, and again smaller.
func (m *Maker) makeUntilItFits(ctx context.Context, d *Draft, out string) (Report, error) {
	var damaged error
	for {
		report, err := m.makeOnce(ctx, d, out)
		var failed *render.FailedError
		var large *render.TooLargeError
		switch {
		// Slates tell exactly what is shown, so the reel is planned anew.
		case errors.As(err, &failed) && d.amend(report.Plan.Entries, failed):
			damaged = err
		case errors.As(err, &large):
			smaller, ok := d.Recipe.Smaller(report.Plan.House)
			if !ok {
				return report, fmt.Errorf("the smallest reel takes %s, more than the %s allowed", Size(large.Bytes), Size(m.MaxBytes))
			}
			d.Recipe.Recipe = smaller
			m.log().Warn(Size(large.Bytes)+" is too much", "now", "trying it smaller")
		case errors.Is(err, plan.ErrNothing) && damaged != nil:
			return report, damaged
		default:
			return report, err
		}
	}
}

// makeOnce makes a reel by its recipe as it stands.
func (m *Maker) makeOnce(ctx context.Context, d *Draft, out string) (Report, error) {
	var report Report
	machine, err := d.Session.Machine()
	if err != nil {
		return report, err
	}
	if report.Plan, err = d.Plan(m.events()); err != nil {
		return report, err
	}
	maker, err := m.renderer(ctx, machine, d.Recipe)
	if err != nil {
		return report, err
	}
	if err := m.foretell(ctx, maker, d, report.Plan); err != nil {
		return report, err
	}
	if report.Report, err = maker.Make(ctx, report.Plan, out, m.Force, m.events()); err != nil {
		return report, err
	}
	report.Made = true
	m.tell(report.Plan)
	if err := m.writeBeside(ctx, d, report.Plan, out); err != nil || !m.Beside.Index {
		return report, err
	}
	report.Indexed, err = writeIndex(filepath.Dir(out))
	return report, err
}

// tell tells what of the choice a plan does not show, or shows though its film is damaged.
func (m *Maker) tell(p *plan.Plan) {
	m.leftOut(p.LeftOut)
	last := "" // whose held picture is of the same film
	for _, e := range p.Entries {
		if e.Damaged != "" && e.Chapter != last {
			last = e.Chapter
			m.log().Warn("shown damaged", "what", e.Chapter+": the film is damaged "+e.Damaged)
		}
	}
}

// leftOut tells what of the choice is not shown.
func (m *Maker) leftOut(plays []string) {
	for _, p := range plays {
		m.log().Warn("left out", "what", p)
	}
}

// Quick makes a reel to look at at out, without re-encoding.
func (m *Maker) Quick(ctx context.Context, d *Draft, out string) (render.QuickReport, error) {
	machine, err := d.Session.Machine()
	if err != nil {
		return render.QuickReport{}, err
	}
	if shape := d.Recipe.Shape; shape != "" && shape != plan.Wide {
		return render.QuickReport{}, tags.WrongRequest(fmt.Errorf("a quick look copies film as it is, so its picture cannot be %s: leave one of them out", shape))
	}
	d.Recipe.Tracker = nil // nothing is drawn over it
	p, err := d.Plan(m.events())
	if err != nil {
		return render.QuickReport{}, err
	}
	maker, err := m.renderer(ctx, machine, d.Recipe)
	if err != nil {
		return render.QuickReport{}, err
	}
	report, err := maker.Quick(ctx, p, out, m.Force, m.events())
	if err == nil {
		m.leftOut(p.LeftOut)
	}
	return report, err
}

// Warm cuts what reels of a draft will need, and joins nothing: each rep by itself, and each
// play with all of its chosen reps. It returns how many segments there are, and how many
// of them were cut now.
func (m *Maker) Warm(ctx context.Context, d *Draft) (distinct, rendered int, err error) {
	machine, err := d.Session.Machine()
	if err != nil {
		return 0, 0, err
	}
	codec, err := m.encoder(ctx, machine)
	if err != nil {
		return 0, 0, err
	}
	err = m.withEncoder(ctx, codec, func(codec string) error {
		d.Recipe.Encoder = d.Recipe.Encoder.With(codec)
		entries, leftOut, err := plan.Ahead(d.Session.Season, d.Parts, d.Recipe.Recipe, d.Session.Films)
		if err != nil {
			return err
		}
		maker, err := m.renderer(ctx, machine, d.Recipe)
		if err != nil {
			return err
		}
		m.leftOut(leftOut)
		for rendered = 0; ; {
			var failed *render.FailedError
			var now int
			distinct, now, err = maker.Warm(ctx, entries, m.events())
			rendered += now
			if !errors.As(err, &failed) || !d.amend(entries, failed) {
				return err
			}
			for i := range failed.Errs {
				m.log().Warn("damaged", "what", failed.Errs[i].Error())
			}
			entries = slices.DeleteFunc(entries, d.without)
			d.mark(entries)
		}
	})
	return distinct, rendered, err
}

// Verify holds the reel at path to its manifest, and to the film of a session: some frames of
// each clip, or every one.
func (m *Maker) Verify(ctx context.Context, s *session.Session, path string, every bool) (render.Verification, error) {
	machine, err := s.Machine()
	if err != nil {
		return render.Verification{}, err
	}
	maker, err := m.renderer(ctx, machine, Recipe{})
	if err != nil {
		return render.Verification{}, err
	}
	return maker.Verify(ctx, path, machine.Library, every, m.events())
}

// foretell tells how a reel will be made, and how large it will be.
func (m *Maker) foretell(ctx context.Context, maker *render.Maker, d *Draft, p *plan.Plan) error {
	r, films := d.Recipe.Recipe, d.Session.Films
	m.log().Info("quality", "name", plan.QualityOf(r.Encoder), "crf", r.Encoder.CRF)
	m.log().Info("size", "of", fmt.Sprintf("%d×%d", p.House.Width, p.House.Height),
		"from", decidedBy(films, r, r.Width > 0, func(h plan.House) bool { return h.Width == p.House.Width && h.Height == p.House.Height }))
	m.log().Info("rate", "of", p.House.Rate.String(),
		"from", decidedBy(films, r, r.Rate.Known(), func(h plan.House) bool { return h.Rate == p.House.Rate }))
	level := slog.LevelInfo
	if m.TellSize {
		level = slog.LevelWarn
	}
	if !m.log().Enabled(ctx, level) { // weighing the segments would be for nobody
		return nil
	}
	e, err := maker.Estimate(ctx, p)
	if err != nil {
		return err
	}
	m.log().Log(ctx, level, "expected", "size", expected{e.Low, e.High}, "length", p.House.Rate.Duration(e.Frames).String())
	return nil
}

// expected is between which sizes a reel will be, in bytes.
type expected struct {
	Low  int64 `json:"low"`
	High int64 `json:"high"`
}

func (e expected) String() string {
	low, high := Size(e.Low), Size(e.High)
	if low == high {
		return low
	}
	return low + " to " + high
}

// decidedBy says what a size or a rate comes from: the recipe, or the first film that by
// itself would give it.
func decidedBy(films map[string]plan.Source, r plan.Recipe, said bool, same func(plan.House) bool) string {
	if said {
		return "the recipe"
	}
	for _, path := range slices.Sorted(maps.Keys(films)) {
		if same(plan.HouseFor([]plan.Source{films[path]}, r)) {
			return files.Base(path)
		}
	}
	return "all films together"
}
