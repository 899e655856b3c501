package reel

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

// Handout is reels to hand out: a folder for each value of a key, such as each rusher, with
// a reel by each recipe in it.
type Handout struct {
	Recipes []Recipe
	By      string // the key
	Terms   []string
	Where   string
	Folder  string
}

// HandoutReel is one reel of a handout.
type HandoutReel struct {
	Value    string // of the key: whose it is
	Recipe   string // its name
	TooFew   []plan.Few
	Out      string // empty where there is nothing to show
	Clips    int
	Length   tags.Time
	Rendered render.Report

	draft *Draft
	plan  *plan.Plan
}

// Handout makes the reels of a handout. What reels share is cut once. Folders are for
// handing out: manifests in them name no rep and no film.
func (m *Maker) Handout(ctx context.Context, s *session.Session, h Handout) ([]*HandoutReel, error) {
	for _, r := range h.Recipes {
		if r.Title == "" && r.About == "" {
			return nil, tags.WrongRequest(fmt.Errorf("recipe %s has no title, which names the reel", r.Name))
		}
	}
	q, err := query.Parse(h.Terms, h.Where, s.Season.Vocabulary, s.Season)
	if err != nil {
		return nil, err
	}
	if err := q.Judge(ctx, s.Season); err != nil {
		return nil, err
	}
	facts, err := q.Registry().Named(h.By)
	if err != nil {
		return nil, tags.WrongRequest(err)
	}
	machine, err := s.Machine()
	if err != nil {
		return nil, err
	}
	codec, err := m.encoder(ctx, machine)
	if err != nil {
		return nil, err
	}
	values := valuesAmong(facts[0], q.Reps(s.Season).Reps)
	var reels []*HandoutReel
	err = m.withEncoder(ctx, codec, func(codec string) error {
		for i := range h.Recipes {
			h.Recipes[i].Encoder = h.Recipes[i].Encoder.With(codec)
		}
		if reels, err = m.planHandout(ctx, s, h, facts[0], values); err != nil {
			return err
		}
		return m.makeHandout(ctx, machine, reels)
	})
	return reels, err
}

// valuesAmong is the values that a key has among reps, as terms take them, in order; of rushers
// our own where there are any.
func valuesAmong(f query.Fact, reps []*tags.Rep) []string {
	found := map[string]bool{}
	if ours := slices.DeleteFunc(slices.Clone(reps), func(r *tags.Rep) bool { return !r.Rusher.OurSide() }); f.Name == "rusher" && len(ours) > 0 {
		reps = ours // film of other teams shows theirs, who are given nothing
	}
	for _, r := range reps {
		if value, ok := f.OfRep(r); ok && f.Kind == query.Person {
			found[value.([]string)[0]] = true // his id; the others are what he goes by
			continue
		}
		for _, name := range f.Groups(r) {
			found[name] = true
		}
	}
	return slices.Sorted(maps.Keys(found))
}

// planHandout plans the reels of a handout. It refuses two that would be one file, and
// files in the way that this program did not write.
func (m *Maker) planHandout(ctx context.Context, s *session.Session, h Handout, fact query.Fact, values []string) ([]*HandoutReel, error) {
	var reels []*HandoutReel
	byFile := map[string]*HandoutReel{}
	for _, value := range values {
		for _, recipe := range h.Recipes {
			recipe.Handout = whose(s.Season, fact, value, recipe.Names)
			reel, err := m.planOne(ctx, s, recipe, h.By, value)
			if err != nil {
				return nil, err
			}
			reels = append(reels, reel)
			if reel.plan == nil {
				continue
			}
			reel.Out = filepath.Join(h.Folder, recipe.Handout.Folder, plan.FileName(reel.plan.Title)+".mp4")
			if other := byFile[reel.Out]; other != nil {
				return nil, tags.WrongRequest(fmt.Errorf("%s would be two reels, %s by %s and %s by %s: give the recipes other titles, or ask for one of the two",
					reel.Out, other.Value, other.Recipe, value, recipe.Name))
			}
			byFile[reel.Out] = reel
			if err := m.mayWriteBeside(reel.Out); err != nil {
				return nil, err
			}
		}
	}
	return reels, nil
}

// whose is the folder that the reels of a value of a key are handed out in: of rushers a
// player's.
func whose(season *tags.Season, fact query.Fact, value string, names plan.Names) plan.Handout {
	h := plan.Handout{Folder: plan.FileName(value)}
	if fact.Kind == query.Person {
		h.Folder = names.Folder(season, value)
	}
	if fact.Name == "rusher" {
		h.Player = value
	}
	return h
}

func (m *Maker) planOne(ctx context.Context, s *session.Session, recipe Recipe, by, value string) (*HandoutReel, error) {
	recipe.Choose = append(slices.Clone(recipe.Choose), tags.TermOf(by, value)) // the folder says so
	reel := &HandoutReel{Value: value, Recipe: recipe.Name}
	d, err := Choose(ctx, s, recipe)
	if err == nil {
		d.Asked = "" // it would name the player
		reel.plan, err = d.Plan(m.events())
	}
	switch {
	case errors.Is(err, plan.ErrNothing):
		reel.TooFew = recipe.None()
		return reel, nil
	case err != nil:
		return nil, err
	}
	reel.draft, reel.TooFew, reel.Clips = d, reel.plan.Few, reel.plan.Clips()
	return reel, nil
}

// makeHandout cuts what all reels need, joins each, and writes what lies beside it.
func (m *Maker) makeHandout(ctx context.Context, machine *session.Machine, reels []*HandoutReel) error {
	pictures, damaged := map[string]string{}, plan.RefuseDamaged
	for _, reel := range reels {
		if reel.plan != nil {
			maps.Copy(pictures, reel.draft.Recipe.pictures)
		}
		if reel.draft != nil && reel.draft.Recipe.keepsGoing() {
			damaged = reel.draft.Recipe.Damaged
		}
	}
	maker, err := m.renderer(ctx, machine, Recipe{Recipe: plan.Recipe{Damaged: damaged}, pictures: pictures})
	if err != nil {
		return err
	}
	var open []error
	for _, reel := range reels {
		if reel.plan != nil {
			open = append(open, maker.Free(reel.plan, reel.Out))
		}
	}
	if err := errors.Join(open...); err != nil {
		return err
	}
	if err := m.cutHandout(ctx, maker, reels); err != nil {
		return err
	}
	for _, reel := range reels {
		if reel.plan == nil {
			continue
		}
		if err := os.MkdirAll(filepath.Dir(reel.Out), 0o777); err != nil {
			return err
		}
		// All is cut, so that there is no progress to show.
		if reel.Rendered, err = maker.Make(ctx, reel.plan, reel.Out, m.Force, func(render.Event) {}); err != nil {
			return err
		}
		reel.Length = reel.plan.House.Rate.Duration(reel.Rendered.Frames)
		if err := m.writeBeside(ctx, reel.draft, reel.plan, reel.Out); err != nil {
			return err
		}
		m.tell(reel.plan)
	}
	return m.indexHandout(reels)
}

// indexHandout writes an index into each folder, where one is asked for.
func (m *Maker) indexHandout(reels []*HandoutReel) error {
	done := map[string]bool{}
	for _, reel := range reels {
		folder := filepath.Dir(reel.Out)
		if !m.Beside.Index || reel.Out == "" || done[folder] {
			continue
		}
		done[folder] = true
		if _, err := writeIndex(folder); err != nil {
			return err
		}
	}
	return nil
}

// cutHandout cuts what all reels need. A reel whose film is damaged is planned anew as its
// recipe says.
func (m *Maker) cutHandout(ctx context.Context, maker *render.Maker, reels []*HandoutReel) error {
	for {
		var entries []plan.Entry
		for _, reel := range reels {
			if reel.plan != nil {
				entries = append(entries, reel.plan.Entries...)
			}
		}
		if len(entries) == 0 {
			return fmt.Errorf("%w: nothing tagged meets any of the recipes", plan.ErrNothing)
		}
		var failed *render.FailedError
		_, _, err := maker.Warm(ctx, entries, m.events())
		if !errors.As(err, &failed) {
			return err
		}
		first := 0
		for _, reel := range reels {
			if reel.plan == nil {
				continue
			}
			n := len(reel.plan.Entries)
			of := failed.Among(first, first+n)
			first += n
			if len(of.Entries) == 0 {
				continue
			}
			if !reel.draft.amend(reel.plan.Entries, of) {
				return err
			}
			if err := reel.planAgain(m.events()); err != nil {
				return err
			}
		}
	}
}

// planAgain plans a reel once more, of what is left for it.
func (r *HandoutReel) planAgain(events render.Events) (err error) {
	r.plan, err = r.draft.Plan(events)
	if errors.Is(err, plan.ErrNothing) {
		r.plan, r.Out, r.Clips, r.TooFew = nil, "", 0, r.draft.Recipe.None()
		return nil
	}
	if err != nil {
		return err
	}
	r.TooFew, r.Clips = r.plan.Few, r.plan.Clips()
	return nil
}
