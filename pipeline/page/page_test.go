package page_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

var update = flag.Bool("update", false, "write the golden files anew")

const head = `trenchcut: 1
game: {id: wk1-harbor, date: 2026-09-05, us: Cedar Hollow, opponent: Harbor State}
film:
  endzone: {file: end.mp4}
  sideline: {file: side.mp4}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
  okafor: {name: "Ike </script><b onclick='x()'> \"Oak\" Okafor \u202Egnorw\u202C & sons", team: us, jersey: 55}
  loimata: {name: "Tāvita Loʻimata", team: us, jersey: 97}
plays:
`

const plays = head + `
  - play: 14
    type: dropback
    quarter: 1
    clock: "11:32"
    down: 3
    distance: 8
    angles: {endzone: {in: 10s, out: 20s, snap: 14s}, sideline: {in: 20s, out: 30s, snap: 24s}}
    marks: {finish: +3s}
    reps:
      - {rusher: marlow, job: rush, align: 9, move: [long-arm, up-and-under], blocker: {set: short}, marks: {contact: +0.8s, turn: +1.3s, beat: +1.9s}, battle: won, outcome: sack, note: Secret note., grade: {technique: minus}, point: "Outside foot up --> before the arm <goes> across."}
      - {rusher: okafor, job: rush, align: 5, move: [bull], blocker: {set: vertical}, marks: {contact: +0.6s}, battle: lost, outcome: no-factor}
  - play: 15
    type: dropback
    angles: {endzone: {in: 30s, out: 40s, snap: 34s}}
    reps:
      - {rusher: loimata, job: rush, align: 3, move: [club-rip], blocker: {set: short}, battle: stalemate, outcome: hurry, point: Hips first.}
  - play: 16
    type: dropback
    angles: {endzone: {in: 40s, out: 50s}}
    reps:
      - {rusher: marlow, job: rush, align: 9, move: [long-arm, up-and-under], blocker: {set: short}, battle: lost, outcome: no-factor}
  - play: 17
    type: dropback
    angles: {endzone: {in: 50s, out: 60s, snap: 54s}}
    reps:
      - {rusher: marlow, job: rush, align: 9, move: [long-arm], blocker: {set: short}, battle: won, outcome: hit}
      - {rusher: okafor, job: rush, align: 5, move: [spin], blocker: {set: short}, battle: won, outcome: hurry}
`

// hostile is a title that closes what it stands in.
const hostile = `</title></script><script>alert("1")</script> "quoted" ` + "\u202e" + `reversed`

// build plans a season and makes its page.
func build(t *testing.T, video string, change func(*plan.Recipe), parts ...plan.Part) (*page.Page, *plan.Plan) {
	t.Helper()
	return buildOf(t, plays, video, change, parts...)
}

// seasonOf is a season of one game, and what its films are.
func seasonOf(t *testing.T, plays string) (*tags.Season, map[string]plan.Source) {
	t.Helper()
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("/season/wk1.game.yaml", []byte(plays), vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	films := map[string]plan.Source{
		"/season/side.mp4": {Fingerprint: "side", Rate: tags.Rate{Num: 30, Den: 1}, Frames: 3000, Width: 1280, Height: 720},
		"/season/end.mp4":  {Fingerprint: "end", Rate: tags.Rate{Num: 25, Den: 1}, Frames: 2500, Width: 1280, Height: 720},
	}
	for file, s := range films {
		game.SetClock(file, s.Clock())
	}
	return &tags.Season{Games: []*tags.Game{game}, Vocabulary: vocabulary}, films
}

// buildOf is build of another game.
func buildOf(t *testing.T, plays, video string, change func(*plan.Recipe), parts ...plan.Part) (*page.Page, *plan.Plan) {
	t.Helper()
	season, films := seasonOf(t, plays)
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Title, r.Width, r.Height, r.Rate = hostile, 320, 180, tags.Rate{Num: 25, Den: 1}
	if change != nil {
		change(&r)
	}
	if len(parts) == 0 {
		parts = []plan.Part{{Section: plan.Section{Selection: r.Selection}}}
	}
	for i := range parts {
		if parts[i].Plays == nil {
			parts[i].Choice = plan.Choice{Asked: "everything", Plays: season.Plays(), Reps: season.Reps()}
		}
	}
	p, err := plan.BuildParts(season, parts, "everything", r, films)
	if err != nil {
		t.Fatal(err)
	}
	pg, err := page.New(p, season, video)
	if err != nil {
		t.Fatal(err)
	}
	return pg, p
}

// chart is a chart of rates under a title.
func chart(t *testing.T, title string) draw.Markup {
	t.Helper()
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	scene, err := draw.Chart(report.Bars{Title: title, Shares: []stats.Share{
		{Name: "won", Count: stats.Count{K: 3, N: 6}, Low: .19, High: .81, Bar: true},
		{Name: "sack", Count: stats.Count{K: 1, N: 6}, Low: .03, High: .56, Bar: true},
	}}, draw.Phone, draw.PaperLook(r.Look))
	if err != nil {
		t.Fatal(err)
	}
	m, err := scene.Markup()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func html(t *testing.T, p *page.Page) string {
	t.Helper()
	data, err := p.HTML()
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s: %s", name, diff)
	}
}

func TestGolden(t *testing.T) {
	p, _ := build(t, "reel 100%#1?.mp4", nil)
	p.Tables[0].Chart = chart(t, "Rates")
	golden(t, "reel.html", []byte(html(t, p)))
	golden(t, "reel.vtt", p.Chapters())
	golden(t, "reel.captions.vtt", p.Captions())
}

// Names come from anywhere and must stay text.
func TestHostileNames(t *testing.T) {
	p, _ := build(t, `a"b'</video>:?#%.mp4`, nil)
	page := html(t, p)
	for _, bad := range []string{"<b onclick", "<script>alert", "</video>:", "\u202e", "\u202c", "ZgotmplZ"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if n := strings.Count(page, "</script>"); n != 1 {
		t.Errorf("%d ends of script, want 1", n)
	}
	if want := `src="./a%22b%27%3C%2Fvideo%3E:%3F%23%25.mp4"`; !strings.Contains(page, want) {
		t.Errorf("no %s in %s", want, regexp.MustCompile(`<video[^>]*>`).FindString(page))
	}
	for name, vtt := range map[string][]byte{"chapters": p.Chapters(), "captions": p.Captions()} {
		for line := range strings.SplitSeq(string(vtt), "\n") {
			if strings.Contains(line, "-->") && !regexp.MustCompile(`^\d\d:\d\d:\d\d\.\d{3} --> \d\d:\d\d:\d\d\.\d{3}( [a-z]+:[a-z0-9]+%?)*$`).MatchString(line) {
				t.Errorf("%s: %q", name, line)
			}
			if strings.ContainsAny(line, "<\u202e") {
				t.Errorf("%s: %q", name, line)
			}
		}
	}
}

// Points are on a page; grades are on none, and notes on none of the room's.
func TestPrivate(t *testing.T) {
	p, _ := build(t, "reel.mp4", nil)
	page := html(t, p)
	if !strings.Contains(page, "Hips first.") {
		t.Error("the page has no point")
	}
	for _, bad := range []string{"Secret note", "minus", "/season"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
}

// A model stands beside a loss with what the film shows and no point.
func TestModel(t *testing.T) {
	p, _ := build(t, "reel.mp4", nil, plan.Part{Section: plan.Section{Selection: plan.Selection{Model: true}, Title: "Fix"}})
	models := 0
	for _, take := range p.Sections[0].Takes {
		if !take.Model {
			continue
		}
		models++
		for _, r := range take.Reps {
			if r.Point != "" {
				t.Errorf("the model %s has the point %q", r.Who, r.Point)
			}
		}
	}
	if models == 0 {
		t.Fatal("no model to look at")
	}
	if p.Sections[0].Title != "Fix" {
		t.Errorf("the section is called %q", p.Sections[0].Title)
	}
}

// The staff's pictures and slates of why are no sections, and move only the times of what
// follows; a slate that stands for itself is one, with what it says.
func TestOtherSlates(t *testing.T) {
	picture := plan.Picture{Content: "aa", Hold: 2 * tags.Second, Width: 64, Height: 36}
	of := func(change func(*plan.Recipe)) *page.Page {
		p, _ := build(t, "reel.mp4", func(r *plan.Recipe) {
			r.About, r.Choose = plan.AboutMove, []string{"move=spin"}
			if change != nil {
				change(r)
			}
		}, plan.Part{Section: plan.Section{Title: "What calls for it", Slate: plan.ToldReads}},
			plan.Part{Section: plan.Section{Selection: plan.Selection{Why: true}, Title: "Fix"}})
		return p
	}
	bare := of(nil)
	p := of(func(r *plan.Recipe) { r.Intro, r.Outro = []plan.Picture{picture}, []plan.Picture{picture} })
	for _, p := range []*page.Page{bare, p} {
		if len(p.Sections) != 2 || p.Sections[0].Title != "What calls for it" || len(p.Sections[0].Takes) > 0 || !strings.HasPrefix(p.Sections[0].Says[0], "Overset: ") {
			t.Fatalf("sections are %+v", p.Sections)
		}
	}
	seconds := func(p *page.Page) float64 {
		var at float64
		if _, err := fmt.Sscan(p.Sections[1].Takes[0].Clips[0].In, &at); err != nil {
			t.Fatal(err)
		}
		return at
	}
	if by := seconds(p) - seconds(bare); by < 1.999 || by > 2.001 {
		t.Errorf("a picture of 2 s before all moves the first clip by %g s", by)
	}
	if p.Title != bare.Title || p.Caution != bare.Caution || p.Caution == "" || p.Clips != bare.Clips || !slices.Equal(p.Said, bare.Said) {
		t.Error("with pictures the page says something else")
	}
	if text := html(t, p); !strings.Contains(text, "<p><bdi>Overset: ") {
		t.Error("the page does not say what the slate says")
	}
}

func TestLinksResolve(t *testing.T) {
	p, _ := build(t, "reel.mp4", nil)
	p.Tables[0].Chart = chart(t, "Rates")
	page := html(t, p)
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("two elements have the id %q", m[1])
		}
		ids[m[1]] = true
	}
	refs := regexp.MustCompile(`\s(?:for|aria-labelledby|aria-describedby|href)="([^"]*)"`).FindAllStringSubmatch(page, -1)
	if len(refs) < 8 {
		t.Fatalf("only %d references found", len(refs))
	}
	for _, m := range refs {
		for id := range strings.FieldsSeq(m[1]) {
			if !ids[strings.TrimPrefix(id, "#")] {
				t.Errorf("nothing has the id %q", id)
			}
		}
	}
	for _, m := range regexp.MustCompile(`\$\("([^"]*)"\)`).FindAllStringSubmatch(page, -1) {
		if !ids[m[1]] {
			t.Errorf("the script looks for %q", m[1])
		}
	}
	for _, m := range regexp.MustCompile(`\ssrc="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if m[1] != "./reel.mp4" && !strings.HasPrefix(m[1], "data:text/vtt;") && !strings.HasPrefix(m[1], "data:image/jpeg;") {
			t.Errorf("the page fetches %q", m[1])
		}
	}
	last := 0
	for _, m := range regexp.MustCompile(`<h(\d)`).FindAllStringSubmatch(page, -1) {
		level, _ := strconv.Atoi(m[1])
		if level > last+1 {
			t.Errorf("a heading of level %d follows one of %d", level, last)
		}
		last = level
	}
}

// The numbers are those of the closing slate, by Wilson's interval.
func TestNumbers(t *testing.T) {
	p, made := build(t, "reel.mp4", nil)
	slate := made.Entries[len(made.Entries)-1].Segment.Card.Shares
	if len(slate) == 0 || len(slate) != len(p.Tables[0].Rows) {
		t.Fatalf("%d lines, on the slate %d", len(p.Tables[0].Rows), len(slate))
	}
	for i, s := range slate {
		row := p.Tables[0].Rows[i]
		// Wilson 1927, J. Am. Stat. Assoc. 22:209–212, with z = 1.96.
		n, at, z := float64(s.N), float64(s.K)/float64(s.N), 1.959964
		middle := (at + z*z/(2*n)) / (1 + z*z/n)
		half := z / (1 + z*z/n) * math.Sqrt(at*(1-at)/n+z*z/(4*n*n))
		want := page.Row{Name: s.Name, Count: fmt.Sprintf("%d/%d", s.K, s.N)}
		if s.Unknown > 0 { // of which only bounds can be told
			want.Count += fmt.Sprintf(", %d not known", s.Unknown)
		} else if s.N >= stats.Enough {
			want.Rate = fmt.Sprintf("%.0f", 100*at)
			want.Interval = fmt.Sprintf("%.0f to %.0f", 100*(middle-half), 100*(middle+half))
		}
		if diff := cmp.Diff(want, row); diff != "" {
			t.Error(diff)
		}
	}
	var titles []string
	for _, table := range p.Tables {
		titles = append(titles, table.Title)
	}
	if want := []string{"All of the reel", "Won, by rusher", "Won, by first move", "Won, by set"}; !slices.Equal(titles, want) {
		t.Errorf("tables %q, want %q", titles, want)
	}
}

// The page gives the interval that the slate draws, which goes by games where there are three.
func TestIntervalOfTheSlate(t *testing.T) {
	_, made := build(t, "reel.mp4", nil)
	season, _ := seasonOf(t, plays)
	share := &made.Entries[len(made.Entries)-1].Segment.Card.Shares[0]
	share.Low, share.High = .05, .95
	p, err := page.New(made, season, "reel.mp4")
	if err != nil {
		t.Fatal(err)
	}
	if row := p.Tables[0].Rows[0]; row.Interval != "5 to 95" {
		t.Errorf("the page says %q of the rate that the slate draws from 5 to 95", row.Interval)
	}
}

// What was chosen by how it ended has no rate.
func TestNoRateOfTheChosen(t *testing.T) {
	p, _ := build(t, "reel.mp4", func(r *plan.Recipe) { r.Order, r.Limit = []plan.Order{plan.ByOutcome}, 2 })
	if len(p.Tables) > 0 || !strings.Contains(html(t, p), "no rate can be told of them") {
		t.Errorf("said %q with %d tables", p.Said, len(p.Tables))
	}
}

func TestThumbs(t *testing.T) {
	p, made := build(t, "reel.mp4", nil)
	var got []string
	for _, thumb := range p.Thumbs() {
		got = append(got, fmt.Sprintf("%d %s", thumb.Frame, thumb.Lead))
	}
	// At 25 a second, slates of 4 s before: three seconds before the snap, then his beat.
	want := []string{
		"223 1 · play 14, endzone", // 100 + 75 + 48, the first frame after it
		"398 2 · play 14, sideline",
		"550 3 · play 15, endzone", // no contact: 450 + 75 + 25
		"799 4 · play 16, endzone", // no snap: 675 + 249/2
		"1025 5 · play 17, endzone",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if last := made.Frames(); p.Thumbs()[4].Frame >= last {
		t.Errorf("frame %d of %d", p.Thumbs()[4].Frame, last)
	}
}

// A point is read while the picture stands for it, and not a second time; else once the
// outcome is told, never before, and all through the next angle.
func TestCaptions(t *testing.T) {
	freeze := plan.Selection{Freeze: plan.Freeze{At: tags.Turn, Hold: 4 * tags.Second}}
	p, _ := build(t, "reel.mp4", nil, plan.Part{Section: plan.Section{Selection: freeze}})
	var got []string
	for line := range strings.SplitSeq(string(p.Captions()), "\n") {
		if line != "" && !strings.HasPrefix(line, "WEBVTT") && !strings.HasPrefix(line, "NOTE") {
			got = append(got, line)
		}
	}
	// Slate 4 s; play 14 is 7 s long on each angle and is held for 4 s behind it; play 15
	// goes on from its snap to its out.
	want := []string{
		"00:00:11.000 --> 00:00:15.000 line:85%", "Outside foot up --&gt; before the arm", "&lt;goes&gt; across.",
		"00:00:22.000 --> 00:00:26.000 line:85%", "Outside foot up --&gt; before the arm", "&lt;goes&gt; across.",
		"00:00:34.000 --> 00:00:36.500 line:85%", "Hips first.",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestIsOurs(t *testing.T) {
	p, _ := build(t, "reel.mp4", nil)
	png := append([]byte("\x89PNG\r\n\x1a\n"), make([]byte, 40)...)
	marked, err := page.MarkPNG(png)
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"html": []byte(html(t, p)), "chapters": p.Chapters(), "captions": p.Captions(), "png": marked} {
		if !page.IsOurs(data) {
			t.Errorf("%s is not taken for ours", name)
		}
	}
	for _, other := range []string{"", "WEBVTT\n\n00:00.000 --> 00:01.000\ntrenchcut reel page\n", "<!doctype html>\n<p>trenchcut reel page", string(png)} {
		if page.IsOurs([]byte(other)) {
			t.Errorf("%.20q is taken for ours", other)
		}
	}
	if _, err := page.MarkPNG([]byte("GIF89a")); err == nil {
		t.Error("a GIF was marked")
	}
}

// The page names players no further than the reel does.
func TestNames(t *testing.T) {
	for names, says := range map[plan.Names]bool{plan.FullNames: true, plan.ByNumber: false, plan.NoNames: false} {
		p, _ := build(t, "reel.mp4", func(r *plan.Recipe) { r.Names = names })
		text := html(t, p) + string(p.Chapters()) + string(p.Captions()) + string(practiceSheet(t, p))
		for _, name := range []string{"Marlow", "Loʻimata"} {
			if strings.Contains(text, name) != says {
				t.Errorf("names %s: %s stands in the page: %v, want %v", names, name, !says, says)
			}
		}
	}
}
