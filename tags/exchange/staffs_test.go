package exchange

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/tags"
)

// Sheets as different staffs type them are read as typed, or refused or warned of with a place; see
// testdata/ugly/README.md. What comes of them changes nothing when it is brought in again, from the
// sheet or as it is written out.
func TestStaffsSheets(t *testing.T) {
	v := vocabulary(t)
	dir := filepath.Join("testdata", "ugly", "staffs")
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) < 10 {
		t.Fatal(len(entries), err)
	}
	var got strings.Builder
	for _, e := range entries {
		data := read(t, filepath.Join(dir, e.Name()))
		change, err := Merge(t.Context(), "wk2.game.yaml", nil, sheetOf(t, e.Name(), data), nil, v)
		if err != nil {
			t.Errorf("%s: %v", e.Name(), err)
			continue
		}
		fmt.Fprintf(&got, "== %s\n", e.Name())
		for _, c := range change.Understood.Columns {
			fmt.Fprintf(&got, "%s: %s, %s\n", c.Heading, c.Field, c.How)
			for _, words := range c.Words() {
				fmt.Fprintf(&got, "  %s\n", words)
			}
		}
		for _, f := range change.Faults {
			fmt.Fprintln(&got, f.Error())
		}
		got.Write(change.Data)
		again, err := Merge(t.Context(), "wk2.game.yaml", change.Data, sheetOf(t, e.Name(), data), nil, v)
		if err != nil || !again.Empty() {
			t.Errorf("%s brought in again: %v %v", e.Name(), again.Lines, err)
		}
		game, reps := gameOf(t, "wk2.game.yaml", change.Data)
		tables := []Table{playSheet(game.Plays)}
		if len(reps) > 0 {
			tables = append(tables, RepSheet(reps))
		}
		for _, table := range tables {
			var out strings.Builder
			if err := table.WriteCSV(&out); err != nil {
				t.Fatal(err)
			}
			back, err := Merge(t.Context(), "wk2.game.yaml", change.Data, sheetOf(t, "out.csv", []byte(out.String())), nil, v)
			if err != nil || !back.Empty() {
				t.Errorf("%s written out and brought in: %v %v", e.Name(), back, err)
			}
		}
	}
	golden(t, filepath.Join("testdata", "staffs.golden"), []byte(got.String()))
}

// Downs and distances that became dates are read back only where nothing else can be meant.
func TestDatesOfDowns(t *testing.T) {
	tests := []struct{ name, cells, want string }{
		{"days and months", "10-Jan 7-Feb 12-Mar", "1&10 2&7 3&12"},
		{"amid text", "10-Jan 2&7 2-G 12-Mar", "1&10 2&7 2& 3&12"},
		{"as typed", "1/10/2026 2/7/2026", "1&10 2&7"},
		{"day first where it was typed first", "01.10.2026 02.07.2026", "1&10 2&7"},
		{"a month past four", "10-Jan 3-Jul", "& &"},
		{"any could be the other way around", "2-Jan 1-Feb 4-Mar", "& & &"},
		{"typed first is first", "1/2/2026 3/4/2026", "1&2 3&4"},
		{"a distance that became a year", "10-Jan Mar-40", "& &"},
		{"another year", "1/10/2026 2/7/2026 3/1/1932", "1&10 2&7 &"},
		{"one alone", "10-Jan", "&"},
		{"amid what is neither", "10-Jan 7-Feb long", "& & &"},
	}
	v := vocabulary(t)
	for _, tt := range tests {
		sheet := "Play,D&D\n"
		cells := strings.Fields(tt.cells)
		for i, c := range cells {
			sheet += fmt.Sprintf("%d,%s\n", i+1, c)
		}
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, v)
		if err != nil {
			t.Fatal(err)
		}
		game, _ := tags.ParseGame("wk3.game.yaml", change.Data, v)
		var got []string
		number := func(n *int) string {
			if n == nil {
				return ""
			}
			return fmt.Sprint(*n)
		}
		for _, p := range game.Plays {
			got = append(got, number(p.Down)+"&"+number(p.Distance))
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s: %s is read as %s, want %s", tt.name, tt.cells, strings.Join(got, " "), tt.want)
		}
		if open := strings.Contains(tt.want+" ", "& "); open != (grave(change.Faults).Err() != nil) {
			t.Errorf("%s: faults are %v", tt.name, change.Faults)
		}
	}
}

// A down that stands in two columns must be one down.
func TestDownTwice(t *testing.T) {
	s := sheetOf(t, "s.csv", []byte("Play,Dn,Dist,D&D\n1,1,10,1&10\n2,2,7,3&7\n"))
	change, err := Merge(t.Context(), "wk3.game.yaml", nil, s, nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	if faults := grave(change.Faults); len(faults) != 1 || !strings.HasSuffix(faults.Error(), "s.csv:3:4: D&D says down 3, and another column of the row says 2: neither is taken") {
		t.Errorf("faults are %v", faults)
	}
	if !strings.Contains(string(change.Data), "- play: 2\n    distance: 7\n") {
		t.Errorf("%s", change.Data)
	}
}

// What a heading alone would say wrongly is told by the cells, or kept and warned of.
func TestHeadingsThatMislead(t *testing.T) {
	tests := []struct{ name, sheet, column, warned string }{
		{"halves are no quarters", "Play,Half\n1,1\n2,1\n3,2\n", "Half", ""},
		{"quarters under halves", "Play,Half\n1,1\n2,2\n3,3\n4,4\n", "quarter", ""},
		{"snaps are counted", "Dn,Snap #\n1,1\n", "play", ""},
		{"plays by a short name", "Dn,PLY\n1,21\n2,22\n3,23\n", "play", ""},
		{"a unit", "Play,Dist (yds)\n1,3\n", "distance", ""},
		{"an extra of dates", "Play,Set\n1,4-Mar\n2,Bear\n", "Set", `Set "4-Mar" looks like a date`},
		{"a day of the game is one", "Play,Date\n1,9/12/2026\n", "Date", ""},
		{"whose half", "Play,Spot\n1,H35\n2,V40\n3,-20\n", "yard-line", `Spot "H35" does not say how far it is to the goal, here and in one row more`},
		{"the headings again", "Play,Dn\n1,1\nPlay,Dn\n2,2\n", "down", "the row has the headings again"},
		{"another encoding", "Play,Front\n1,\xdcber\n", "front", `makes this "Über"`},
	}
	v := vocabulary(t)
	for _, tt := range tests {
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(tt.sheet)), nil, v)
		if err != nil {
			if tt.warned == "" || !strings.Contains(err.Error(), tt.warned) {
				t.Errorf("%s: %v", tt.name, err)
			}
			continue
		}
		if got := change.Understood.Columns[1].Field; got != tt.column {
			t.Errorf("%s: it is %s, want %s", tt.name, got, tt.column)
		}
		said := change.Faults.Error()
		if tt.warned != "" && !strings.Contains(said, tt.warned) {
			t.Errorf("%s: %s", tt.name, said)
		}
		if grave(change.Faults).Err() != nil || tt.warned == "" && strings.Contains(said, "looks like") {
			t.Errorf("%s: %s", tt.name, said)
		}
	}
}
