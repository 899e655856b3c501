package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/tags/invent"
)

// gamesOfReps is tag files to try sheets of reps on: those there are, and invented ones.
func gamesOfReps(t *testing.T) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	for _, file := range tagFiles(t) {
		all[file] = read(t, file)
	}
	for n := range 4 {
		id, text := invent.Game(7, n, 60)
		all[id+tags.Suffix] = text
	}
	return all
}

func gameOf(t *testing.T, file string, data []byte) (*tags.Game, []*tags.Rep) {
	t.Helper()
	game, faults := tags.ParseGame(file, data, vocabulary(t))
	if faults.Err() != nil {
		return nil, nil
	}
	var reps []*tags.Rep
	for _, p := range game.Plays {
		reps = append(reps, p.Reps...)
	}
	return game, reps
}

// sheetForms is a table as each form of file, read back.
func sheetForms(t *testing.T, table Table) map[string]*Sheet {
	t.Helper()
	var csv, xlsx bytes.Buffer
	if err := table.WriteCSV(&csv); err != nil {
		t.Fatal(err)
	}
	if err := table.WriteXLSX(&xlsx); err != nil {
		t.Fatal(err)
	}
	return map[string]*Sheet{"csv": sheetOf(t, "reps.csv", csv.Bytes()), "xlsx": sheetOf(t, "reps.xlsx", xlsx.Bytes())}
}

// A sheet of reps that is brought back as it is changes no byte.
func TestRepRoundTrip(t *testing.T) {
	tried := 0
	for file, data := range gamesOfReps(t) {
		_, reps := gameOf(t, file, data)
		if len(reps) == 0 {
			continue
		}
		for form, s := range sheetForms(t, RepSheet(reps)) {
			change, err := Merge(t.Context(), file, data, s, nil, vocabulary(t))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(change.Data, data) || change.Lines != nil || grave(change.Faults).Err() != nil {
				t.Errorf("%s %s: changes something: %v %v", file, form, change.Lines, grave(change.Faults))
			}
			tried++
		}
	}
	if tried < 10 {
		t.Errorf("only %d sheets tried", tried)
	}
}

// A cell that somebody edits in an exported sheet changes that field of that rep, and nothing
// else; comments of the file stay.
func TestEditedRepSheet(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	choices := map[string][]string{
		"Set": {"short", "jump", "vertical", ""}, "Help": {"none", "double", ""}, "Battle": {"won", "lost", "stalemate"},
		"Outcome": {"sack", "hurry", "no-factor"}, "Move": {"bull", "spin>rip", "arm-over/outside", ""}, "Beat": {"1.85", ""},
		"Note": {"Bend sooner: now", "#1", ""}, "Technique": {"plus", "minus", ""}, "Point": {"Hands first # always", ""},
	}
	edited := 0
	for file, data := range gamesOfReps(t) {
		_, reps := gameOf(t, file, data)
		if len(reps) == 0 {
			continue
		}
		for range 6 {
			table := RepSheet(reps)
			i := rng.IntN(len(reps))
			heading := []string{"Set", "Help", "Battle", "Outcome", "Move", "Beat", "Note", "Technique", "Point"}[rng.IntN(9)]
			column := slices.Index(table.Heading, heading)
			value := choices[heading][rng.IntN(len(choices[heading]))]
			f := repFields[slices.IndexFunc(repFields, func(f repField) bool { return f.heading() == heading })]
			if f.result && value == "" {
				continue
			}
			row := slices.Clone(table.Rows[i])
			row[column] = textOf(value)
			table.Rows = slices.Clone(table.Rows)
			table.Rows[i] = row
			for form, s := range sheetForms(t, table) {
				change, err := Merge(t.Context(), file, data, s, nil, vocabulary(t))
				if err != nil {
					t.Fatalf("%s: %s of %s to %q: %v", file, heading, reps[i].Name(), value, err)
				}
				_, after := gameOf(t, file, change.Data)
				if len(after) != len(reps) {
					t.Fatalf("%s: %d reps of %d", file, len(after), len(reps))
				}
				for j, r := range after {
					for _, g := range repFields {
						want := g.text(reps[j])
						if j == i && g.key == f.key {
							want = value
						}
						if got := g.text(r); got != want && !(g.mark != "" && sameNumber(got, want)) {
							t.Errorf("%s %s: %s of %s to %q: %s is %q, not %q\n%v", file, form, heading, reps[i].Name(), value, g.key, got, want, change.Lines)
						}
					}
				}
				if before, now := strings.Count(string(data), "#"), strings.Count(string(change.Data), "#"); now < before {
					t.Errorf("%s: %d # of %d left: a comment is gone", file, now, before)
				}
				edited++
			}
		}
	}
	if edited < 50 {
		t.Errorf("only %d edits", edited)
	}
}

func sameNumber(a, b string) bool {
	return strings.TrimRight(a, "0") == strings.TrimRight(b, "0")
}

const withReps = `trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor Point}
film: {endzone: {file: ez.mp4}}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91, pos: DE}
  oke: {name: Ike Oke, team: us, jersey: 55, pos: DT}
  hp72: {team: Harbor Point, jersey: 72, pos: RT}
plays:
  - play: 3
    type: dropback
    reps:
      - 91 9 bull short lost # look again
      - rusher: oke
        battle: won # plainly
`

// A staff's own sheet of reps, a row a rep or columns for several rushers on a row, goes where
// it belongs.
func TestStaffRepSheets(t *testing.T) {
	tests := []struct{ name, sheet, want, refused string }{
		{
			"a row a rep",
			"Play,Rusher,Lined up,vs,Move,Result,Help,Beat,Notes\n3,91,wide 9,72,Bull,Sack,none,1.9,Bend\n3,Oke,3,,swim,,,,\n4,#55,,72,spin,no factor,,,\n4,91,,,,hurry,,,\n4,19,,,,sack,,,\n",
			strings.Replace(strings.Replace(withReps, "- 91 9 bull short lost # look again",
				"- {rusher: marlow, align: 9, blocker: {who: hp72, set: short}, help: none, move: [bull], marks: {beat: +1.900s}, battle: lost, outcome: sack, note: Bend} # look again", 1),
				"      - rusher: oke\n", "      - rusher: oke\n        align: 3\n        move: [arm-over]\n", 1) +
				"\n  - play: 4\n    reps:\n      - rusher: oke\n        blocker: {who: hp72}\n        move: [spin]\n        outcome: no-factor\n      - rusher: marlow\n        outcome: hurry\n",
			`s.csv:6:2: unknown Rusher "19"`,
		},
		{
			"columns for each rusher",
			"Play,91 move,91 result,55\n4,bull>rip,won sack,3 spin short stalemate\n5,rip,,\n",
			withReps + "\n  - play: 4\n    reps:\n      - rusher: marlow\n        move: [bull, rip]\n        battle: won\n        outcome: sack\n" +
				"      - rusher: oke\n        align: 3\n        blocker: {set: short}\n        move: [spin]\n        battle: stalemate\n\n  - play: 5\n",
			"s.csv:3:2: the rep of 91 in play 5 is left out: nothing says how it ended (battle, outcome or did)",
		},
	}
	for _, tt := range tests {
		change, err := Merge(t.Context(), "wk1.game.yaml", []byte(withReps), sheetOf(t, "s.csv", []byte(tt.sheet)), nil, vocabulary(t))
		if err != nil {
			t.Fatal(err)
		}
		got := strings.ReplaceAll(string(change.Data), "\n\n", "\n")
		if diff := cmp.Diff(strings.ReplaceAll(tt.want, "\n\n", "\n"), got); diff != "" {
			t.Errorf("%s: %s", tt.name, diff)
		}
		if said := errorText(grave(change.Faults).Err()); !strings.Contains(said, tt.refused) {
			t.Errorf("%s: refused %s", tt.name, said)
		}
		again, err := Merge(t.Context(), "wk1.game.yaml", change.Data, sheetOf(t, "s.csv", []byte(tt.sheet)), nil, vocabulary(t))
		if err != nil || !again.Empty() {
			t.Errorf("%s: again: %v %v", tt.name, again, err)
		}
	}
}

// A rep that was tagged further since it was written out is not overwritten.
func TestRepChangedSinceExport(t *testing.T) {
	_, reps := gameOf(t, "wk1.game.yaml", []byte(withReps))
	table := RepSheet(reps)
	column := slices.Index(table.Heading, "Battle")
	for i := range table.Rows {
		table.Rows[i][column] = "stalemate"
	}
	now := strings.Replace(withReps, "battle: won", "outcome: sack\n        battle: won", 1)
	change, err := Merge(t.Context(), "wk1.game.yaml", []byte(now), sheetForms(t, table)["csv"], nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"play 3, rusher 91: battle stalemate, not lost", "play 3, rusher 55: keep battle won; the sheet says stalemate"}
	for _, line := range want {
		if !slices.ContainsFunc(change.Lines, func(l string) bool { return strings.HasPrefix(l, line) }) {
			t.Errorf("no %q among %q", line, change.Lines)
		}
	}
	if !strings.Contains(string(change.Data), "# look again") || !strings.Contains(string(change.Data), "battle: won # plainly") {
		t.Errorf("comments are gone:\n%s", change.Data)
	}
}

// A new tag file takes its rushers and blockers from a sheet of reps.
func TestRepsOfANewTagFile(t *testing.T) {
	sheet := "Play,Type,Rusher,Blocker,Set,Result\n1,dropback,91,72,short,sack\n1,dropback,55 Ike Oke,72,angle,lost\n"
	s := sheetOf(t, "s.csv", []byte(sheet))
	change, err := Merge(t.Context(), "wk3.game.yaml", nil, s, nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	_, reps := gameOf(t, "wk3.game.yaml", change.Data)
	var got []string
	for _, r := range reps {
		got = append(got, fmt.Sprint(r.Rusher.ID, " ", r.Rusher.Team, " ", r.Blocker.ID, " ", r.Set, " ", r.Battle, r.Outcome))
	}
	if diff := cmp.Diff([]string{"us91 us them72 short sack", "ike-oke us them72 angle lost"}, got); diff != "" {
		t.Error(diff, string(change.Data))
	}
	if again, err := Merge(t.Context(), "wk3.game.yaml", change.Data, s, nil, vocabulary(t)); err != nil || !again.Empty() {
		t.Error(again, err)
	}
}

// Men of one number are told apart by their names in a new tag file, and a number alone is never
// taken for one of several.
func TestPeopleOfANewTagFile(t *testing.T) {
	tests := []struct{ name, people, rushers, said string }{
		{"two of one number", "#55 Ike Oke|#55 Bob Lee|#55 ike oke", "ike-oke bob-lee ike-oke", "#55 Ike Oke and #55 Bob Lee wear one number"},
		{"a number alone is open", "#55 Ike Oke|#55 Bob Lee|55", "ike-oke bob-lee -", "the sheet has #55 Ike Oke and #55 Bob Lee too, and who is meant is open"},
		{"a name after a number", "55|#55 Ike Oke|55", "us55 us55 us55", ""},
		{"another name after that", "55|#55 Ike|#55 Bob", "us55 us55 bob", "#55 Ike and #55 Bob wear one number"},
		{"a number after a name", "Ike Oke|#55 Ike Oke|55", "ike-oke ike-oke ike-oke", ""},
		{"a name alone", "#55 Ike Oke|Ike Oke", "ike-oke ike-oke", ""},
		{"two of one name", "#55 Ike Oke|#56 Ike Oke", "ike-oke -", "the sheet has #55 Ike Oke too, and who is meant is open"},
		{"a name that a number may have", "55|Ike Oke|#55 Ike Oke", "us55 ike-oke -", "the sheet has Ike Oke too, and who is meant is open"},
		{"two names of one id", "#55 J. Lee|#55 J Lee", "j-lee j-lee", ""},
		{"names without Latin letters", "#55 李|#55 王", "us55 us55-2", "#55 李 and #55 王 wear one number"},
	}
	for _, tt := range tests {
		for _, column := range []string{keyRusher, "blocker"} {
			sheet := "Play,Type,Rusher,Blocker,Result\n"
			for i, who := range strings.Split(tt.people, "|") {
				row := []string{fmt.Sprint(i + 1), "dropback", "91", "72", "sack"}
				row[map[string]int{keyRusher: 2, "blocker": 3}[column]] = who
				sheet += strings.Join(row, ",") + "\n"
			}
			s := sheetOf(t, "s.csv", []byte(sheet))
			change, err := Merge(t.Context(), "wk3.game.yaml", nil, s, nil, vocabulary(t))
			if err != nil {
				t.Fatal(err)
			}
			game, _ := gameOf(t, "wk3.game.yaml", change.Data)
			var got []string
			for _, p := range game.Plays {
				id := "-"
				for _, r := range p.Reps {
					if who := map[string]*tags.Person{keyRusher: r.Rusher, "blocker": r.Blocker}[column]; who != nil {
						id = strings.Replace(who.ID, "them", "us", 1)
					}
				}
				got = append(got, id)
			}
			said := change.Faults.Error()
			if diff := cmp.Diff(tt.rushers, strings.Join(got, " ")); diff != "" || !strings.Contains(said, tt.said) || tt.said == "" && strings.Contains(said, "number") {
				t.Errorf("%s: %s: %s: %s\n%s", tt.name, column, diff, said, change.Data)
			}
			if tt.said != "" {
				continue
			}
			again, err := Merge(t.Context(), "wk3.game.yaml", change.Data, s, nil, vocabulary(t))
			if err != nil || !again.Empty() || grave(again.Faults).Err() != nil {
				t.Errorf("%s: %s: again: %v %v", tt.name, column, err, again.Faults)
			}
		}
	}
}

// A cell that says that there is nobody makes nobody a man: without a rusher there is no rep,
// without a blocker there is one.
func TestNobodyIsNoMan(t *testing.T) {
	const people = "people:\n  us91: {team: us, jersey: 91}\n"
	for _, game := range []string{"", "trenchcut: 1\ngame: {id: wk3}\n" + people} {
		for _, nobody := range []string{"N/A", "none", "None", "-", "–", "TBD"} {
			sheet := "Play,Type,QB,Rusher,Blocker,Result\n1,dropback," + nobody + "," + nobody + ",,sack\n2,dropback,,91," + nobody + ",hit\n"
			var data []byte
			if game != "" {
				data = []byte(game)
			}
			change, err := Merge(t.Context(), "wk3.game.yaml", data, sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
			if err != nil {
				t.Fatal(err)
			}
			if faults := grave(change.Faults); len(faults) != 1 || !strings.Contains(faults.Error(), fmt.Sprintf("s.csv:2:4: unknown Rusher %q; want who rushed", nobody)) {
				t.Errorf("%s: faults are %v", nobody, faults)
			}
			_, reps := gameOf(t, "wk3.game.yaml", change.Data)
			if !strings.Contains(string(change.Data), people) || len(reps) != 1 || reps[0].Rusher.ID != "us91" || reps[0].Blocker != nil || strings.Count(string(change.Data), "jersey")+strings.Count(string(change.Data), "name") != 1 {
				t.Errorf("%s: reps of %s", nobody, change.Data)
			}
		}
	}
}

const withBlocks = `trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor Point}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91, pos: DE}
plays:
  - play: 3
    type: dropback
    reps:
      - rusher: marlow
        tells: [" heavy hand ", light]
        battle: lost
        note: |
          Bend sooner.
          Then run.
        point: >
          Hands
          first
  - play: 4
    type: dropback
    reps:
      - {rusher: marlow, battle: lost, note: "Bend", point: "  lead "}
  - play: 5
    type: dropback
    reps:
      - 91 9 bull
        short lost
`

// A text that stands on several lines of the tag file, or has blanks around it, is not changed by
// a sheet as it was written out. One that was edited is one fault, and the rest comes in.
func TestTextsOfSeveralLines(t *testing.T) {
	tests := []struct {
		name  string
		cells map[string][]string // of the first rows, by heading
		want  []string            // what the tag file has in the place of what, in turn
		fault string
	}{
		{"as written out", nil, nil, ""},
		{"another cell", map[string][]string{"Battle": {"won", "lost"}}, []string{"        battle: lost", "        battle: won"}, ""},
		{"a text of several lines", map[string][]string{"Note": {"Bend.", "Bend now"}, "Battle": {"won", "won"}}, []string{
			"        battle: lost", "        battle: won", "battle: lost, note: \"Bend\"", "battle: won, note: \"Bend now\"",
		}, "the note of 91 in play 3 stays as it is: wk1.game.yaml: line 12: the text does not stand on one line: change it by hand"},
		{"taken out", map[string][]string{"Note": {"", "Bend"}}, []string{"        note: |\n          Bend sooner.\n          Then run.\n", ""}, ""},
		{"a rep on two lines", map[string][]string{"Battle": {"won", "lost", "won"}}, []string{"        battle: lost", "        battle: won"}, "the battle of 91 in play 5 stays as it is: wk1.game.yaml: line 25: the text does not stand on one line"},
		{"a line more", map[string][]string{"Note": {"Bend sooner.\nThen run.", "Bend\nnow"}}, []string{`"Bend"`, `"Bend\nnow"`}, ""},
	}
	_, reps := gameOf(t, "wk1.game.yaml", []byte(withBlocks))
	for _, tt := range tests {
		table := RepSheet(reps)
		for heading, cells := range tt.cells {
			for i := range cells {
				table.Rows[i][slices.Index(table.Heading, heading)] = textOf(cells[i])
			}
		}
		for form, s := range sheetForms(t, table) {
			change, err := Merge(t.Context(), "wk1.game.yaml", []byte(withBlocks), s, nil, vocabulary(t))
			if err != nil {
				t.Errorf("%s: %s: %v", tt.name, form, err)
				continue
			}
			want := withBlocks
			for i := 0; i < len(tt.want); i += 2 {
				want = strings.Replace(want, tt.want[i], tt.want[i+1], 1)
			}
			if diff := cmp.Diff(want, string(change.Data)); diff != "" {
				t.Errorf("%s: %s: %s", tt.name, form, diff)
			}
			faults := grave(change.Faults)
			if tt.fault == "" && (faults.Err() != nil || tt.cells == nil && change.Lines != nil) || tt.fault != "" && (len(faults) != 1 || !strings.Contains(faults.Error(), tt.fault)) {
				t.Errorf("%s: %s: faults are %v; %v", tt.name, form, faults, change.Lines)
			}
		}
	}
}

// Where the sheet of a new tag file says whom the game is against, the people who are not ours are
// theirs: of two opponents' sheets, they are two men of one number.
func TestOpponentOfANewTagFile(t *testing.T) {
	tests := []struct{ name, rows, want string }{
		{"every row", "Harbor,1,dropback,7,91,72,won\nHarbor,2,dropback,7,55,72,lost\n", `game: {id: wk3, opponent: Harbor}
people:
  qb7: {team: Harbor, jersey: 7, pos: QB}
  us91: {team: us, jersey: 91}
  them72: {team: Harbor, jersey: 72}
  us55: {team: us, jersey: 55}
`},
		{"a name to quote", "Harbor: State,1,dropback,,91,72,won\n", `game: {id: wk3, opponent: 'Harbor: State'}
people:
  us91: {team: us, jersey: 91}
  them72: {team: 'Harbor: State', jersey: 72}
`},
		{"two of them", "Harbor,1,dropback,,91,72,won\nGranite,2,dropback,,91,72,won\n", "game: {id: wk3}\npeople:\n  us91: {team: us, jersey: 91}\n  them72: {team: them, jersey: 72}\n"},
		{"not every row", "Harbor,1,dropback,,91,72,won\n,2,dropback,,91,72,won\n", "game: {id: wk3}\npeople:\n  us91: {team: us, jersey: 91}\n  them72: {team: them, jersey: 72}\n"},
	}
	for _, tt := range tests {
		s := sheetOf(t, "s.csv", []byte("Opponent,Play,Type,QB,Rusher,Blocker,Battle\n"+tt.rows))
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, s, nil, vocabulary(t))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(change.Data), tt.want) {
			t.Errorf("%s: %s", tt.name, change.Data)
		}
		if again, err := Merge(t.Context(), "wk3.game.yaml", change.Data, s, nil, vocabulary(t)); err != nil || !again.Empty() || grave(again.Faults).Err() != nil {
			t.Errorf("%s: again: %v %v", tt.name, err, again)
		}
	}
}

// Who is not among the people of a tag file that is there is refused, with the line that makes him
// one: of theirs, in the opponent's team.
func TestPeopleToWrite(t *testing.T) {
	sheet := "Play,Rusher,Blocker,Battle\n4,91,#74 Al Roe,won\n5,#19 Bo Day,72,won\n"
	change, err := Merge(t.Context(), "wk1.game.yaml", []byte(withReps), sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	said := grave(change.Faults).Error()
	data := withReps
	for _, line := range []string{"al-roe: {name: Al Roe, team: Harbor Point, jersey: 74}", "bo-day: {name: Bo Day, team: us, jersey: 19}"} {
		if !strings.Contains(said, ": write under people "+line) {
			t.Errorf("no %q in %s", line, said)
		}
		data = strings.Replace(data, "people:\n", "people:\n  "+line+"\n", 1)
	}
	change, err = Merge(t.Context(), "wk1.game.yaml", []byte(data), sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
	if err != nil || grave(change.Faults).Err() != nil || !strings.Contains(string(change.Data), "rusher: bo-day") || !strings.Contains(string(change.Data), "who: al-roe") {
		t.Errorf("%v %v\n%s", err, change.Faults, change.Data)
	}
}

// Nor does one that a corrected sheet of plays corrects.
func TestCorrectedTextOfSeveralLines(t *testing.T) {
	data := "trenchcut: 1\ngame: {id: wk1}\nplays:\n  - play: 1\n    call: |-\n      Okie\n    front: Odd\n"
	s := sources{
		sheet: sheetOf(t, "s.csv", []byte("Play,Call,Front\n1,Bear,Even\n")), vocabulary: vocabulary(t),
		ledger: Ledger{1: {"call": "Okie", "front": "Odd"}},
	}
	change, err := s.merge(t.Context(), "wk1.game.yaml", []byte(data))
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.Replace(data, "front: Odd", "front: Even", 1); string(change.Data) != want {
		t.Errorf("%s\nwant %s", change.Data, want)
	}
	if faults := grave(change.Faults); len(faults) != 1 || !strings.Contains(faults.Error(), "s.csv:2:2: the call of play 1 stays as it is: wk1.game.yaml: line 5: the text does not stand on one line") {
		t.Errorf("faults are %v", faults)
	}
}

// A tag file that names nobody takes its people from the sheet, of the side that the sheet names; of
// practice, where both sides are ours, none.
func TestPeopleOfATagFileWithout(t *testing.T) {
	sheet := "Opponent,Play,Type,QB,Rusher,Blocker,Battle\nGranite,1,dropback,7,91,72,won\nGranite,2,dropback,,#55 Ike Oke,72.0,lost\n"
	tests := []struct{ name, head, want string }{
		{"no key", "game: {id: wk3, opponent: Harbor}\n", "game: {id: wk3, opponent: Harbor}\npeople:\n  qb7: {team: Harbor, jersey: 7, pos: QB}\n  us91: {team: us, jersey: 91}\n  them72: {team: Harbor, jersey: 72}\n  ike-oke: {name: Ike Oke, team: us, jersey: 55}\nplays:\n"},
		{"no man", "people: # to come\ngame: {id: wk3}\n", "people: # to come\n  qb7: {team: Granite, jersey: 7, pos: QB}\n  us91: {team: us, jersey: 91}\n  them72: {team: Granite, jersey: 72}\n  ike-oke: {name: Ike Oke, team: us, jersey: 55}\ngame: {id: wk3}\n"},
		{"an empty one", "game: {id: wk3}\npeople: {}\n", "people: {qb7: {team: Granite, jersey: 7, pos: QB}, us91: {team: us, jersey: 91}, them72: {team: Granite, jersey: 72}, ike-oke: {name: Ike Oke, team: us, jersey: 55}}\nplays:\n"},
		{"practice", "game: {id: wk3, kind: practice}\n", ""},
	}
	for _, tt := range tests {
		s := sheetOf(t, "s.csv", []byte(sheet))
		change, err := Merge(t.Context(), "wk3.game.yaml", []byte("trenchcut: 1\n"+tt.head+"plays:\n  - play: 1 # the first\n"), s, nil, vocabulary(t))
		if err != nil {
			t.Fatal(err)
		}
		_, reps := gameOf(t, "wk3.game.yaml", change.Data)
		if tt.want == "" {
			if said := grave(change.Faults).Error(); len(reps) > 0 || strings.Contains(string(change.Data), "people") || !strings.Contains(said, "write under people them72: {team: us, jersey: 72}") {
				t.Errorf("%s: %s\n%s", tt.name, said, change.Data)
			}
			continue
		}
		if !strings.Contains(string(change.Data), tt.want) || len(reps) != 2 || grave(change.Faults).Err() != nil || !strings.Contains(string(change.Data), "# the first") {
			t.Errorf("%s: %d reps, %v\n%s", tt.name, len(reps), grave(change.Faults), change.Data)
		}
		if again, err := Merge(t.Context(), "wk3.game.yaml", change.Data, s, nil, vocabulary(t)); err != nil || !again.Empty() || grave(again.Faults).Err() != nil {
			t.Errorf("%s: again: %v %v", tt.name, err, again)
		}
	}
}

// A man whom one row calls by a part of his name is the one whom another calls by the whole, and no
// second man, where no other is called so; a position is no name, and what names two is nobody.
func TestPartsOfNames(t *testing.T) {
	tests := []struct{ name, blockers, want, said string }{
		{"a last name before and behind", "Oke|#55 Ike Oke|OKE|55", "ike-oke ike-oke ike-oke ike-oke", ""},
		{"a number with it", "#55 Oke|Ike Oke", "ike-oke ike-oke", ""},
		{"another number", "#56 Oke|#55 Ike Oke", "oke ike-oke", ""},
		{"two of one last name", "Oke|#55 Ike Oke|#56 Ola Oke|#56 Oke", "- ike-oke ola-oke ola-oke", "it may be #55 Ike Oke or #56 Ola Oke: write number and name in each row"},
		{"marks on letters", "Ike Oké|Ike Oke", "ike-ok ike-ok", ""},
		{"positions", "RT|rt|LT|72", "rt rt lt them72", ""},
		{"numbers of a spreadsheet", "72.0|72", "them72 them72", ""},
		{"two men", "72/65|RT + RG|72, 65", "- - -", "want the number of one man"},
	}
	for _, tt := range tests {
		for _, head := range []string{"", "trenchcut: 1\ngame: {id: wk3}\n"} {
			sheet := "Play,Type,Rusher,Blocker,Result\n"
			for i, who := range strings.Split(tt.blockers, "|") {
				sheet += fmt.Sprintf("%d,dropback,91,%q,sack\n", i+1, who)
			}
			var data []byte
			if head != "" {
				data = []byte(head)
			}
			s := sheetOf(t, "s.csv", []byte(sheet))
			for range 2 {
				change, err := Merge(t.Context(), "wk3.game.yaml", data, s, nil, vocabulary(t))
				if err != nil {
					t.Fatal(err)
				}
				_, reps := gameOf(t, "wk3.game.yaml", change.Data)
				var got []string
				for _, r := range reps {
					id := "-"
					if r.Blocker != nil {
						id = r.Blocker.ID
					}
					got = append(got, id)
				}
				if said := change.Faults.Error(); strings.Join(got, " ") != tt.want || !strings.Contains(said, tt.said) || tt.said == "" && grave(change.Faults).Err() != nil {
					t.Errorf("%s: blockers %v, want %s: %s\n%s", tt.name, got, tt.want, said, change.Data)
				}
				if tt.said != "" {
					break
				}
				data = change.Data
			}
		}
	}
}

// In a tag file that has people, a man of a number and a name is the one of his name whose number the
// file does not have, and a man by his last name throws.
func TestKnownByName(t *testing.T) {
	data := strings.Replace(withReps, "{name: Ike Oke, team: us, jersey: 55, pos: DT}", "{name: Ike Oke, team: us}\n  reyes: {name: Sam Reyes, team: Harbor Point, jersey: 12}", 1)
	sheet := "Play,QB,Rusher,Battle\n4,Reyes,#55 Ike Oke,won\n5,#12 Reyes,#56 Teo Marlow,won\n"
	change, err := Merge(t.Context(), "wk1.game.yaml", []byte(data), sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	if got := string(change.Data); strings.Count(got, "qb: reyes") != 2 || strings.Count(got, "rusher: oke") != 2 {
		t.Errorf("%s", got)
	}
	if faults := grave(change.Faults); len(faults) != 1 || !strings.Contains(faults.Error(), `s.csv:3:3: unknown Rusher "#56 Teo Marlow"; want one of ours among the game's people, by id, number or name: write under people teo-marlow`) {
		t.Errorf("faults are %v", faults)
	}
}

// Where the first row of a play names nobody who is known, its other reps come in.
func TestFirstRepUnread(t *testing.T) {
	sheet := "Play,Down,Rusher,Battle\n4,2,19,won\n4,2,91,lost\n4,2,55,won\n5,3,91,won\n5,2,55,won\n"
	change, err := Merge(t.Context(), "wk1.game.yaml", []byte(withReps), sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	_, reps := gameOf(t, "wk1.game.yaml", change.Data)
	if faults := grave(change.Faults); len(reps) != 6 || len(faults) != 2 || !strings.Contains(faults.Error(), `unknown Rusher "19"`) || !strings.Contains(faults.Error(), `play 5 has down "2" here and "3" in row 5`) {
		t.Errorf("%d reps: %v\n%s", len(reps), faults, change.Data)
	}
}

// Where what sheets said cannot be kept, the tag file is as it was: else a corrected sheet could not
// correct what this one brought.
func TestNoLedgerNoChange(t *testing.T) {
	dir := t.TempDir()
	into, sheet := filepath.Join(dir, "wk1.game.yaml"), filepath.Join(dir, "s.csv")
	for path, text := range map[string]string{into: withReps, sheet: "Play,Down\n3,2\n"} {
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	change, err := Import{Sheet: sheet, Into: into}.Read(t.Context(), vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(ledgerFile(into), 0o777); err != nil {
		t.Fatal(err)
	}
	err = change.Write()
	if data := read(t, into); err == nil || !strings.Contains(err.Error(), ledgerFile(into)) || string(data) != withReps {
		t.Errorf("error %v; the tag file is\n%s", err, data)
	}
	if err := errors.Join(os.Remove(ledgerFile(into)), os.WriteFile(into, []byte(withReps+"\n"), 0o666)); err != nil {
		t.Fatal(err)
	}
	if err := change.Write(); !errors.Is(err, files.ErrChanged) {
		t.Errorf("the tag file was changed meanwhile: error %v", err)
	}
	if _, err := os.Stat(ledgerFile(into)); err == nil {
		t.Error("what the sheet said is kept, and not in the tag file")
	}
}

// New reps that do not say what the tag file lets stand are told: nobody may have looked.
func TestAssumedOfASheet(t *testing.T) {
	data := strings.Replace(withReps, "people:", "assume: {help: none, loaf: no}\npeople:", 1)
	for sheet, want := range map[string]string{
		"Play,Rusher,Battle,Help\n4,91,won,\n5,91,won,\n": "s.csv:2:2: warning: no rep that comes in says help, and the tag file lets none stand where nothing is tagged: so it stands for 2 new reps\n",
		"Play,Rusher,Battle,Help\n4,91,won,chip-te\n":     "s.csv:2:2: warning: no rep that comes in says loaf, and the tag file lets no stand where nothing is tagged: so it stands for 1 new rep\n",
		"Play,Rusher,Outcome\n3,91,sack\n":                "",
	} {
		change, err := Merge(t.Context(), "wk1.game.yaml", []byte(data), sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
		if err != nil {
			t.Fatal(err)
		}
		if said := change.Faults.Error() + "\n"; !strings.Contains(said, want) || strings.Contains(said, "stands for") != (want != "") {
			t.Errorf("%q: it says %s", sheet, said)
		}
	}
}

// What a sheet of reps does not hold is said.
func TestNotInRepSheet(t *testing.T) {
	data := strings.Replace(withReps, "    type: dropback\n", "    type: dropback\n    marks: {release: +2.5s}\n", 1)
	data = strings.Replace(data, "battle: won # plainly", "battle: won\n        out: +4s\n        spot: {endzone: [0.5, 0.5]}", 1)
	for text, want := range map[string]string{withReps: "", data: "marks that stand on the play, of 1 play; own in and out of 1 rep; spot and drawings of 1 rep"} {
		if _, reps := gameOf(t, "wk1.game.yaml", []byte(text)); NotInRepSheet(reps) != want {
			t.Errorf("it says %q, want %q", NotInRepSheet(reps), want)
		}
	}
}

// A mark is seconds from the snap: frames and hundredths that no rush lasts are none, nor is a time on
// film where there is no film. A long one that the tag file has comes back as it is.
func TestMarksOfASheet(t *testing.T) {
	none := strings.Replace(withReps, "film: {endzone: {file: ez.mp4}}\n", "", 1)
	for cell, want := range map[string]string{"1.9": "+1.900s", "\"1,9\"": "+1.900s", "15": "+15.000s", "18": "", "57": "", "\"57,0\"": "", "20s": "+20.000s", "0:02.4": "0:00:02.400"} {
		for _, data := range []string{withReps, none} {
			change, err := Merge(t.Context(), "wk1.game.yaml", []byte(data), sheetOf(t, "s.csv", []byte("Play,Rusher,Battle,Beat\n4,91,won,"+cell+"\n")), nil, vocabulary(t))
			if err != nil {
				t.Fatal(err)
			}
			_, reps := gameOf(t, "wk1.game.yaml", change.Data)
			got := ""
			if at, there := reps[2].Marks.At(tags.Beat); there {
				got = at.String()
			}
			if data == none && strings.Contains(want, ":") {
				want = ""
			}
			if refused := grave(change.Faults).Err() != nil; got != want || refused != (want == "") {
				t.Errorf("%s: beat is %q, want %q; %v", cell, got, want, change.Faults)
			}
		}
	}
	data := strings.Replace(withReps, "        battle: won # plainly\n", "        marks: {finish: +20s}\n        battle: won # plainly\n", 1)
	_, reps := gameOf(t, "wk1.game.yaml", []byte(data))
	for form, s := range sheetForms(t, RepSheet(reps)) {
		if change, err := Merge(t.Context(), "wk1.game.yaml", []byte(data), s, nil, vocabulary(t)); err != nil || !change.Empty() || grave(change.Faults).Err() != nil {
			t.Errorf("%s: %v %v", form, err, change)
		}
	}
}

// A blocker who is no man but "unblocked" says that.
func TestUnblockedIsNoMan(t *testing.T) {
	change, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte("Play,Rusher,Blocker,Result\n1,91,Unblocked,sack\n")), nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	if _, reps := gameOf(t, "wk3.game.yaml", change.Data); len(reps) != 1 || reps[0].Blocker != nil || reps[0].Unblocked != "yes" {
		t.Errorf("%s", change.Data)
	}
}

// What is said beside a list stays where a sheet gives it otherwise, and what the type of play says
// of a job is added once.
func TestListKeepsItsComment(t *testing.T) {
	data := strings.Replace(withReps, "        battle: won # plainly\n", "        move: [bull] # quick\n        battle: won # plainly\n", 1)
	_, reps := gameOf(t, "wk1.game.yaml", []byte(data))
	table := RepSheet(reps)
	table.Heading = append(table.Heading, "Job")
	for i := range table.Rows {
		table.Rows[i] = append(table.Rows[i], "rush")
	}
	table.Rows[1][slices.Index(table.Heading, "Move")] = "spin>rip"
	change, err := Merge(t.Context(), "wk1.game.yaml", []byte(data), sheetForms(t, table)["csv"], nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.Replace(data, "[bull]", "[spin, rip]", 1); string(change.Data) != want {
		t.Error(cmp.Diff(want, string(change.Data)))
	}
	if len(change.Lines) != 1 || change.Lines[0] != "play 3, rusher 55: move spin>rip, not bull" {
		t.Errorf("it says %q", change.Lines)
	}
}
