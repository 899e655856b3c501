package page_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/internal/browser"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// words is text as long as n letters.
func words(n int) string {
	return strings.TrimSpace(strings.Repeat("hands inside and eyes up ", n/25+1)[:n])
}

// graded is a game of two players with n plays, of which everything is told.
func graded(t *testing.T, n int) ([]*tags.Rep, *tags.Vocabulary) {
	t.Helper()
	var text strings.Builder
	text.WriteString(head)
	for i := 1; i <= n; i++ {
		said := ""
		if i%3 == 0 {
			said = fmt.Sprintf(`, loaf: yes, note: "%d %s"`, i, words(90))
		}
		fmt.Fprintf(&text, "  - {play: %d, type: dropback, quarter: 4, clock: \"11:32\", down: 3, distance: 12, angles: {endzone: {in: %ds, out: %ds}}, reps: [", i, 10*i, 10*i+8)
		fmt.Fprintf(&text, "{rusher: marlow, move: [long-arm, up-and-under], blocker: {set: vertical}, battle: lost, outcome: no-factor, grade: {assignment: plus, technique: minus, effort: zero}%s}, ", said)
		text.WriteString("{rusher: loimata, move: [bull], battle: won, outcome: sack, grade: {technique: plus}, contain: lost, note: His alone.}]}\n")
	}
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("/season/wk1.game.yaml", []byte(text.String()), v)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return (&tags.Season{Games: []*tags.Game{game}, Vocabulary: v}).Reps(), v
}

// of is the reps of one player.
func of(reps []*tags.Rep, id string) []*tags.Rep {
	return slices.DeleteFunc(slices.Clone(reps), func(r *tags.Rep) bool { return r.Rusher.ID != id })
}

func gradeSheet(t *testing.T, reps []*tags.Rep, v *tags.Vocabulary) []byte {
	t.Helper()
	s := page.Stats{Title: "The grade sheet", Asked: append([]string{hostile}, page.GamesOf(reps)...), Players: page.Players(reps, v), Foot: "Of 20 figures one misses."}
	if len(s.Players) > 1 {
		table := report.Table{Title: s.Title, Who: "every rep", Lead: []string{words(400), "What came out."}, Key: "What came out.", Notes: []string{"A note."}, Blocks: []report.Block{{
			Headings: []report.Heading{{Title: "#"}, {Title: "player"}, {Title: "assign", Right: true, Marks: true}, {}},
			Rows:     [][]string{{"of the\u202e line"}, {"91", "#91 Teo\u202e Marlow", "12/3/1", "small"}}, Said: []string{"Of these."},
		}}}
		recipe, err := plan.DefaultRecipe()
		if err != nil {
			t.Fatal(err)
		}
		share := stats.Share{Name: "#91 Teo Marlow", Count: stats.Count{K: 3, N: 9}, Low: .1, High: .6, Bar: true}
		if err := s.Add(table, report.Bars{Title: "Rates", Small: []string{"Who counts: every rep.", "Of the chart."}, Shares: []stats.Share{share, share}}, recipe.Look); err != nil {
			t.Fatal(err)
		}
	}
	data, err := s.HTML()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// weekSheets is a week with texts as long and as hostile as may be.
func weekSheets(t *testing.T) []byte {
	t.Helper()
	reps, v := graded(t, 12)
	work := report.Work{What: hostile + words(150), Who: []string{hostile}, Why: []string{words(200)}, Reps: reps, Drill: words(200) + hostile, Common: true}
	rate := stats.Rate{Count: stats.Count{K: 3, N: 8}}
	sets := report.SetsIn{Situation: "third-long", Sets: []stats.NamedRate{{Name: "short", Rate: rate}, {Name: strings.Repeat("unbroken", 15), Rate: rate}}}
	card := report.Card{Name: hostile, Position: "LT", Reps: 12, Sets: []report.SetsIn{sets, sets, sets}, Gives: []report.GivesSet{{Set: "short", Won: rate}}}
	man := report.Subject{Name: hostile, Reps: 12, Work: []report.Work{work, work, work}, Rest: 4, Changed: []string{words(90)}, GetOff: report.Block{
		Headings: []report.Heading{{Title: "get-off, ms"}, {Title: "marked", Right: true}}, Rows: [][]string{{"2026-09-04", "8"}},
	}}
	room := man
	room.Room = true
	w := report.Week{Date: "2026-09-11", Against: []string{hostile, "Harbor Point"}, Subjects: []report.Subject{room, man, man}}
	w.Line = &report.Line{Opponent: hostile, Reps: 12, Cards: []report.Card{card, card, card}}
	data, err := (&page.Stats{Title: "The week", Week: page.WeekOf(w, v, "/season")}).HTML()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// practice is the sheet of a reel; its spin and bull have drills.
func practice(t *testing.T, p *page.Page) *page.Practice {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	moves := v.List("move").Words
	for i := range moves {
		switch moves[i].Name {
		case "bull":
			moves[i].Drills = []string{"Sled, six and six <quick>", words(200)}
		case "long-arm":
			moves[i].Drills = []string{"One hand on the bag"}
		default:
			moves[i].Drills = nil
		}
	}
	return p.Practice(v)
}

func practiceSheet(t *testing.T, p *page.Page) []byte {
	t.Helper()
	data, err := practice(t, p).HTML()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// sheet is a page on file, and how many sheets of paper it takes.
type sheet struct {
	path  string
	paper int
}

// sheets is every page that needs no script, as small and as full as it may be.
func sheets(t *testing.T) map[string]sheet {
	t.Helper()
	few, v := graded(t, 5)
	game, _ := graded(t, 60)
	unbroken, _ := graded(t, 4)
	for _, r := range unbroken {
		r.Note = strings.Repeat("unbroken", 15)
	}
	small, _ := build(t, "reel 100%#1?.mp4", nil)
	var text strings.Builder
	text.WriteString(head)
	for i := 1; i <= 60; i++ {
		fmt.Fprintf(&text, "  - {play: %d, type: dropback, quarter: 4, clock: \"11:32\", down: 3, distance: 12, angles: {endzone: {in: %ds, out: %ds}, sideline: {in: %[2]ds, out: %[3]ds}}, reps: [", i, i, i+1)
		for n, who := range []string{"okafor", "loimata", "marlow"} {
			point := fmt.Sprintf("%d %s", i%20, words(300-n))
			fmt.Fprintf(&text, "{rusher: %s, job: rush, move: [long-arm, up-and-under, bull, spin, rip], blocker: {set: vertical}, battle: lost, outcome: no-factor, point: %q}, ", who, point)
		}
		text.WriteString("]}\n")
	}
	full, _ := buildOf(t, strings.ReplaceAll(text.String(), "}, ]", "}]"), "reel.mp4", func(r *plan.Recipe) { r.Title = words(90) })
	files := map[string]sheet{}
	folder := t.TempDir()
	for name, s := range map[string]struct {
		data  []byte
		paper int
	}{
		"practice":      {practiceSheet(t, small), 1},
		"practice-full": {practiceSheet(t, full), 1},
		"grades-few":    {gradeSheet(t, of(few, "marlow"), v), 1},
		"grades-game":   {gradeSheet(t, of(game, "marlow"), v), 1},
		"grades-words":  {gradeSheet(t, of(unbroken, "marlow"), v), 1},
		"grades-room":   {gradeSheet(t, few, v), 3}, // the room, then each
		"week":          {weekSheets(t), 4},         // the room, two men, their line
	} {
		path := filepath.Join(folder, name+".html")
		if err := os.WriteFile(path, s.data, 0o600); err != nil {
			t.Fatal(err)
		}
		files[name] = sheet{path, s.paper}
	}
	return files
}

// A sheet fits a phone and paper, and fetches nothing.
func TestSheets(t *testing.T) {
	b := browser.Start(t)
	for name, s := range sheets(t) {
		for _, width := range []int{1280, 390, 320} {
			b.Open(fileURL(s.path), width)
			var got struct {
				Scroll int
				Beyond []string
			}
			b.Eval(`({scroll: document.documentElement.scrollWidth, beyond: [...document.querySelectorAll("body *:not(.wide *), .snaps")]
				.filter((e) => e.matches(".snaps") ? e.offsetWidth > Math.max(parseFloat(getComputedStyle(e).minWidth), innerWidth) : e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.outerHTML.slice(0, 80))})`, &got)
			if got.Scroll > width || len(got.Beyond) > 0 {
				t.Errorf("%s at %d pixels is %d wide: %q", name, width, got.Scroll, got.Beyond)
			}
			// How it was counted is folded: nothing longer than two lines stands before the numbers.
			var long []string
			b.Eval(`[...document.querySelectorAll("header p, .part > p")].filter((e) => e.offsetHeight > 2.5 * parseFloat(getComputedStyle(e).lineHeight)).map((e) => e.textContent)`, &long)
			if width == 1280 && len(long) > 0 {
				t.Errorf("%s: above the fold stand %q", name, long)
			}
			if width != 320 {
				b.Picture(fmt.Sprintf("%s-%d.png", name, width))
			}
		}
		printed(b, s.path, name+".pdf", s.paper)
	}
	for _, url := range b.Asked {
		if !strings.HasPrefix(url, "file:///") {
			t.Errorf("a sheet asks for %s", url)
		}
	}
}

func TestPractice(t *testing.T) {
	p, _ := build(t, "reel 100%#1?.mp4", nil)
	s := practice(t, p)
	var got []string
	for _, w := range s.Work {
		got = append(got, fmt.Sprintf("%s: %d of %d, clips %s; %.42q", w.What, w.Reps, w.Of, strings.Join(w.Clips, " "), w.Do))
	}
	// Clips 1 and 2 are one play on two angles.
	want := []string{
		`Outside foot up --> before the arm <goes> across.: 1 of 6, clips 1; ["Drill, long arm: One hand on the bag"]`,
		`Hips first.: 1 of 6, clips 3; []`,
		`bull, which lost: 1 of 6, clips 1; ["Fix: Win the first step and get your hands" "Drill, bull: Sled, six and six <quick>" "Drill, bull: hands inside and eyes up hand"]`,
		`up and under, which lost: 1 of 6, clips 4; ["Fix: Threaten the edge until he reaches; t" "Drill, long arm: One hand on the bag"]`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	text := string(practiceSheet(t, p))
	golden(t, "practice.html", []byte(text))
	for _, bad := range []string{"Secret note", "minus", "/season", "<b onclick", "<script", "\u202e", "ZgotmplZ"} {
		if strings.Contains(text, bad) {
			t.Errorf("the sheet holds %q", bad)
		}
	}
	if want := `href="./reel%20100%25%231%3F.mp4#t=4.020000000"`; !strings.Contains(text, want) {
		t.Errorf("no link %s to a clip", want)
	}
	if !page.IsOurs([]byte(text)) {
		t.Error("the sheet is not taken for the reel's")
	}
}

// Of a long reel a sheet has what tells most, in the order of the reel, and says what it
// leaves out.
func TestPracticeChooses(t *testing.T) {
	var text strings.Builder
	text.WriteString(head)
	for i := 1; i <= 40; i++ {
		rep := "{rusher: marlow, battle: won, outcome: hit}"
		if i > 30 {
			rep = fmt.Sprintf("{rusher: marlow, move: [bull], battle: lost, point: Point %d.}", i)
		}
		fmt.Fprintf(&text, "  - {play: %d, type: dropback, angles: {endzone: {in: %ds, out: %ds}}, reps: [%s]}\n", i, i, i+1, rep)
	}
	p, _ := buildOf(t, text.String(), "reel.mp4", nil)
	s := practice(t, p)
	var numbers []int
	for _, w := range s.Watch {
		numbers = append(numbers, w.Clips[0].Number)
	}
	if len(numbers) != 23 || s.Unnamed != 17 || !slices.IsSorted(numbers) || !slices.Contains(numbers, 31) || !slices.Contains(numbers, 40) {
		t.Errorf("clips %d, and %d more", numbers, s.Unnamed)
	}
	if len(s.Work) != 6 || s.Unsaid != 4 {
		t.Errorf("%d to work on, and %d more", len(s.Work), s.Unsaid)
	}
}

// What the coach praised is done well, on the sheet and on the page, and nothing to work on.
func TestPracticePraise(t *testing.T) {
	p, _ := buildOf(t, head+`
  - {play: 1, type: dropback, angles: {endzone: {in: 1s, out: 2s}}, reps: [{rusher: marlow, move: [spin], battle: won, point: Great hands., praise: yes}]}
  - {play: 2, type: dropback, angles: {endzone: {in: 3s, out: 4s}}, reps: [{rusher: marlow, move: [spin], battle: lost, point: A good fight., praise: yes}]}
  - {play: 3, type: dropback, angles: {endzone: {in: 5s, out: 6s}}, reps: [{rusher: marlow, move: [spin], battle: lost, note: A good fight., praise: yes}]}
  - {play: 4, type: dropback, angles: {endzone: {in: 7s, out: 8s}}, reps: [{rusher: marlow, move: [spin], battle: lost, point: Plant first.}]}
`, "reel.mp4", nil)
	s := practice(t, p)
	if len(s.Work) != 1 || s.Work[0].What != "Plant first." {
		t.Errorf("to work on: %+v", s.Work)
	}
	if len(p.Next) != 1 || !strings.HasPrefix(p.Next[0], "Plant first. ") {
		t.Errorf("to do next: %q", p.Next)
	}
	for name, text := range map[string]string{"sheet": string(practiceSheet(t, p)), "page": html(t, p)} {
		for _, want := range []string{"<b>Done well:</b> <bdi>Great hands.", "<b>Done well:</b> <bdi>A good fight.", "<b>Coaching point:</b> <bdi>Plant first."} {
			if !strings.Contains(text, want) {
				t.Errorf("the %s has no %q", name, want)
			}
		}
	}
}

// A hold that he drew is a win: no move lost, and its line says what it was.
func TestPracticeDrawnHold(t *testing.T) {
	p, _ := buildOf(t, head+`
  - {play: 1, type: dropback, angles: {endzone: {in: 1s, out: 2s}}, reps: [{rusher: marlow, move: [bull], battle: lost, penalty: drew-hold}]}
  - {play: 2, type: dropback, angles: {endzone: {in: 3s, out: 4s}}, reps: [{rusher: marlow, move: [bull], battle: lost}]}
`, "reel.mp4", nil)
	s := practice(t, p)
	if len(s.Work) != 1 || s.Work[0].What != "bull, which lost" || s.Work[0].Reps != 1 {
		t.Errorf("to work on: %+v", s.Work)
	}
	if got := s.Watch[0].Reps[0].Result; got != "▲\u00a0drew hold" {
		t.Errorf("the hold is told as %q", got)
	}
}

// A model is to be watched, and gives nobody anything to work on.
func TestPracticeModel(t *testing.T) {
	p, _ := build(t, "reel.mp4", nil, plan.Part{Section: plan.Section{Selection: plan.Selection{Model: true}, Title: "Fix"}})
	s := practice(t, p)
	models := 0
	for _, w := range s.Watch {
		if w.Model {
			models++
			for _, r := range w.Reps {
				if r.Point != "" {
					t.Errorf("the model %s has the point %q", r.Who, r.Point)
				}
			}
		}
	}
	if models == 0 {
		t.Fatal("no model to look at")
	}
}

// A player's sheet has every grade of his, and nothing of anybody else's.
func TestPlayersSheet(t *testing.T) {
	reps, v := graded(t, 4)
	players := page.Players(reps, v)
	if len(players) != 2 {
		t.Fatalf("%d players", len(players))
	}
	his := string(gradeSheet(t, of(reps, "marlow"), v))
	golden(t, "grades.html", []byte(his))
	for _, want := range []string{"wk1-harbor-p003-91 technique minus", "3 hands inside", "#91 Teo Marlow", ">loaf<"} {
		if !strings.Contains(his, want) {
			t.Errorf("his sheet has no %q", want)
		}
	}
	for _, bad := range []string{"His alone", "Loʻimata", "loimata", "-97", "contain lost</b>", "<script", "\u202e", "ZgotmplZ"} {
		if strings.Contains(his, bad) {
			t.Errorf("his sheet holds %q", bad)
		}
	}
	if room := string(gradeSheet(t, reps, v)); !strings.Contains(room, "#91 Teo Marlow</bdi></td>") || strings.Contains(room, "\u202e") {
		t.Error("a cell of the room's sheet turns the direction of writing")
	}
	room := string(gradeSheet(t, reps, v))
	shown, folded, _ := strings.Cut(room, "<summary>How this was counted")
	if !strings.Contains(shown, "What came out.") || strings.Contains(shown, words(400)) || !strings.Contains(folded, words(400)) || strings.Count(room, "Who counts: every rep.") != 1 || !strings.Contains(folded, "Of the chart.") {
		t.Error("how it was counted is not folded, or is said twice")
	}
	if !strings.Contains(shown, `<rect class="zero" x="12" width="3" height="1"/><rect class="minus" x="15" width="1" height="1"/></svg><span class="of">12/3/1</span>`) {
		t.Error("grades are not drawn")
	}
	if page.IsOurs([]byte(his)) {
		t.Error("a page of stats is taken for the reel's")
	}
	figures := map[string]string{}
	for _, f := range players[0].Figures { // of as many snaps as the other, and earlier by name
		figures[f.Name] = f.Value
	}
	delete(figures, "points") // the staff's table says
	if diff := cmp.Diff(map[string]string{"snaps": "4", "graded": "4", "loafs": "1", "missed assignments": "0", "contain lost": "0"}, figures); diff != "" {
		t.Error(diff)
	}
}
