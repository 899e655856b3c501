package page_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/invent"
)

// inventedGame is an invented game in which spots are tagged and our men block one another
// now and then, with its films.
func inventedGame(t *testing.T, seed uint64) (*tags.Season, map[string]plan.Source) {
	t.Helper()
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	_, text := invent.Game(seed+1, 0, 70)
	blocked := regexp.MustCompile(`(?m)blocker: \{who: \w+60,`).ReplaceAll(text, []byte("blocker: {who: us-c,"))
	blocked = regexp.MustCompile(`(\{team: \w+, jersey: )6`).ReplaceAll(blocked, []byte("${1}1")) // no number of ours
	path := filepath.Join(t.TempDir(), "wk1.game.yaml")
	if err := os.WriteFile(path, blocked, 0o666); err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame(path, blocked, vocabulary)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	films := map[string]plan.Source{}
	for _, f := range game.Files() {
		s := plan.Source{Fingerprint: filepath.Base(f.File), Rate: tags.Rate{Num: 25, Den: 1}, Frames: 100_000, Width: 1280, Height: 720}
		films[f.File] = s
		game.SetClock(f.File, s.Clock())
	}
	for _, play := range game.Plays {
		for _, r := range play.Reps {
			r.Spot = map[string]tags.Point{"endzone": {X: .4, Y: .5}, "sideline": {X: .2, Y: .5}}
		}
	}
	return &tags.Season{Games: []*tags.Game{game}, Vocabulary: vocabulary}, films
}

// tellsOf finds in text what names a player: his name, his id, or his number where it
// stands for him.
func tellsOf(p *tags.Person) *regexp.Regexp {
	name, id, jersey := regexp.QuoteMeta(p.Name), regexp.QuoteMeta(p.ID), regexp.QuoteMeta(p.Jersey)
	return regexp.MustCompile(fmt.Sprintf(`%s|%s|#%s\b|p\d{3}(-\d+\+)?-%s\b|"tab":"%s"|beat %s\b`, name, id, jersey, jersey, jersey, jersey))
}

// everything is all that a reel shows and that lies beside it: the whole of its plan, with
// the text of every layer, the page, the practice sheet, chapters, captions and what is
// written on the contact sheet.
func everything(t *testing.T, season *tags.Season, p *plan.Plan) string {
	t.Helper()
	pg, err := page.New(p, season, "reel.mp4")
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	all := string(text) + html(t, pg) + string(pg.Chapters()) + string(pg.Captions()) + string(practiceSheet(t, pg))
	for _, thumb := range pg.Thumbs() {
		all += "\n" + thumb.Head + "\n" + thumb.Lead + "\n" + thumb.Line + "\n" + thumb.Says
	}
	return all
}

// On a reel that is handed to a player nothing names a teammate, whatever is drawn on it;
// on one for the room only models go unnamed.
func TestHandoutNamesNoTeammate(t *testing.T) {
	models, blocked, told := 0, 0, 0
	for seed := range uint64(1) {
		season, films := inventedGame(t, seed)
		game := season.Games[0]
		for _, names := range []plan.Names{plan.FullNames, plan.ByNumber, plan.NoNames} {
			for id, player := range game.People {
				if !game.Ours(player) {
					continue
				}
				r, err := plan.DefaultRecipe()
				if err != nil {
					t.Fatal(err)
				}
				r.Title, r.Names, r.Label = "Corrections", names, plan.AllFields
				r.Model, r.Why = true, true
				r.Freeze.Hold, r.Freeze.At = 2*tags.Second, tags.Contact
				r.Replay.Speed, r.Replay.From.Mark, r.Replay.To.Mark = plan.Speed{Num: 1, Den: 2}, tags.Snap, tags.Finish
				choice := plan.Choice{Asked: "rusher " + player.Shown() + " and not #99 Sam Nobody"}
				for _, rep := range season.Reps() {
					if rep.Rusher.ID == id {
						choice.Plays, choice.Reps = append(choice.Plays, rep.Play), append(choice.Reps, rep)
					}
				}
				if len(choice.Reps) == 0 {
					continue
				}
				planned := func(h plan.Handout) *plan.Plan {
					r := r
					r.Handout = h
					parts := []plan.Part{{Section: plan.Section{Title: "Fix", Selection: r.Selection}, Choice: choice}}
					p, err := plan.BuildParts(season, parts, choice.Asked, r, films)
					if err != nil {
						t.Fatal(err)
					}
					return p
				}
				p := planned(plan.Handout{Folder: names.Folder(season, id), Player: id})
				text := everything(t, season, p)
				for other, person := range game.People {
					if other == id || !game.Ours(person) {
						continue
					}
					if found := tellsOf(person).FindString(text); found != "" {
						t.Fatalf("seed %d, names %s: the reel of %s tells %q of %s", seed, names, id, found, other)
					}
				}
				if strings.Contains(text, "Nobody") {
					t.Errorf("names %s: what was asked for is told", names)
				}
				for _, e := range p.Entries {
					if e.Shows == plan.ShowsModel {
						models++
					}
				}
				blocked += strings.Count(text, "on a teammate")
				if names == plan.FullNames && tellsOf(player).MatchString(text) {
					told++
				}
				if names != plan.FullNames && strings.Contains(text, player.Name) {
					t.Errorf("names %s: the reel tells his name", names)
				}
			}
		}
	}
	if models == 0 || blocked == 0 || told == 0 {
		t.Errorf("tried too little: %d models, %d blocked by a teammate, %d tell whose it is", models, blocked, told)
	}
}

// A reel for the room names all whose reps it shows, which the search above would find.
func TestRoomIsToldNames(t *testing.T) {
	season, films := inventedGame(t, 1)
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Title = "Room"
	p, err := plan.Build(season, plan.Choice{Asked: "all", Plays: season.Plays(), Reps: season.Reps()}, r, films)
	if err != nil {
		t.Fatal(err)
	}
	text := everything(t, season, p)
	for _, rep := range season.Reps() {
		if !tellsOf(rep.Rusher).MatchString(text) {
			t.Errorf("nothing tells of %s", rep.Rusher.Shown())
		}
	}
}
