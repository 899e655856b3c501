package reel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

// Draft is a reel of which it is decided what is chosen and by which recipe.
type Draft struct {
	Session *session.Session
	Recipe  Recipe
	Parts   []plan.Part
	Asked   string // what was asked for besides the recipe, in words

	eyes    *eyes
	leftOut []leftOut
	damaged map[stretch]string // where film is damaged that is shown all the same
}

// Choose finds what a recipe asks for in a session without faults. It fails with
// [plan.ErrNothing] where nothing tagged meets the recipe's terms, and with
// [query.Errors] or a [tags.RequestError] where the recipe asks for what there is not, with
// [query.ErrCostly] where a condition takes too much work, and when ctx ends.
func Choose(ctx context.Context, s *session.Session, r Recipe) (*Draft, error) {
	q, err := query.Parse(r.Choose, r.Where, s.Season.Vocabulary, s.Season)
	if err != nil {
		return nil, err
	}
	d := &Draft{Session: s, Recipe: r}
	if d.Parts, err = choose(ctx, s.Season, r.Recipe); err != nil {
		return nil, err
	}
	machine, err := s.Machine()
	if err != nil {
		return nil, err
	}
	d.eyes = newEyes(ctx, machine.Library)
	d.Recipe.Eye, d.Recipe.Tracker = d.eyes.motion, d.eyes.way
	if err := d.entitle(q); err != nil {
		return nil, err
	}
	if err := d.ask(q); err != nil {
		return nil, err
	}
	return d, checkAngles(s.Season, r.Angles)
}

// Plan decides the reel. Events, where there are any, are told how much film was looked at for it.
func (d *Draft) Plan(events render.Events) (*plan.Plan, error) {
	p, err := d.eyes.twice(events, func() (*plan.Plan, error) {
		return plan.BuildParts(d.Session.Season, d.Parts, d.Asked, d.Recipe.Recipe, d.Session.Films)
	})
	if err != nil {
		return nil, err
	}
	for _, l := range d.leftOut {
		p.LeftOut = append(p.LeftOut, l.why)
	}
	d.mark(p.Entries)
	return p, nil
}

// choose finds what each section of a recipe asks for. It fails only where no section finds
// anything.
func choose(ctx context.Context, season *tags.Season, r plan.Recipe) ([]plan.Part, error) {
	var parts []plan.Part
	var nothing error
	found := false
	for _, section := range r.Parts() {
		if section.Slate != "" {
			parts = append(parts, plan.Part{Section: section})
			continue
		}
		q, err := query.Parse(section.Choose, section.Where, season.Vocabulary, season)
		if err != nil {
			return nil, err
		}
		if err := q.Judge(ctx, season); err != nil {
			return nil, err
		}
		choice, err := choiceOf(season, q, section.Plays)
		switch {
		case errors.Is(err, plan.ErrNothing):
			nothing = err
		case err != nil:
			return nil, err
		default:
			found = true
		}
		parts = append(parts, plan.Part{Section: section, Choice: choice})
	}
	if !found {
		return nil, nothing
	}
	return parts, nil
}

// choiceOf finds what a query asks for, by plays or by reps.
func choiceOf(season *tags.Season, q *query.Query, byPlay bool) (plan.Choice, error) {
	choice := plan.Choice{Asked: q.Words(), ByResult: q.ByResult(), ByType: q.AsksFor("type")}
	if byPlay {
		choice.Plays = q.Plays(season).Plays
	} else {
		choice.Reps = q.Reps(season).Reps
		for _, rep := range choice.Reps {
			if n := len(choice.Plays); n == 0 || choice.Plays[n-1] != rep.Play {
				choice.Plays = append(choice.Plays, rep.Play)
			}
		}
	}
	if len(choice.Plays) > 0 {
		return choice, nil
	}
	if n := len(q.Plays(season).Plays); !byPlay && n > 0 {
		plays := fmt.Sprintf("%d plays do", n)
		if n == 1 {
			plays = "1 play does"
		}
		return choice, fmt.Errorf("%w: no rep is tagged that meets %s, but %s; --plays chooses plays", plan.ErrNothing, q, plays)
	}
	return choice, fmt.Errorf("%w: nothing tagged meets %s", plan.ErrNothing, q)
}

// entitle gives a reel that has no title its own, and says whose it is where it is one
// player's, or of one blocker. What was asked for may name a player, so it is no title where
// players are not named.
func (d *Draft) entitle(q *query.Query) error {
	r, v := &d.Recipe.Recipe, d.Session.Season.Vocabulary
	word, err := r.Technique(v)
	switch {
	case err != nil:
		return tags.WrongRequest(err)
	case r.Title != "":
		d.name(q)
	case word != nil:
		r.Title = r.TitleOf(word, v)
		d.name(q)
	case r.Names != "" && r.Names != plan.FullNames:
		r.Title = "Reel"
	default:
		r.Title = q.Words()
	}
	return nil
}

// name adds to the title whose reel it is: the one rusher that the terms name, or else the
// one blocker.
func (d *Draft) name(q *query.Query) {
	r := &d.Recipe.Recipe
	who := func(of func(*tags.Rep) *tags.Person) (found *tags.Rep, one bool) {
		for _, part := range d.Parts {
			for _, rep := range part.Reps {
				switch {
				case of(rep) == nil, found != nil && of(found).Key() != of(rep).Key():
					return nil, false
				case found == nil:
					found = rep
				}
			}
		}
		return found, found != nil
	}
	naming := plan.Naming{How: r.Names, For: r.Handout.Player}
	for _, of := range []struct {
		key string
		of  func(*tags.Rep) *tags.Person
	}{
		{"rusher", func(rep *tags.Rep) *tags.Person { return rep.Rusher }},
		{"blocker", func(rep *tags.Rep) *tags.Person { return rep.Blocker }},
	} {
		rep, one := who(of.of)
		if !one || !q.AsksFor(of.key) {
			continue
		}
		if of.key == "rusher" {
			r.Whose = rep.Rusher.Key()
		}
		if said := naming.Who(rep.Play.Game, of.of(rep)); r.Names != plan.NoNames && said != plan.Nobody && !d.Recipe.titled {
			r.Title += ": " + said
		}
		return
	}
}

// ask says in words what was asked for besides the recipe, whose title says the rest, and
// besides the player and the technique that the title names.
func (d *Draft) ask(all *query.Query) error {
	r := d.Recipe
	if r.Name == "" { // there is no more than was asked for
		d.Asked = all.Words()
		return nil
	}
	var said []string
	phrases := func(terms []string, where string) error {
		q, err := query.Parse(terms, where, d.Session.Season.Vocabulary, d.Session.Season)
		if err == nil && (r.Whose == "" || !q.AsksFor("rusher") || where != "") { // which may ask for more
			said = append(said, q.Phrases()...)
		}
		return err
	}
	for _, term := range r.Terms {
		if r.About != "" && strings.HasPrefix(term, string(r.About)+"=") {
			continue
		}
		if err := phrases([]string{term}, ""); err != nil {
			return err
		}
	}
	if r.where {
		if err := phrases(nil, r.Where); err != nil {
			return err
		}
	}
	d.Asked = tags.Capital(strings.Join(said, ", "))
	return nil
}

// checkAngles refuses angles that no game has.
func checkAngles(season *tags.Season, angles []string) error {
	if len(angles) == 0 {
		return nil
	}
	var known []string
	for _, p := range season.Plays() {
		known = append(known, p.Angles()...)
	}
	slices.Sort(known)
	known = slices.Compact(known)
	var wrong []error
	for _, a := range angles {
		if !slices.Contains(known, a) {
			wrong = append(wrong, fmt.Errorf("no game has the angle %q; %s", a, tags.DidYouMean(a, known)))
		}
	}
	return tags.WrongRequest(errors.Join(wrong...))
}
