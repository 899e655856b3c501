package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/templates"
)

// schemaText is the schema of a kind of file, as the command prints it.
func schemaText(t *testing.T, kind string) []byte {
	t.Helper()
	var out, said bytes.Buffer
	if code := run([]string{"schema", kind}, streams{Out: &out, Err: &said}); code != exitDone {
		t.Fatalf("schema %s: exit code %d: %s", kind, code, &said)
	}
	return out.Bytes()
}

func TestSchemaFiles(t *testing.T) {
	const dir = "../../templates/schema"
	kept, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	if len(kept) != len(schemas) && !*update {
		t.Errorf("%s holds %d schemas, want %d", dir, len(kept), len(schemas))
	}
	for kind := range schemas {
		file, want := filepath.Join(dir, kind+".json"), schemaText(t, kind)
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the program prints; -update writes it", file)
		}
	}
}

// compiled is every schema, compiled by a library that is not ours, against the
// draft's own schema first.
func compiled(t *testing.T) map[string]*jsonschema.Schema {
	t.Helper()
	all := map[string]*jsonschema.Schema{}
	for kind := range schemas {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemaText(t, kind)))
		if err != nil {
			t.Fatal(err)
		}
		if dialect := doc.(map[string]any)["$schema"]; dialect != jsonschema.Draft2020.String() && dialect != "https://json-schema.org/draft/2020-12/schema" {
			t.Errorf("%s is written in %v", kind, dialect)
		}
		c := jsonschema.NewCompiler()
		c.DefaultDraft(jsonschema.Draft2020)
		if err := c.AddResource(kind+".json", doc); err != nil {
			t.Fatal(err)
		}
		if all[kind], err = c.Compile(kind + ".json"); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// instance is a YAML node as an editor sees it: JSON's types by the core schema of
// YAML 1.2, in which a date is text.
func instance(t *testing.T, n *yaml.Node) any {
	t.Helper()
	switch n.Kind {
	case yaml.DocumentNode:
		return instance(t, n.Content[0])
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = instance(t, n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, item := range n.Content {
			list = append(list, instance(t, item))
		}
		return list
	case yaml.AliasNode:
		return instance(t, n.Alias)
	}
	switch n.ShortTag() {
	case "!!null":
		return nil
	case "!!bool":
		return n.Value == "true"
	case "!!int", "!!float":
		if f, err := strconv.ParseFloat(n.Value, 64); err == nil {
			return json.Number(strconv.FormatFloat(f, 'f', -1, 64))
		}
	}
	return n.Value
}

func parsed(t *testing.T, text string) *yaml.Node {
	t.Helper()
	var n yaml.Node
	if err := yaml.Unmarshal([]byte(text), &n); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return &n
}

// parserFaults is what the program itself finds wrong in a file of a kind.
func parserFaults(t *testing.T, kind, text string) tags.Faults {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "x.yaml")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	as := func(err error) tags.Faults {
		var faults tags.Faults
		if err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		}
		return faults
	}
	var staff tags.StaffFiles
	switch kind {
	case "tags":
		v, err := tags.DefaultVocabulary()
		if err != nil {
			t.Fatal(err)
		}
		_, faults := tags.ParseGame(file, []byte(text), v)
		return faults
	case "recipe":
		base, err := plan.DefaultRecipe()
		if err != nil {
			t.Fatal(err)
		}
		_, err = plan.ParseRecipe(file, []byte(text), base)
		return as(err)
	case "look":
		_, err := plan.ParseLook(file, []byte(text), plan.Recipe{})
		return as(err)
	case "keys":
		_, err := mark.ReadKeys([]string{file})
		return as(err)
	case "vocabulary":
		staff.Vocabulary = []string{file}
	case "reads":
		staff.Reads = []string{file}
	}
	_, faults, err := tags.LoadVocabulary(staff)
	if err != nil {
		t.Fatal(err)
	}
	return faults
}

// kindOf is the kind of a template by its name.
func kindOf(name string) string {
	switch {
	case strings.HasSuffix(name, tags.Suffix):
		return "tags"
	case strings.HasSuffix(name, ".reel.yaml"):
		return "recipe"
	case strings.HasSuffix(name, ".look.yaml"):
		return "look"
	case name == "drills.yaml": // laid over the vocabulary, as a staff's is
		return "vocabulary"
	default:
		return strings.TrimSuffix(filepath.Base(name), ".yaml")
	}
}

// Every template, and every tag file of the demo, is what its schema says.
func TestTemplatesMeetTheirSchemas(t *testing.T) {
	all := compiled(t)
	met := map[string]int{}
	err := fs.WalkDir(templates.FS, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || filepath.Ext(name) != ".yaml" {
			return err
		}
		data, err := templates.FS.ReadFile(name)
		if err != nil {
			return err
		}
		kind := kindOf(name)
		if all[kind] == nil {
			t.Errorf("%s is of no kind that has a schema", name)
			return nil
		}
		met[kind]++
		if err := all[kind].Validate(instance(t, parsed(t, string(data)))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for kind := range schemas {
		if met[kind] == 0 && kind != "keys" { // which are the staff's alone
			t.Errorf("no template is of kind %s", kind)
		}
	}
}

// The fixtures of the parser's own tests that have no faults.
func TestTagFixturesMeetTheirSchema(t *testing.T) {
	schema := compiled(t)["tags"]
	files, err := filepath.Glob("../../tags/testdata/*" + tags.Suffix)
	if err != nil {
		t.Fatal(err)
	}
	good := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		faults := parserFaults(t, "tags", string(data))
		err = schema.Validate(instance(t, parsed(t, string(data))))
		if faults.Grave() > 0 {
			continue
		}
		good++
		if err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
	if good == 0 {
		t.Error("no fixture is without faults")
	}
}

// frames holds what a case is put into, at %s.
var frames = map[string]string{
	"file":       "trenchcut: 1\ngame: {id: x}\n%s",
	"game":       "trenchcut: 1\ngame: {id: x, %s }",
	"person":     "trenchcut: 1\ngame: {id: x}\npeople: {a: {%s }}",
	"play":       "trenchcut: 1\ngame: {id: x}\nfilm: {ez: {file: x.mp4}}\npeople: {a: {team: us, jersey: 91}}\nplays: [{play: 1, in: 1s, out: 9s, %s }]",
	"rep":        "trenchcut: 1\ngame: {id: x}\nfilm: {ez: {file: x.mp4}}\npeople: {a: {team: us, jersey: 91}}\nplays: [{play: 1, in: 1s, out: 9s, reps: [{rusher: a, battle: won, %s }]}]",
	"reps":       "trenchcut: 1\ngame: {id: x}\nfilm: {ez: {file: x.mp4}}\npeople: {a: {team: us, jersey: 91}}\nplays: [{play: 1, in: 1s, out: 9s, reps: [%s ]}]",
	"vocabulary": "trenchcut: 1\n%s",
	"reads":      "trenchcut: 1\n%s",
	"recipe":     "trenchcut: 1\n%s",
	"look":       "trenchcut: 1\n%s",
	"keys":       "trenchcut: 1\n%s",
}

// Schema and parser agree on each of these: on what one file says by itself.
func TestSchemasAgreeWithParsers(t *testing.T) {
	all := compiled(t)
	for _, c := range []struct {
		frame string
		good  string // cases, one a line
		bad   string
	}{
		{"file", `
film: {ez: {file: x.mp4}, sl: {file: y.mp4, offset: -1.25s}}
film: {ez: {file: [1.mts, 2.mts]}, sl: {file: ~}}
people:
plays: []
people: {a: {name: "", jersey: 091, traits: {runs: yes}}}
assume: {help: none, loaf: no, unblocked: "no"}
assume:
`, `
assume: {help: chip-te}
assume: {battle: won}
assume: {loaf: yes}
plys: []
film: [x.mp4]
film: {Ez: {file: x.mp4}}
film: {ez: {fil: x.mp4}}
film: {ez: {file: x.mp4, offset: 5}}
film: {ez: {file: []}}
film: {ez: {file: [1.mts, ~]}}
film: {ez: {file: [1.mts, 1.mts]}}
film: {ez: {file: [1.mts, [2.mts]]}}
film: {ez: {file: {a: b}}}
people: {A B: {}}
people: {a: {traits: {run: yes}}}
people: {a: {traits: {runs: maybe}}}
people: {a: [91]}
plays: {}
`},
		{"game", `
kind: scout
kind: ~
date: 2026-09-12
date: "2026-09-12"
us: 49
field: pro
`, `
kind: scoot
date: 2026-13-12
date: yesterday
date: 2026
opponent: {name: x}
opponents: x
`},
		{"person", `
jersey: 7
jersey: "07"
pos: DE
name: Kāwika ʻAkau
`, `
jersey: [7]
position: DE
`},
		{"play", `
type: dropback
type:
down: 3
down: "3"
quarter: 5
clock: "11:32"
clock: 0:05
clock: 15:00
hash: left
yard-line: own 25
yard-line: 25
extra: {Coverage Shell: two-high, box: 6, wet: yes}
angles: {ez: {in: 1s, out: 0:09, snap: f75}}
angles: {ez: {file: y.mp4}}
angles: {ez: {in: 19:26:48:04, out: "19:26:58;04"}}
strength: left
ball-out: yes
marks: {snap: 3s, release: +2.64s, finish: +f80, getoff: -0.1s}
reps: []
reps:
`, `
typ: dropback
type: dropbak
type: [dropback]
down: 5
down: 0
down: three
down: 2.5
quarter: -1
clock: "16:00"
clock: "1:5"
clock: 692
qb: [a]
extra: [x]
extra: {box: [6]}
angles: {ez: {in: 12}}
angles: {ez: {in: +1s}}
angles: {ez: {in: "0:61:00"}}
angles: {ez: {in: "25:00:00:00"}}
angles: {ez: {inn: 1s}}
marks: {snap: +1s}
marks: {beet: +1s}
marks: {beat: 19}
marks: {beat: 48.5}
marks: {beat: soon}
reps: {rusher: a}
`},
		{"rep", `
align: 9
align: "9"
align: 6i
align: wide-9
side: left
blocker: {set: short, hands: high, lean: forward, block: base}
blocker:
move: bull
move: [long-arm, up-and-under]
move: long-arm > arm-over/outside
move: bull-rush>spin
move: []
counter: yes
counter: false
unblocked: "no"
tells: [heavy stance, 7]
saw: [sat, leaning]
marks: {getoff: +0.2s, beat: 0:05.4}
marks: {getoff: 0.2, beat: +1.9, turn: "1.3", contact: -0.5}
grade: {assignment: plus, technique: minus}
taken: not-his-job
taken: "yes"
taken: no
spot: {ez: [0.42, 0.55]}
spot: {ez: [0, 1]}
draw: [{at: beat, angle: ez, arrow: [0.42, 0.55, 0.50, 0.48]}]
draw: [{at: snap, angle: ez, circle: [.5, .5]}, {at: turn, angle: ez, path: [0, 0, 1, 1, 0.5, 0.5]}]
in: 2s
out: +3s
note: 12
did: [assist, missed-tackle]
`, `
algn: 9
align: 10
side: middle
blocker: {st: short}
blocker: {set: shrt}
blocker: harbor72
move: bul
move: [bull, spinn]
move: bull/insid
move: {bull: outside}
counter: maybe
counter: 1
unblocked:
tells: heavy
saw: [satt]
did: [tackl]
marks: {snap: 3s}
grade: {assignment: good}
grade: plus
taken: perhaps
spot: {ez: [0.42]}
spot: {ez: [1.2, 0.5]}
spot: {ez: left}
draw: [{at: beat, angle: ez}]
draw: [{at: beet, angle: ez, circle: [0.5, 0.5]}]
draw: [{at: beat, circle: [0.5, 0.5]}]
draw: [{at: beat, angle: ez, circle: [0.5, 0.5], line: [0, 0, 1, 1]}]
draw: [{at: beat, angle: ez, arrow: [0.5, 0.5]}]
in: 2
note: {a: b}
`},
		{"reps", `
91 won
a 9 left long-arm>up-and-under short sack
91 wide-9 bull/inside twist chip-te even hit
{rusher: a, outcome: sack}
`, `
91
91 wonn
91 9 long-arm>up-and-undr short sack
[91, won]
{battle: won}
{rusher: a}
{rusher: a, align: 9}
`},
		{"vocabulary", `
limit: 2.4s
limit: 2.4
limit: "2.4"
limit: 0:03
ball-out: 1.8s
distances: {short: 3, long: 8, second: {long: 9}, third: {short: 2}, fourth: {short: 1, long: 4}}
words: {move: [{spin: {counter: no}}], credit: [{luck: {given: yes}}], type: [{waggle: {pass: yes}}, {reverse: {run: yes}}]}
words: {move: [stab, {jab: {also: [poke], family: finesse, path: inside, label: Jab!}}]}
words: {align: [10, "11"], set: [{short: {also: [soft]}}]}
words: {move: [{stab: }]}
order: {outcome: [sack, strip-sack]}
order: {outcome: sack strip-sack}
choices: {quick-wins: battle=won time-to-beat<2}
choices: {ends: [rusher=Teo Marlow, "align=5,9"]}
words: {outcome: [{knockdown: {pressure: true}}, {sack: {sack: yes, pressure: yes}}]}
points: {outcome: {sack: 3, hit: 1.5, strip-sack: "+4.25"}, loaf: -1, missed-assignment: "-0.5"}
points:
words: {move: [{spin: {what: "Turn tight.", drills: [Bag turn, "Mirror, half speed"]}}]}
words: {move: [{spin: {what: , drills: }}]}
caution: Contact is taught by our own coaches, head up.
`, `
words: {move: [{spin: {drills: Bag turn}}]}
words: {move: [{spin: {what: [turn]}}]}
caution:
caution: ""
caution: "  "
caution: careful
caution: [Contact is taught by our own coaches]
points: {outcomes: {sack: 3}}
points: {outcome: {sack: lots}}
points: {outcome: {sack: 1000}}
points: {outcome: {sack: 1.005}}
points: {outcome: {two words: 1}}
points: {loaf: {"yes": 1}}
points: [3]
words: {outcome: [{sack: {pressure: maybe}}]}
limit: 2
limit: f75
ball-out: soon
distances: {shrt: 2}
distances: {short: none}
distances: {first: {long: 9}}
words: {credit: [{luck: {given: maybe}}]}
limits: 2.4s
words: {moves: [stab]}
words: {move: stab}
words: {move: [two words]}
words: {move: [[stab]]}
words: {move: [{stab: {famly: power}}]}
words: {move: [{stab: {also: poke}}]}
order: {outcomes: [sack]}
choices: {two words: battle=won}
choices: {quick: {battle: won}}
`},
		{"reads", `
reads: {soft: {when: "set=short,jump", answers: [{path: inside}], why: Go.}}
reads: {soft: {where: 'set == "short"', answers: [{move: [spin, bull-rush], path: inside}, {first-family: hands}]}}
reads: {soft: {when: [set=short, align=5], answers: [{first-move: bull}]}}
without: overset
without: [overset, leaning]
reads:
`, `
reads: [soft]
reads: {two words: {when: set=short, answers: [{path: inside}]}}
reads: {soft: {answers: [{path: inside}]}}
reads: {soft: {when: set=short}}
reads: {soft: {when: set=short, answers: {path: inside}}}
reads: {soft: {when: set=short, answers: [{path: insid}]}}
reads: {soft: {when: set=short, answers: [{family: pwer}]}}
reads: {soft: {when: set=short, answers: [{move: [spinn]}]}}
reads: {soft: {when: set=short, answers: [{}]}}
reads: {soft: {when: set=short, answers: [{gap: A}]}}
read: {}
`},
		{"recipe", `
limit: 0
title: Inside counters
choose: inside-counter set=short
choose: [rusher=Teo Marlow]
where: down == 3
plays: yes
order: time-to-beat
order: [outcome, time-to-beat]
limit: 8
vary: yes
vary: [rusher, game]
vary: blocker
least: 3
same: {point: 2, move: 1}
same: no
in-a-row: 2
why: yes
order: why
about: move
model: no
sections: [{title: Wins, choose: battle=won, order: outcome, limit: 3, model: yes, replay: no}]
angles: [sideline]
before: 2.5s
before: 1:00
after: 60s
reveal: before
size: 720p
size: 1280x720
quality: small
names: number
rate: 25
rate: 29.97
rate: 30000/1001
mute: true
replay: no
replay: {from: contact-0.2s, to: beat, speed: 0.5}
replay: {speed: 1/4}
replay: {speed: 50%}
freeze: no
intro: logo.png
intro: no
outro: [{file: art/logo.png, hold: 4s}, logo.jpg]
freeze: {at: turn, hold: 4s}
clock: no
ring: no
look: {ink: "#FFFFFF", lead: 40}
`, `
titel: x
title: [x]
order: best
order: [best]
limit: -1
vary: perhaps
vary: [rusher, weekday]
least: 0
same: {points: 2}
same: {point: 0}
same: [point]
in-a-row: no
why: always
about: set
sections: [{title: x, slate: numbers}]
intro: {hold: 3s}
intro: {file: a.png, hold: 3}
intro: {files: a.png}
intro: {}
intro: [a, b, c, d, e, f]
sections: [{title: x, intro: a.png}]
sections: [{choose: battle=won}]
sections: [{title: Wins, size: 720p}]
sections: {title: Wins}
angles: sideline
before: 3
before: 61s
before: +3s
reveal: never
size: big
size: 720
quality: best
names: nick
rate: 0
rate: fast
mute: loud
replay: {from: kickoff}
replay: {from: beat+1}
replay: {speed: 2}
replay: {speed: slow}
replay: {speed: 0.05}
freeze: {at: half-time}
freeze: {hold: long}
clock: late
ring: gold
rate: 240
look: {ink: white}
look: {lead: 5}
look: {inc: "#ffffff"}
`},
		{"look", `
ink: "#f4f1ea"
small: 24
`, `
ink: red
small: tiny
smal: 24
`},
		{"keys", `
snap: y
undo: Delete
to-in: Insert
redo: Shift Q
`, `
snap: Hyper
snap: 4
snapp: j
rusher: j
`},
	} {
		kind := "tags"
		if schemas[c.frame] != nil {
			kind = c.frame
		}
		for want, cases := range map[bool]string{true: c.good, false: c.bad} {
			for line := range strings.SplitSeq(strings.TrimSpace(cases), "\n") {
				text := fmt.Sprintf(frames[c.frame], line)
				faults := parserFaults(t, kind, text)
				if got := faults.Grave() == 0; got != want {
					t.Errorf("%s %q: the parser takes it: %t, want %t\n%v", c.frame, line, got, want, faults)
				}
				err := all[kind].Validate(instance(t, parsed(t, text)))
				if got := err == nil; got != want {
					t.Errorf("%s %q: the schema takes it: %t, want %t\n%v", c.frame, line, got, want, err)
				}
			}
		}
	}
}

// whole holds every mapping that a file of a kind may have.
var whole = map[string]string{
	"tags": `trenchcut: 1
game: {id: x}
film: {ez: {file: x.mp4}}
people: {a: {jersey: 91, traits: {runs: yes}}}
assume: {help: none}
plays:
- play: 1
  extra: {box: 6}
  angles: {ez: {in: 1s, out: 9s}}
  marks: {beat: +2s}
  reps:
  - rusher: a
    battle: won
    blocker: {set: short}
    marks: {beat: +2s}
    grade: {effort: plus}
    spot: {ez: [0, 0]}
    draw: [{at: beat, angle: ez, circle: [0, 0]}]
`,
	"vocabulary": `trenchcut: 1
words: {move: [{stab: {path: inside}}]}
distances: {short: 2, second: {long: 8}, third: {long: 8}, fourth: {long: 8}}
order: {outcome: [sack]}
choices: {a: set=short}
points: {outcome: {sack: 3}, loaf: -1}
`,
	"reads": `trenchcut: 1
reads: {a: {when: set=short, answers: [{path: inside}]}}
`,
	"recipe": "trenchcut: 1\nlook: {lead: 40}\nreplay: {speed: 0.5}\nfreeze: {at: beat}\nsame: {point: 1}\nintro: {file: a.png}\noutro: [{file: a.png}]\nsections: [{title: x, replay: {speed: 1}, freeze: {at: beat}, same: {point: 1}}]\n",
	"look":   "trenchcut: 1\nlead: 40\n",
}

const strange = "zzzzzzzzzzzzzzzzzzzzzzzz" // is no slip of any key

var (
	wantOneOf   = regexp.MustCompile(`^want one of (.*)$`)
	wantStrange = regexp.MustCompile(`^unknown (key|list) "` + strange + `" in `)
)

// The keys a parser knows are the ones its schema has: a strange key in each mapping
// makes the parser list them.
func TestSchemasHaveTheParsersKeys(t *testing.T) {
	for kind := range schemas {
		if kind == "keys" {
			continue // they are too many to be listed; TestSchemasAgreeWithParsers has some
		}
		t.Run(kind, func(t *testing.T) {
			var root map[string]any
			if err := json.Unmarshal(schemaText(t, kind), &root); err != nil {
				t.Fatal(err)
			}
			compared := map[string]bool{}
			count := mappings(parsed(t, whole[kind]).Content[0])
			for i := range count {
				doc := parsed(t, whole[kind])
				path := spoil(doc.Content[0], i)
				text, err := yaml.Marshal(doc)
				if err != nil {
					t.Fatal(err)
				}
				known := knownKeys(t, kind, string(text))
				at := schemasAt(root, path)
				if known == nil {
					for _, s := range at {
						if s["properties"] != nil {
							t.Errorf("at %v the schema has keys, but the parser takes any", path)
						}
					}
					continue
				}
				var want []string
				for _, s := range at {
					if p, ok := s["properties"].(map[string]any); ok {
						want = append(want, slices.Collect(maps.Keys(p))...)
						compared[fmt.Sprintf("%p", p)] = true
					}
				}
				slices.Sort(want)
				if diff := cmp.Diff(want, known); diff != "" {
					t.Errorf("at %v (-schema +parser):\n%s", path, diff)
				}
			}
			for pointer, s := range objects(root, "") {
				if p := s["properties"].(map[string]any); !compared[fmt.Sprintf("%p", p)] {
					t.Errorf("%s: nothing in the test's file has these keys", pointer)
				}
			}
		})
	}
}

// knownKeys is the keys a parser says it knows where it met the strange one; nil where it
// took that one.
func knownKeys(t *testing.T, kind, text string) []string {
	t.Helper()
	for _, f := range parserFaults(t, kind, text) {
		if !wantStrange.MatchString(f.What) {
			continue
		}
		m := wantOneOf.FindStringSubmatch(f.Hint)
		if m == nil {
			t.Fatalf("%q lists no keys: %q", f.What, f.Hint)
		}
		keys := strings.Split(m[1], ", ")
		slices.Sort(keys)
		return keys
	}
	return nil
}

// mappings is how many mappings n holds, itself included.
func mappings(n *yaml.Node) int {
	count := 0
	if n.Kind == yaml.MappingNode {
		count++
	}
	for _, child := range n.Content {
		count += mappings(child)
	}
	return count
}

// spoil puts the strange key into mapping number i of n, and gives the path to it.
func spoil(n *yaml.Node, i int) []string {
	var walk func(n *yaml.Node, path []string) []string
	walk = func(n *yaml.Node, path []string) []string {
		if n.Kind == yaml.MappingNode {
			if i == 0 {
				i--
				n.Content = append(n.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: strange}, &yaml.Node{Kind: yaml.ScalarNode, Value: "x"})
				return append([]string{}, path...)
			}
			i--
			for k := 0; k+1 < len(n.Content); k += 2 {
				if p := walk(n.Content[k+1], append(slices.Clone(path), n.Content[k].Value)); p != nil {
					return p
				}
			}
			return nil
		}
		for _, item := range n.Content {
			if p := walk(item, append(slices.Clone(path), "[]")); p != nil {
				return p
			}
		}
		return nil
	}
	return walk(n, []string{})
}

// schemasAt is every part of a schema that a value at path may be held to.
func schemasAt(root map[string]any, path []string) []map[string]any {
	at := branches(root, root)
	for _, step := range path {
		var next []map[string]any
		for _, s := range at {
			properties, _ := s["properties"].(map[string]any)
			child, ok := properties[step].(map[string]any)
			if !ok && step == "[]" {
				child, ok = s["items"].(map[string]any)
			}
			if !ok {
				child, ok = s["additionalProperties"].(map[string]any)
			}
			if ok {
				next = append(next, branches(root, child)...)
			}
		}
		at = next
	}
	return at
}

// branches is s, or what it refers to, and all of its alternatives.
func branches(root, s map[string]any) []map[string]any {
	if ref, ok := s["$ref"].(string); ok {
		defs := root["$defs"].(map[string]any)
		return branches(root, defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any))
	}
	all := []map[string]any{s}
	if alternatives, ok := s["anyOf"].([]any); ok {
		for _, a := range alternatives {
			all = append(all, branches(root, a.(map[string]any))...)
		}
	}
	return all
}

// objects is every part of a schema that has keys, by where it stands.
func objects(part any, pointer string) map[string]map[string]any {
	found := map[string]map[string]any{}
	switch part := part.(type) {
	case map[string]any:
		if _, ok := part["properties"].(map[string]any); ok && part["type"] != nil {
			found[pointer] = part
		}
		for key, value := range part {
			maps.Copy(found, objects(value, pointer+"/"+key))
		}
	case []any:
		for i, value := range part {
			maps.Copy(found, objects(value, fmt.Sprintf("%s/%d", pointer, i)))
		}
	}
	return found
}
