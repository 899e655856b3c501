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
unknown # "HALF", and the row is left out
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

// The sheet of plays is found among others of a workbook, under headings of two rows with merged
// cells, and read with the formats that a spreadsheet gives clocks, dates and numbers; the row
// of totals is no play.
func TestUglyBook(t *testing.T) {
	const want = `1 run 1 14:52 1&10 own 25 Over
2 dropback 1 14:20 2&7 own 28 DATE
3 screen 1 13:40 3&3 own 32 Odd
4 punt 1 FIVE 4&3 own 32 -
5 run 2 11:32 1&10 opp 45 Under
6 play-action 2 10:00 2&8 opp 43 Under
7 dropback 2 9:07 3&14 opp 49 Bear
`
	const total = "the row looks like one of totals, and is left out\n"
	v := vocabulary(t)
	warned := map[string]int{"book.xlsx": 1, "book-semicolons.csv": 2, "book-utf16.csv": 2} // downs as dates; a front that is one
	tests := []struct{ file, date, five, refused string }{
		{"book.xlsx", "-", "0:05", "unknown Front \"2026-01-10\"\n" + total},
		// In CSV five past midnight has lost that it was shown as minutes and seconds.
		{"book-semicolons.csv", "01/10/2026", "-", "unknown Time \"12:05:00 AM\"\n" + total},
		{"book-utf16.csv", "01/10/2026", "-", "unknown Time \"12:05:00 AM\"\n" + total},
	}
	for _, tt := range tests {
		s := sheetOf(t, tt.file, read(t, filepath.Join("testdata", "ugly", tt.file)))
		change, err := Merge(t.Context(), "wk3.game.yaml", nil, s, nil, v)
		if err != nil {
			t.Fatal(err)
		}
		if change.Understood.Heading != 2 || change.Understood.Rows != 7 {
			t.Errorf("%s: %d rows under the headings of row %d", tt.file, change.Understood.Rows, change.Understood.Heading)
		}
		if others := strings.Join(s.Others, ", "); strings.HasSuffix(tt.file, ".xlsx") && (s.Name != "Plays" || others != "Legend, Old week") {
			t.Errorf("read worksheet %q and not %s", s.Name, others)
		}
		game, faults := tags.ParseGame("wk3.game.yaml", change.Data, v)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		var got, not strings.Builder
		or := func(text string) string {
			if text == "" {
				return "-"
			}
			return text
		}
		for _, p := range game.Plays {
			fmt.Fprintf(&got, "%d %s %d %s %d&%d %s %s\n", p.Number, p.Type, *p.Quarter, or(p.Clock), *p.Down, *p.Distance, p.YardLine, or(p.Front))
		}
		for _, f := range grave(change.Faults) {
			fmt.Fprintln(&not, f.What)
		}
		if diff := cmp.Diff(strings.NewReplacer("DATE", tt.date, "FIVE", tt.five).Replace(want), got.String()); diff != "" {
			t.Errorf("%s: %s", tt.file, diff)
		}
		if diff := cmp.Diff(tt.refused, not.String()); diff != "" {
			t.Errorf("%s: %s", tt.file, diff)
		}
		if dates := len(change.Faults) - len(grave(change.Faults)); dates != warned[tt.file] {
			t.Errorf("%s: %d warnings, want %d: %v", tt.file, dates, warned[tt.file], change.Faults)
		}
	}
}

// Numbers with a decimal comma are numbers, and a heading over merged rows is the heading of
// both.
func TestDecimalCommas(t *testing.T) {
	s := sheetOf(t, "s.csv", []byte("\ufeffPlay;Rusher;Dn;Beat;Battle\n3,0;91;3,00;1,85;won\n;;;;\n;;;;\n"))
	change, err := Merge(t.Context(), "wk1.game.yaml", nil, s, nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	_, reps := gameOf(t, "wk1.game.yaml", change.Data)
	if len(reps) != 1 || reps[0].Play.Number != 3 || *reps[0].Play.Down != 3 || grave(change.Faults).Err() != nil {
		t.Fatalf("%v\n%s", change.Faults, change.Data)
	}
	if at, ok := reps[0].Marks.At(tags.Beat); !ok || at.String() != "+1.850s" {
		t.Errorf("beat is %v", at)
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
	mapping, err := parseColumns("columns.yaml", file)
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
