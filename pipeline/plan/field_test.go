package plan_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
)

// says is the labels of the first clip of p, one a line: its lead, then its lines.
func says(p *plan.Plan) []string {
	var list []string
	for _, l := range p.Entries[1].Segment.Layers {
		if l.Label != nil {
			list = append(list, strings.Join(append([]string{l.Label.Lead}, l.Label.Lines...), " | "))
		}
	}
	return list
}

func TestFieldsOfLabels(t *testing.T) {
	plays := strings.Replace(twoReps, "    down: 3\n", "    down: 3\n    call: Nickel 3\n    yard-line: own 35\n", 1)
	for name, c := range map[string]struct {
		label []plan.Field
		want  []string
	}{
		"as ever": {nil, []string{
			"3rd & 8 · Play 14 · Q1 11:32 | #91 Teo Marlow, 9-technique, left · long arm › up and under · short set | #55 Ike Okafor, 3-technique · bull",
			" | 3rd & 8 · #91 Teo Marlow · #55 Ike Okafor",
			"3rd & 8 · Play 14 · Q1 11:32 | #91 Teo Marlow · ▲ won · sack · beat him in 1.9 s | #55 Ike Okafor · ▼ lost · no factor",
		}},
		"in another order": {[]plan.Field{"set", "move", "align", "rusher", "outcome", "battle", "call", "down"}, []string{
			"Nickel 3 · 3rd & 8 | short set · long arm › up and under · 9-technique, left · #91 Teo Marlow | bull · 3-technique · #55 Ike Okafor",
			" | 3rd & 8 · #91 Teo Marlow · #55 Ike Okafor",
			"Nickel 3 · 3rd & 8 | #91 Teo Marlow · sack · ▲ won | #55 Ike Okafor · no factor · ▼ lost",
		}},
		"nobody's name": {[]plan.Field{"play", "yard-line", "move", "outcome"}, []string{
			"Play 14 · own 35 | long arm › up and under | bull",
			" | Play 14",
			"Play 14 · own 35 | sack | no factor",
		}},
		"only what became of it": {[]plan.Field{"outcome"}, []string{" | sack | no factor"}},
		"nothing":                {[]plan.Field{}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			p := build(t, plays, func(r *plan.Recipe) { r.Label = c.label }, nil)
			if diff := cmp.Diff(c.want, says(p)); diff != "" {
				t.Error(diff)
			}
		})
	}
	// A play of which no rep is tagged says what kind of play it was, once.
	const bare = "  - {play: 3, type: %s, call: Zone left, in: 10s, out: 20s}\n"
	for _, c := range []struct {
		kind  string
		label []plan.Field
		want  string
	}{
		{"run", nil, "Play 3 | run · Zone left"},
		{`""`, nil, "Play 3 | Zone left"},
		{"run", []plan.Field{"call", "play"}, "Zone left · Play 3 | run"},
	} {
		p := build(t, fmt.Sprintf(bare, c.kind), func(r *plan.Recipe) { r.Label = c.label }, nil)
		if got := says(p)[0]; got != c.want {
			t.Errorf("%s by %v: %q, want %q", c.kind, c.label, got, c.want)
		}
	}
	// A blocker of whom nothing may be told is no rusher.
	quiet := build(t, rushes("{rusher: marlow, align: 9, blocker: {who: okafor}, battle: won}"), func(r *plan.Recipe) { r.Label, r.Names = []plan.Field{"align", "blocker"}, plan.NoNames }, nil)
	if got := says(quiet)[0]; got != " | 9-technique" {
		t.Errorf("with no name to tell, a label says %q", got)
	}
	// What he was called for stands beside his win.
	foul := build(t, rushes("{rusher: marlow, battle: won, outcome: sack, penalty: offside}"), nil, nil)
	if got, want := says(foul)[2], "Play 1 | Teo Marlow · ▲ won · offside · sack · beat him in 1.2 s"; got != want {
		t.Errorf("of a foul a label says %q, want %q", got, want)
	}
	// A word or a number that could be of anything says of what it is.
	facts := strings.Replace(fmt.Sprintf(bare, "run"), "call: Zone left", `yard-line: "25", personnel: "11", protection: man`, 1)
	p := build(t, facts, func(r *plan.Recipe) { r.Label = []plan.Field{"yard-line", "personnel", "protection"} }, nil)
	if got, want := says(p)[0], "25-yard line · 11 personnel · man protection | run"; got != want {
		t.Errorf("a label says %q, want %q", got, want)
	}
	// No field of what became of it is told before it has.
	for _, f := range []plan.Field{"battle", "outcome", "time-to-beat"} {
		p := build(t, plays, func(r *plan.Recipe) { r.Label = []plan.Field{f} }, nil)
		for _, l := range p.Entries[1].Segment.Layers {
			if l.Label != nil && l.Span.In < 180 {
				t.Errorf("%s is told at frame %d: %v", f, l.Span.In, l.Label)
			}
		}
	}
}

func TestParseShapeLabelAndTeam(t *testing.T) {
	const head = "trenchcut: 1\n"
	for text, want := range map[string]string{
		"shape: upright":                    `r.yaml:2:8: unknown shape "upright"`,
		"label: [down, moev]":               `r.yaml:2:15: unknown field of a label "moev"; did you mean "move"?`,
		"label: [down, down]":               `r.yaml:2:15: the label says down twice`,
		`look: {team: ["#7a1f3d"]}`:         `r.yaml:2:14: a team has two colours`,
		`look: {team: ["#7a1f3d", "gold"]}`: `r.yaml:2:26: colour of the team "gold" is not a colour`,
	} {
		_, err := plan.ParseRecipe("r.yaml", []byte(head+text+"\n"), plan.Recipe{})
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
	const ground, second = "#7a1f3d", "#f2c75c"
	for text, accent := range map[string]string{"": second, ", accent: \"#56b4e9\"": "#56b4e9"} {
		for _, form := range []string{`{team: ["%[1]s", "%[2]s"]%[3]s}`, `{nearest: yes%[3]s, team: ["%[1]s", "%[2]s"]}`} {
			r, err := plan.ParseRecipe("r.yaml", []byte(head+"shape: tall\nlabel: []\nlook: "+fmt.Sprintf(form, ground, second, text)+"\n"), recipe(t))
			if err != nil {
				t.Fatal(err)
			}
			if l := r.Look; l.Ground != ground || l.Ink != plan.Readable || l.Quiet != plan.Readable || l.Accent != accent || l.Lead == 0 || r.Nearest != strings.Contains(form, "nearest") {
				t.Errorf("%s: %+v, nearest %v", form, l, r.Nearest)
			}
			if r.Shape != plan.Tall || r.Label == nil || len(r.Label) > 0 {
				t.Errorf("shape %q, label %v", r.Shape, r.Label)
			}
		}
	}
	// The template says what holds where none says anything.
	if diff := cmp.Diff(plan.DefaultFields, recipe(t).Label); diff != "" {
		t.Error(diff)
	}
}
