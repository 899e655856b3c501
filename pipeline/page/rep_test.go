package page_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Of two men who wear one number on one play each stands with his own rep.
func TestOneNumberTwice(t *testing.T) {
	for _, names := range []plan.Names{plan.FullNames, plan.ByNumber} {
		p, _ := buildOf(t, strings.ReplaceAll(plays, "jersey: 55", "jersey: 91"), "reel.mp4", func(r *plan.Recipe) { r.Names = names })
		first := p.Sections[0].Takes[0].Reps
		var got []string
		for _, r := range first {
			got = append(got, r.Who+": "+r.Line+": "+r.Point)
		}
		if len(got) != 2 || !strings.Contains(got[0], "up and under") || !strings.Contains(got[0], "Outside foot") ||
			strings.Contains(got[1], "under") || strings.Contains(got[1], "Outside foot") {
			t.Errorf("names %s: play 14 reads %q", names, got)
		}
	}
}

// A model is called by its play, where a last picture is held for what became of it too.
func TestModelIsCalledByItsPlay(t *testing.T) {
	held := strings.Replace(plays, "out: 60s, snap: 54s}}", "out: 60s, snap: 54s}}\n    marks: {finish: +6s}", 1)
	p, _ := buildOf(t, held, "reel.mp4", nil, plan.Part{Section: plan.Section{Selection: plan.Selection{Model: true}}})
	var leads []string
	for _, take := range p.Sections[0].Takes {
		if take.Model {
			leads = append(leads, take.Lead)
		}
	}
	if !slices.ContainsFunc(p.Thumbs(), func(th page.Thumb) bool { return strings.HasPrefix(th.Line, plan.LikeThis+": ") }) {
		t.Error("the contact sheet does not say which clip is a model")
	}
	if !slices.Contains(leads, "Play 17") {
		t.Errorf("models are called %q", leads)
	}
	for _, text := range []string{string(p.Chapters()), html(t, p), string(practiceSheet(t, p))} {
		if like := regexp.MustCompile(plan.LikeThis + `\W*(<[^>]*>\W*)*(endzone, )?(?i:` + plan.LikeThis + `)`).FindString(text); like != "" {
			t.Errorf("it reads %q", like)
		}
	}
}

// Only a reel of one man says his note, of what to do better, and none says a grade.
func TestOwnNote(t *testing.T) {
	noted := strings.Replace(plays, "set: short}, battle: lost, outcome: no-factor}", "set: short}, battle: lost, outcome: no-factor, note: Stay low here., grade: {technique: minus}}", 1)
	for whose, told := range map[string]bool{"marlow": true, "okafor": false, "": false} {
		p, _ := buildOf(t, noted, "reel.mp4", func(r *plan.Recipe) { r.Whose = whose }, plan.Part{Section: plan.Section{Selection: plan.Selection{Why: true}}})
		for name, text := range map[string]string{"page": html(t, p), "captions": string(p.Captions()), "practice sheet": string(practiceSheet(t, p))} {
			if strings.Contains(text, "Stay low here.") != told {
				t.Errorf("the %s of a reel of %q has the note: %t, want %t", name, whose, !told, told)
			}
			if strings.Contains(text, "minus") || strings.Contains(text, "Secret note") {
				t.Errorf("the %s of a reel of %q has a grade, or a note of a win", name, whose)
			}
		}
	}
}

// Of a reel of two games each has a first play: the page says of which game a play is.
func TestPlaysOfTwoGames(t *testing.T) {
	const game = `trenchcut: 1
game: {id: %s, date: %s, us: Cedar Hollow, opponent: %s}
film: {endzone: {file: end.mp4}}
people: {a: {team: us, jersey: 91}}
plays: [{play: 1, type: dropback, in: 1s, out: 4s, reps: [{rusher: a, battle: won}]}]
`
	season, films := seasonOf(t, fmt.Sprintf(game, "wk1", "2026-09-04", "Harbor"))
	for _, c := range []struct{ opponent, date, want string }{
		{"Granite", "2026-09-11", "[Play 1, Harbor Play 1, Granite]"},
		{"Harbor", "2026-11-27", "[Play 1, Harbor, Sep 4, 2026 Play 1, Harbor, Nov 27, 2026]"},
		{`"", kind: practice`, "2026-11-27", "[Play 1, Harbor, Sep 4, 2026 Play 1, Practice, Nov 27, 2026]"},
	} {
		other, faults := tags.ParseGame("/season/wk2.game.yaml", fmt.Appendf(nil, game, "wk2", c.date, c.opponent), season.Vocabulary)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		both := &tags.Season{Games: []*tags.Game{season.Games[0], other}, Vocabulary: season.Vocabulary}
		other.SetClock("/season/end.mp4", films["/season/end.mp4"].Clock())
		r, err := plan.DefaultRecipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Title = "Both"
		part := plan.Part{Section: plan.Section{Selection: r.Selection}, Choice: plan.Choice{Asked: "everything", Plays: both.Plays(), Reps: both.Reps()}}
		p, err := plan.BuildParts(both, []plan.Part{part}, "everything", r, films)
		if err != nil {
			t.Fatal(err)
		}
		pg, err := page.New(p, both, "both.mp4")
		if err != nil {
			t.Fatal(err)
		}
		var leads []string
		for _, s := range pg.Sections {
			for _, take := range s.Takes {
				leads = append(leads, take.Lead)
			}
		}
		if got := fmt.Sprint(leads); got != c.want {
			t.Errorf("plays are called %s, want %s", got, c.want)
		}
		if first, second := pg.Thumbs()[0].Lead, pg.Thumbs()[1].Lead; first != "1 · play 1, "+p.Entries[1].Of || second == "2 · play 1, "+p.Entries[1].Of {
			t.Errorf("on the contact sheet they are called %s and %s", first, second)
		}
	}
}

// Of a reel of one man the page says whose his numbers in all games are, and of how many games.
func TestOneMansNumbers(t *testing.T) {
	const one = head + "  - {play: 1, type: dropback, in: 10s, out: 20s, reps: [{rusher: marlow, job: rush, battle: won, outcome: sack, penalty: offside}]}\n"
	alone := one +
		"  - {play: 2, type: dropback, in: 30s, out: 40s, reps: [{rusher: marlow, job: rush, battle: won, outcome: hit}]}\n"
	p, _ := buildOf(t, strings.Replace(alone, "id: wk1-harbor,", "id: wk1-harbor, kind: practice,", 1), "reel.mp4", nil)
	if text := html(t, p); !strings.Contains(text, "<b><bdi>#91 Teo Marlow, 1 practice</bdi>:</b> won 1 of 1") {
		t.Errorf("the page says of him %q, %q", p.Of, p.Season)
	}
	if got, want := p.Sections[0].Takes[0].Reps[0].Result, "▲\u00a0won · offside · sack"; got != want {
		t.Errorf("of a foul the page says %q, want %q", got, want)
	}
	if p, _ := build(t, "reel.mp4", nil); strings.Contains(html(t, p), `class="season"`) {
		t.Error("a reel of several men has the numbers of one")
	}
}

// A man whom two games name otherwise is one man on his practice sheet.
func TestOneManOfTwoNames(t *testing.T) {
	const game = `trenchcut: 1
game: {id: %s, date: %s, us: Cedar Hollow, opponent: Harbor}
film: {endzone: {file: end.mp4}}
people: {a: {name: Teo Marlow, team: us, jersey: %d}}
plays: [{play: 1, type: dropback, in: 1s, out: 4s, reps: [{rusher: a, move: [spin], battle: lost}]}]
`
	season, films := seasonOf(t, fmt.Sprintf(game, "wk1", "2026-09-04", 91))
	other, faults := tags.ParseGame("/season/wk2.game.yaml", fmt.Appendf(nil, game, "wk2", "2026-09-11", 90), season.Vocabulary)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	other.SetClock("/season/end.mp4", films["/season/end.mp4"].Clock())
	season.Games = append(season.Games, other)
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Title = "His"
	p, err := plan.Build(season, plan.Choice{Asked: "all", Plays: season.Plays(), Reps: season.Reps()}, r, films)
	if err != nil {
		t.Fatal(err)
	}
	pg, err := page.New(p, season, "his.mp4")
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range pg.Practice(season.Vocabulary).Work {
		if w.Who != nil {
			t.Errorf("%s is the work of %q on a sheet of one man", w.What, w.Who)
		}
	}
}
