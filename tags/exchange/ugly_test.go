package exchange

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// What a spreadsheet makes of a typed sheet is read as what was typed; see
// testdata/ugly/README.md for how the files were made.
func TestUglySheets(t *testing.T) {
	const want = `1 kickoff special-teams 1 15:00  & -35 middle
2 run defense 1 14:52 1&10 -25 left
3  defense 1 14:20 2&7 -28 right
4 screen defense 1 13:40 3&3 -32 middle
5 punt defense 1 13:34 4&3 -32 middle
6 run defense 1 0:52 1&10 45 middle
7 play-action defense 1 0:10 2& 43 left
8 dropback defense 2 10:00 3&14 49 right
9  defense 2 0:07 1&4 4 right
`
	const refused = `unknown R/P "P", here and in one row more
unknown Dst "8+"
unknown # "HALF"
`
	v := vocabulary(t)
	for file, spoilt := range map[string]bool{"typed.csv": false, "typed.xlsx": true, "typed-ods.csv": true} {
		data := read(t, filepath.Join("testdata", "ugly", file))
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, file, data), nil, v)
		if err != nil {
			t.Fatal(err)
		}
		game, faults := tags.ParseGame("wk3.game.yaml", change.Data, v)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		var got, not strings.Builder
		number := func(n *int) string {
			if n == nil {
				return ""
			}
			return fmt.Sprint(*n)
		}
		for _, p := range game.Plays {
			fmt.Fprintf(&got, "%d %s %s %s %s %s&%s %s %s\n", p.Number, p.Type, p.Unit, number(p.Quarter), p.Clock, number(p.Down), number(p.Distance), p.YardLine, p.Hash)
		}
		for _, f := range grave(change.Faults) {
			fmt.Fprintln(&not, f.What)
		}
		wantPlays, wantRefused := want, refused
		if spoilt { // the spreadsheet itself took 8+ for 8
			wantPlays = strings.Replace(want, "2& 43", "2&8 43", 1)
			wantRefused = strings.Replace(refused, "unknown Dst \"8+\"\n", "", 1)
		}
		wantPlays = strings.Replace(wantPlays, "15:00  &", "15:00 &", 1)
		if diff := cmp.Diff(wantPlays, got.String()); diff != "" {
			t.Errorf("%s: %s", file, diff)
		}
		if diff := cmp.Diff(wantRefused, not.String()); diff != "" {
			t.Errorf("%s: %s", file, diff)
		}
	}
}

// Clocks that say ten minutes or ten seconds are told apart by those around them.
func TestClocksByTheirNeighbours(t *testing.T) {
	tests := []struct{ name, clocks, want string }{
		{"hours that are minutes", "11:32:00,0:10:00", "11:32 0:10"},
		{"minutes behind a nought", "0:11:32,0:10:00,0:09:10", "11:32 10:00 9:10"},
		{"against the others' spelling, by the order", "12:00:00,0:11:00,10:30:00", "12:00 11:00 10:30"},
		{"seconds at the end of the quarter", "0:45:00,0:10:00", "0:45 0:10"},
		{"nothing tells", "0:10:00", "?"},
		{"nothing tells, amid plain clocks", "14:00,0:10:00", "14:00 ?"},
		{"past midnight", "12:10:00 AM", "?"},
		{"past midnight, after noon", "02:20:00 PM,12:10:00 AM", "14:20 0:10"},
	}
	v := vocabulary(t)
	for _, tt := range tests {
		sheet := "Play,Qtr,Clock\n"
		clocks := strings.Split(tt.clocks, ",")
		for i, c := range clocks {
			sheet += fmt.Sprintf("%d,1,%s\n", i+1, c)
		}
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, v)
		if err != nil {
			t.Fatal(err)
		}
		game, _ := tags.ParseGame("wk3.game.yaml", change.Data, v)
		var got []string
		for _, p := range game.Plays {
			if p.Clock == "" && grave(change.Faults).Err() != nil {
				got = append(got, "?")
			} else {
				got = append(got, p.Clock)
			}
		}
		if diff := cmp.Diff(strings.Fields(tt.want), got); diff != "" {
			t.Errorf("%s: %s", tt.name, diff)
		}
	}
}

// A column whose heading says little is known by its cells, or kept; none is dropped.
func TestColumnsByTheirCells(t *testing.T) {
	tests := []struct{ heading, cells, want string }{
		{"D&D", "1&10 2&7 3rd&7 1&G", "down-and-distance"},
		{"situation", "1&10 2-7 3&7", "down-and-distance"},
		{"D", "1 2 3 1 4", "down"},
		{"D", "10 7 3 10 12", "distance"},
		{"X", "1 2 3 1 4", "X"}, // nothing says that these are downs
		{"when", "14:52 14:20 13:40 13:34 9:05", "clock"},
		{"when", "9:05 14:20 13:40 15:00 14:05", "when"},
		{"where", "own25 opp40 own30", "yard-line"},
		{"spot", "-25 -28 45", "yard-line"},
		{"gain", "-25 -28 45", "gain"},
		{"u", "D O K D", "unit"},
		{"what", "R P P R", "type"},
		{"kind", "Run Pass Run Punt", "type"},
		{"x", "run screen dropback punt", "type"},
		{"H", "L M R", "hash"},
		{"dir", "L R L R", "dir"},
	}
	v := vocabulary(t)
	for _, tt := range tests {
		sheet := "Play," + tt.heading + "\n"
		for i, c := range strings.Fields(tt.cells) {
			sheet += fmt.Sprintf("%d,%s\n", i+1, c)
		}
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, v)
		if err != nil {
			t.Fatal(err)
		}
		c := change.Understood.Columns[1]
		if c.Field != tt.want {
			t.Errorf("%s of %s is taken for %s", tt.heading, tt.cells, c.Field)
		}
		if c.Cells != len(strings.Fields(tt.cells)) {
			t.Errorf("%s: %d cells", tt.heading, c.Cells)
		}
	}
}

// The columns file that was found means the same when it is read back.
func TestColumnFile(t *testing.T) {
	v := vocabulary(t)
	data := read(t, "testdata/ugly/typed.csv")
	first, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "typed.csv", data), nil, v)
	if err != nil {
		t.Fatal(err)
	}
	file, err := first.Understood.ColumnFile()
	if err != nil {
		t.Fatal(err)
	}
	mapping, err := ParseColumns("columns.yaml", file)
	if err != nil {
		t.Fatal(err, string(file))
	}
	again, err := Merge(t.Context(), "wk3.game.yaml", nil, sheetOf(t, "typed.csv", data), mapping, v)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(first.Data), string(again.Data)); diff != "" {
		t.Error(diff)
	}
	if !strings.Contains(string(file), "D: down # a guess\n") || !strings.Contains(string(file), "#     P: … # 2 cells\n") {
		t.Errorf("the file says\n%s", file)
	}
}

// A sheet without play numbers numbers its plays by their rows, and can be brought in again.
func TestNumberedByRow(t *testing.T) {
	v := vocabulary(t)
	s := sheetOf(t, "s.csv", []byte("Qtr,Dn,Dist,Type\n1,1,10,run\n\n1,2,8,screen\n"))
	change, err := Merge(t.Context(), "wk3.game.yaml", nil, s, nil, v)
	if err != nil || change.Added != 2 || !change.Understood.ByRow {
		t.Fatal(change, err)
	}
	again, err := Merge(t.Context(), "wk3.game.yaml", change.Data, s, nil, v)
	if err != nil || !again.Empty() || again.Differs > 0 {
		t.Fatal(again, err)
	}
	if _, err := Merge(t.Context(), "wk1.game.yaml", []byte(before14), s, nil, v); err == nil || !strings.Contains(err.Error(), "no column holds play numbers") {
		t.Errorf("into a tag file with numbers of its own: %v", err)
	}
}
