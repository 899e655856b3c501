package exchange

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"trenchcut/tags"
)

var update = flag.Bool("update", false, "rewrite golden files")

func vocabulary(t testing.TB) *tags.Vocabulary {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// tagFiles is every tag file there is to try things on, of which there must be some.
func tagFiles(t testing.TB) []string {
	t.Helper()
	var all []string
	for _, pattern := range []string{"../testdata/*.game.yaml", "../../templates/demo/*.game.yaml", "testdata/*.game.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("no file matches %s: %v", pattern, err)
		}
		all = append(all, files...)
	}
	return all
}

func read(t testing.TB, file string) []byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func golden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(string(read(t, file)), string(got)); diff != "" {
		t.Errorf("%s (-update rewrites it): %s", file, diff)
	}
}

// Merge merges a sheet into a tag file into which none was merged before.
func Merge(ctx context.Context, file string, data []byte, s *Sheet, mapping *Columns, v *tags.Vocabulary) (*Change, error) {
	return sources{sheet: s, mapping: mapping, vocabulary: v, ledger: Ledger{}}.merge(ctx, file, data)
}

// sheetOf reads a sheet that has no fault.
func sheetOf(t testing.TB, file string, data []byte) *Sheet {
	t.Helper()
	s, faults := readSheet(file, data)
	if faults != nil {
		t.Fatal(faults)
	}
	return s
}

// What is written out and brought back in changes nothing, and is read as the same plays
// by a new tag file.
func TestRoundTrip(t *testing.T) {
	v := vocabulary(t)
	tried := 0
	for _, file := range tagFiles(t) {
		data := read(t, file)
		game, faults := tags.ParseGame(file, data, v)
		if faults.Err() != nil {
			continue // a fixture of faults
		}
		tried++
		table := playSheet(game.Plays)
		for _, form := range []struct {
			name  string
			write func(*bytes.Buffer) error
		}{
			{"plays.csv", func(b *bytes.Buffer) error { return table.WriteCSV(b) }},
			{"plays.xlsx", func(b *bytes.Buffer) error { return table.WriteXLSX(b) }},
		} {
			t.Run(filepath.Base(file)+" "+form.name, func(t *testing.T) {
				var out bytes.Buffer
				if err := form.write(&out); err != nil {
					t.Fatal(err)
				}
				s := sheetOf(t, form.name, out.Bytes())
				if len(s.Rows) != len(game.Plays)+1 {
					t.Fatalf("%d rows for %d plays", len(s.Rows), len(game.Plays))
				}
				change, err := Merge(context.Background(), file, data, s, nil, v)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(change.Data, data) || change.Lines != nil || change.Added+change.Filled+change.Differs > 0 {
					t.Errorf("changes something: %v", change.Lines)
				}
				bare := bareGame(t, file, data)
				change, err = Merge(context.Background(), file, bare, s, nil, v)
				if err != nil {
					t.Fatal(err)
				}
				again, faults := tags.ParseGame(file, change.Data, v)
				if faults.Err() != nil {
					t.Fatal(faults)
				}
				if diff := cmp.Diff(table, playSheet(again.Plays)); diff != "" {
					t.Errorf("plays made of the sheet differ: %s", diff)
				}
			})
		}
	}
	if tried < 4 {
		t.Errorf("only %d tag files without fault", tried)
	}
}

// bareGame is the tag file with no plays.
func bareGame(t *testing.T, file string, data []byte) []byte {
	t.Helper()
	head, _, ok := bytes.Cut(data, []byte("\nplays:"))
	if !ok {
		t.Fatalf("%s has no plays", file)
	}
	_, tail, _ := bytes.Cut(data, []byte("\nplays:"))
	lines := bytes.SplitAfter(tail, []byte("\n"))
	for len(lines) > 0 && bytes.IndexAny(lines[0], " -#\n") == 0 {
		lines = lines[1:]
	}
	return append(append(append([]byte{}, head...), "\nplays:\n"...), bytes.Join(lines, nil)...)
}

const before14 = `trenchcut: 1
game: {id: wk1, us: Cedar Hollow}
film: {endzone: {file: ez.mp4}, sideline: {file: sl.mp4}}
people:
  hp12: {team: Harbor Point, jersey: 12, pos: QB}
plays:
  # the first drive

  - play: 3   # opening play
    type: run
    down: 1
    clock: 11:38
    front: ""           # not known, and not to be filled
    extra: {Tempo: fast}
    in: 0:00:10
    out: 0:00:18
    reps: []

  - {play: 4, type: quick, hash: , angles: {endzone: {in: 0:00:20, out: 0:00:28}}}
`

func TestMerge(t *testing.T) {
	tests := []struct {
		name, sheet, want string
		lines             string
	}{
		{
			"fills what is absent where it belongs",
			"Play,Qtr,Dn,Dist,Clock,Front,Tempo,Result\n3,1,1,10,11:38,over,fast,gain of 3\n",
			strings.Replace(strings.Replace(strings.Replace(before14, "    down: 1\n", "    down: 1\n    distance: 10\n", 1),
				"    type: run\n", "    type: run\n    quarter: 1\n", 1), "{Tempo: fast}", "{Tempo: fast, Result: gain of 3}", 1),
			"play 3: add quarter 1\nplay 3: add distance 10\nplay 3: keep front empty; the sheet says over (s.csv:2:6)\nplay 3: add Result gain of 3\n",
		},
		{
			"the tag file wins",
			"play;type;down;in\n3;pass rush;2;0:00:11\n",
			before14, "play 3: keep down 1; the sheet says 2 (s.csv:2:3)\nplay 3: keep in 0:00:10.000; the sheet says 0:00:11 (s.csv:2:4)\n" +
				"s.csv:2:2: unknown type \"pass rush\"; want one of dropback, quick, play-action, screen, boot, sprint-out, rpo, draw, run, spike, kneel, punt, kickoff, field-goal, extra-point, no-play; a file for --columns can say which: values: {type: {pass rush: …}}\n",
		},
		{
			"and says so",
			"play;type;down;in\n3;Screen;2;0:00:11\n",
			before14,
			"play 3: keep type run; the sheet says screen (s.csv:2:2)\nplay 3: keep down 1; the sheet says 2 (s.csv:2:3)\nplay 3: keep in 0:00:10.000; the sheet says 0:00:11 (s.csv:2:4)\n",
		},
		{
			"into a play on one line",
			"play\thash\tdistance\tsideline in\tsideline out\tendzone snap\n4\tL\t8\t0:01:00\t0:01:08\t0:00:23.5\n",
			strings.Replace(before14, "- {play: 4, type: quick, hash: , angles: {endzone: {in: 0:00:20, out: 0:00:28}}}",
				"- {play: 4, type: quick, distance: 8, hash: left , angles: {endzone: {in: 0:00:20, out: 0:00:28, snap: 0:00:23.5}, sideline: {in: 0:01:00, out: 0:01:08}}}", 1),
			"play 4: add distance 8\nplay 4: add hash left\nplay 4: add on sideline in 0:01:00, out 0:01:08\nplay 4: add snap 0:00:23.5\n",
		},
		{
			"adds plays, a row an angle",
			"play,angle,in,out,snap,qb\n5,endzone,0:00:30,0:00:38,,#12\n5,sideline,0:02:00,0:02:08,0:02:03,\n",
			before14 + "\n  - {play: 5, qb: hp12, angles: {endzone: {in: 0:00:30, out: 0:00:38}, sideline: {in: 0:02:00, out: 0:02:08, snap: 0:02:03}}}\n",
			"add play 5: qb hp12, on endzone in 0:00:30, out 0:00:38, on sideline in 0:02:00, out 0:02:08, snap 0:02:03\n",
		},
		{
			"snap without angle is that of the first",
			"play,snap\n3,0:00:13.2\n",
			strings.Replace(before14, "    out: 0:00:18\n", "    out: 0:00:18\n    marks: {snap: 0:00:13.2}\n", 1),
			"play 3: add snap 0:00:13.2\n",
		},
		{
			"nothing to do",
			"play,down,extra: Tempo\n3,1st,fast\n",
			before14, "",
		},
	}
	v := vocabulary(t)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			change, err := Merge(context.Background(), "wk1.game.yaml", []byte(before14), sheetOf(t, "s.csv", []byte(tt.sheet)), nil, v)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, string(change.Data)); diff != "" {
				t.Error(diff)
			}
			lines := strings.Join(append(change.Lines, ""), "\n")
			if err := change.Faults.Err(); err != nil {
				lines += grave(change.Faults).Error() + "\n"
			}
			if diff := cmp.Diff(tt.lines, lines); diff != "" {
				t.Error(diff)
			}
			again, err := Merge(context.Background(), "wk1.game.yaml", change.Data, sheetOf(t, "s.csv", []byte(tt.sheet)), nil, v)
			if err != nil || again.Added+again.Filled > 0 || !bytes.Equal(again.Data, change.Data) {
				t.Errorf("brought in again it changes more: %v %v", again, err)
			}
		})
	}
}

func TestNewTagFile(t *testing.T) {
	const sheet = "No;Qtr;Clock;Dn;Dist;Yard Line;Pers;Type;Endzone file;Endzone snap;Note\n" +
		"1;1;\"15:00\";1;10;-25;11;Run;ez/001.mp4;0:00:03;\n2;1;14:31;2;6;own 29;21;Play Action;ez/002.mp4;;\"said \"\"go\"\"\nloud\"\n"
	change, err := Merge(context.Background(), "season/wk1.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "testdata/new.golden", change.Data)
	if _, err := Merge(context.Background(), "season/Week 1.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t)); err == nil {
		t.Error("a name that is no id was taken for one")
	}
}

// What play sheets write for a type of play, where it says which (common practice).
func TestWordsOfPlaySheets(t *testing.T) {
	text := "play,type,unit\n"
	want := []string{"run defense", "play-action defense", "play-action offense", "boot special-teams", "dropback offense", "quick defense", "screen defense", "kneel defense", "rpo defense"}
	for i, words := range []string{"Rush,D", "PA,Def", "Play Action Pass,Off", "Bootleg,ST", "Drop Back,O", "Quick Game,Defence", "SCREEN PASS,d", "Kneel-Down,d", "RPO,d"} {
		text += fmt.Sprintf("%d,%s\n", i+1, words)
	}
	v := vocabulary(t)
	change, err := Merge(context.Background(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(text)), nil, v)
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("wk3.game.yaml", change.Data, v)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	var got []string
	for _, p := range game.Plays {
		got = append(got, p.Type+" "+p.Unit)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// A new tag file has no people yet: passers come from the sheet, and are found again when
// it is brought in a second time.
func TestPassersOfANewTagFile(t *testing.T) {
	v := vocabulary(t)
	sheet := "play,qb\n1,12\n2,#7 Sam Reyes\n3,Ike Lund\n4,12\n5,7\n6,\n7,Sam Reyes\n"
	change, err := Merge(context.Background(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, v)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"people:\n  qb12: {team: them, jersey: 12, pos: QB}\n  sam-reyes: {name: Sam Reyes, team: them, jersey: 7, pos: QB}\n  ike-lund: {name: Ike Lund, team: them, pos: QB}\n",
		"  - play: 5\n    qb: sam-reyes\n", "  - play: 4\n    qb: qb12\n", "  - play: 7\n    qb: sam-reyes\n",
	} {
		if !strings.Contains(string(change.Data), want) {
			t.Errorf("no %q in\n%s", want, change.Data)
		}
	}
	again, err := Merge(context.Background(), "wk3.game.yaml", change.Data, sheetOf(t, "s.csv", []byte(sheet)), nil, v)
	if err != nil || len(again.Lines) > 0 {
		t.Errorf("the same sheet again: %v, %v", again, err)
	}
	for sheet, want := range map[string]string{
		"play,qb\n1,12 Sam Reyes\n2,12 Ike Lund\n": "s.csv:3:2: unknown qb \"12 Ike Lund\"; the sheet has 12 Sam Reyes too",
		"play,qb\n1,長\n":                           "want a jersey, or a name with some Latin letters",
	} {
		change, err := Merge(context.Background(), "wk3.game.yaml", nil, sheetOf(t, "s.csv", []byte(sheet)), nil, v)
		if got := refusal(change, err); !strings.Contains(got, want) {
			t.Errorf("%q: error %v, want %q", sheet, got, want)
		}
	}
}

func TestFaults(t *testing.T) {
	long := strings.Repeat("x,", maxColumns)
	tests := []struct{ name, sheet, want string }{
		{"every one at once", "play,down,clock,hash,qb,in,angle\n1,5,99:00,x,hp99,+3s,attic\nx,1,,,,,\n,2,,,,,\n3,1,,,,,,more\n3,,,,,,", `s.csv:2:2: unknown down "5"; want a whole number from 1 to 4; a file for --columns can leave it out: values: {down: {5: ''}}
s.csv:2:3: unknown clock "99:00"; want minutes and seconds of a quarter, such as 11:32
s.csv:2:4: unknown hash "x"; want one of left, middle, right; a file for --columns can say which: values: {hash: {x: …}}
s.csv:2:5: unknown qb "hp99"; want one of theirs among the game's people, by id, number or name: write under people hp99: {name: hp99, team: them, pos: QB}; or map the column to extra
s.csv:2:6: in: "+3s" counts from the snap: want a time on the film
s.csv:2:7: angle "attic" is not among the game's film; want one of endzone, sideline
s.csv:3:1: unknown play "x", and the row is left out; want a whole number from 1 to 9999
s.csv:4:1: the row gives no play number, and is left out
s.csv:5:8: the cell "more" stands under no heading
s.csv:6:1: play 3 stands twice, and this row is left out; it stands first in row 5`},
		{"one word on many rows", "play,type,down\n1,Pass,0\n2,pass,1\n3,Pass,0\n4,Pass,0\n5,scren,1", `s.csv:2:2: unknown type "Pass", here and in 3 rows more; it does not say which pass it was, such as dropback, quick or screen; a file for --columns can say which: values: {type: {Pass: …}}
s.csv:2:3: unknown down "0", here and in 2 rows more; want a whole number from 1 to 4; a file for --columns can leave it out: values: {down: {0: ''}}
s.csv:6:2: unknown type "scren"; did you mean "screen"?; a file for --columns can say which: values: {type: {scren: …}}`},
		{"no heading", "1,2\n3,4\n", "s.csv: none of the first 20 rows has the heading play; name the heading of its play numbers in a column mapping"},
		{"two columns of one", "play,dn,down\n", `s.csv:1:3: column "down" is down, and so is "dn"; say in a column mapping which it is`},
		{"quotes", "play,x\n1,\"a\nb\"\n2,a\"b\n", `s.csv:3:1: not CSV: a " stands where a cell neither begins nor ends: take it away, or save the sheet anew as CSV`},
		{"not UTF-8", "play,x\n1,\xe9\u00e9\n", "s.csv:2:1: the byte 0xe9 is not UTF-8 text: save the sheet as CSV in UTF-8"},
		{"NUL", "play,x\n1,\x00\n", "s.csv:2:1: the byte 0x00 is not UTF-8 text: save the sheet as CSV in UTF-8"},
		{"too wide", long + "\n", "s.csv:1:1: a play sheet has at most 12000 rows of 256 cells"},
		{"too long", strings.Repeat("1\n", maxRows+1), "s.csv:12001:1: a play sheet has at most 12000 rows of 256 cells"},
		{"far down", strings.Repeat("\n", 3*maxRows) + "1\n", "s.csv:36001:1: a play sheet has at most 12000 rows of 256 cells"},
		{"too large", strings.Repeat("x", MaxSheet+1), "s.csv: the sheet is larger than 8 MB"},
		{"too much", "play" + strings.Repeat(",x", 255) + strings.Repeat("\n1"+strings.Repeat(",1", 255), maxCells/256), "s.csv:1172:225: more than 300000 cells that hold something"},
		{"a cell too large", "play,x\n1," + strings.Repeat("x", maxText+1), "s.csv:2:2: the cell holds more than 32767 characters"},
		{"file of no angle", "play,file\n1,x.mp4\n", `s.csv:2:2: a file of no angle; give the sheet an angle column, or name the column "endzone file"`},
		{"another game", "game,play\nwk2,1\n", `s.csv:2:1: the row is of game "wk2", the tag file of "wk1"`},
		{"rows that differ", "play,down,angle,in\n1,2,endzone,1s\n1,3,sideline,2s\n", `s.csv:3:2: play 1 has down "3" here and "2" in row 2`},
	}
	v := vocabulary(t)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, faults := readSheet("s.csv", []byte(tt.sheet))
			err := faults.Err()
			var change *Change
			if err == nil {
				change, err = Merge(context.Background(), "wk1.game.yaml", []byte(before14), s, nil, v)
			}
			if diff := cmp.Diff(tt.want, refusal(change, err)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestColumns(t *testing.T) {
	const mapping = `trenchcut: 1
columns: {"PLAY #": play, BOX: front, EZ start: endzone in, COACH: skip, DOWN: extra, D: down}
values: {type: {Pass: dropback, "--": ""}, down: {"0": ""}}
`
	c, err := parseColumns("map.yaml", []byte(mapping))
	if err != nil {
		t.Fatal(err)
	}
	const sheet = "Play #,Box,EZ START,coach,down,d,type\n7,bear,0:00:40,me,x,0,PASS\n8,,,,y,2,--\n"
	change, err := Merge(context.Background(), "wk1.game.yaml", []byte(before14), sheetOf(t, "s.csv", []byte(sheet)), c, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	want := before14 + "\n  - {play: 7, type: dropback, front: bear, extra: {DOWN: x}, angles: {endzone: {in: 0:00:40}}}\n\n  - {play: 8, down: 2, extra: {DOWN: y}}\n"
	if diff := cmp.Diff(want, string(change.Data)); diff != "" {
		t.Error(diff)
	}

	_, err = parseColumns("map.yaml", []byte("trenchcut: 1\ncolumns: {A: dwon, B: attic nowhere}\nvalues: {tpye: {x: y}}\n"))
	wantFaults := `map.yaml:2:14: unknown column "dwon"; did you mean "down"?
map.yaml:2:23: unknown column "attic nowhere"
map.yaml:3:10: unknown column "tpye"; did you mean "type"?`
	if err == nil || err.Error() != wantFaults {
		t.Error(cmp.Diff(wantFaults, errorText(err)))
	}
	if c, err = parseColumns("map.yaml", []byte("trenchcut: 1\ncolumns: {Playy: play}\n")); err != nil {
		t.Fatal(err)
	}
	_, err = Merge(context.Background(), "wk1.game.yaml", []byte(before14), sheetOf(t, "s.csv", []byte("play,x\n1,2\n")), c, vocabulary(t))
	if want := "s.csv: none of the first 20 rows has the heading play"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want %s", err, want)
	}
}

// refusal is why a sheet cannot be read, or else which of its cells cannot.
func refusal(c *Change, err error) string {
	if err != nil || c == nil {
		return errorText(err)
	}
	return errorText(grave(c.Faults).Err())
}

// grave is the faults that are more than warnings.
func grave(faults tags.Faults) tags.Faults {
	return slices.DeleteFunc(slices.Clone(faults), func(f tags.Fault) bool { return f.Warning })
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

func TestCSVForms(t *testing.T) {
	for name, data := range map[string]string{
		"comma":             "play,x\r\n14,\"a;b\"\r\n",
		"semicolon":         "play;x\n14;\"a;b\"\n",
		"tab":               "play\tx\n14\ta;b\n",
		"byte order mark":   "\ufeffplay;x\n14;\"a;b\"\n",
		"CR alone":          "play,x\r14,a;b\r",
		"UTF-16":            "\xff\xfep\x00l\x00a\x00y\x00\t\x00x\x00\r\x00\n\x001\x004\x00\t\x00a\x00;\x00b\x00",
		"blanks":            " play , x\n 14 ,\ta;b \n",
		"quoted separators": "\"play\",\"x\"\n\"14\",\"a;b\"\n",
	} {
		s := sheetOf(t, "s.csv", []byte(data))
		want := [][]Cell{{{Text: "play"}, {Text: "x"}}, {{Text: "14"}, {Text: "a;b"}}}
		if diff := cmp.Diff(want, s.Rows); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// A spreadsheet makes dates and times of what looks like them, and shows numbers in many
// ways: what somebody typed is what must come in.
func TestXLSXCells(t *testing.T) {
	book := excelize.NewFile()
	defer func() { _ = book.Close() }()
	style := func(format string) int {
		id, err := book.NewStyle(&excelize.Style{CustomNumFmt: &format})
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	const day, minute, second = 1.0, 1.0 / (24 * 60), 1.0 / (24 * 3600)
	set := func(axis string, value any, format string) {
		if err := book.SetCellValue("Sheet1", axis, value); err != nil {
			t.Fatal(err)
		}
		if format != "" {
			if err := book.SetCellStyle("Sheet1", axis, axis, style(format)); err != nil {
				t.Fatal(err)
			}
		}
	}
	for i, heading := range []string{"PLAY", "CLOCK", "DN", "DIST", "PERS", "WHEN", "in", "out", "GAIN"} {
		axis, _ := excelize.CoordinatesToCellName(i+1, 2)
		set(axis, heading, "")
	}
	set("A1", "Opening night", "")
	set("A3", 7, "")
	set("B3", 11*60*minute+32*minute, "h:mm") // typed 11:32
	set("C3", "3", "")                        // a number stored as text
	set("D3", 8.0, "0.00")
	set("E3", 11, "")
	set("F3", 46277*day, "m/d/yy")
	set("G3", 482.1*second, "[h]:mm:ss.000")
	set("H3", 489.9*second, "[h]:mm:ss")
	set("I3", 0.25, "0%")
	set("A4", 8.0, "")
	set("B4", 11*minute+32*second, "h:mm:ss") // typed 0:11:32
	set("A5", 9, "")
	set("B5", 45*minute, "h:mm AM/PM") // typed 0:45
	set("A6", 10, "")
	set("B6", 9*60*minute+5*minute, "h:mm:ss") // typed 9:05
	set("A7", 11, "")
	set("B7", "2:09", "")
	var out bytes.Buffer
	if _, err := book.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	change, err := Merge(context.Background(), "wk1.game.yaml", []byte(before14), sheetOf(t, "s.xlsx", out.Bytes()), nil, vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	// 46277 days from 1899-12-30 are 2026-09-12: in Python, date(1899, 12, 30) + timedelta(46277).
	want := before14 + `
  - {play: 7, clock: "11:32", down: 3, distance: 8, personnel: "11", extra: {WHEN: 2026-09-12, GAIN: 25%}, in: 0:08:02.100, out: 0:08:09.900}

  - {play: 8, clock: "11:32"}

  - {play: 9, clock: "0:45"}

  - {play: 10, clock: "9:05"}

  - {play: 11, clock: "2:09"}
`
	if diff := cmp.Diff(want, string(change.Data)); diff != "" {
		t.Error(diff)
	}

	set("D8", 46277*day, "m/d") // a distance typed as 9-12
	set("A8", 12, "")
	set("C9", "#N/A", "")
	set("A9", 13, "")
	out.Reset()
	if _, err := book.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	change, err = Merge(context.Background(), "wk1.game.yaml", []byte(before14), sheetOf(t, "s.xlsx", out.Bytes()), nil, vocabulary(t))
	want = "s.xlsx:8:4: unknown DIST \"2026-09-12\"; want a whole number from 1 to 99\n" +
		`s.xlsx:9:3: unknown DN "#N/A"; want a whole number from 1 to 4; a file for --columns can leave it out: values: {down: {'#N/A': ''}}`
	if got := refusal(change, err); got != want {
		t.Error(cmp.Diff(want, got))
	}
	if !strings.Contains(string(change.Data), "- {play: 13}") {
		t.Errorf("a bad cell keeps its row out:\n%s", change.Data)
	}
}

func TestXLSXThatIsNone(t *testing.T) {
	book := excelize.NewFile()
	var empty bytes.Buffer
	if _, err := book.WriteTo(&empty); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"nothing": nil, "text": []byte("play,down\n1,2\n"), "cut short": empty.Bytes()[:empty.Len()/2], "empty": empty.Bytes()} {
		if _, faults := readSheet("s.xlsx", data); faults.Err() == nil {
			t.Errorf("%s: no fault", name)
		}
	}
}

func FuzzMerge(f *testing.F) {
	v := vocabulary(f)
	for _, file := range tagFiles(f) {
		data := read(f, file)
		game, faults := tags.ParseGame(file, data, v)
		if faults.Err() != nil {
			continue
		}
		var out bytes.Buffer
		if err := playSheet(game.Plays).WriteCSV(&out); err != nil {
			f.Fatal(err)
		}
		f.Add(out.Bytes())
	}
	f.Add([]byte("\ufeffPLAY;DN;TIME;angle;in;out;endzone snap;Q:\"x\n3;1;0:0;endzone;f1;f2;12:00:00:00;- x\n"))
	f.Add([]byte("play,extra: play,a #,b: c\n3,-,\"{\n\",'\n99,x,y,z\n"))
	f.Add([]byte("play,qb,type\n1,12,PA\n2,#7 Sam Reyes,Rush\n3,Ike Lund,boot\n4,7 ,quick\n5,sam-reyes,rpo\n6,null,screen\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, faults := readSheet("s.csv", data)
		if faults.Err() != nil {
			return
		}
		for _, old := range [][]byte{[]byte(before14), nil} {
			change, err := Merge(context.Background(), "wk1.game.yaml", old, s, nil, v)
			if err != nil {
				var faults tags.Faults
				if !errors.As(err, &faults) {
					t.Fatalf("no fault of the sheet was found, yet %v", err)
				}
				continue
			}
			if _, faults := tags.ParseGame("wk1.game.yaml", change.Data, v); faults.Err() != nil {
				t.Fatal(faults)
			}
			again, err := Merge(context.Background(), "wk1.game.yaml", change.Data, s, nil, v)
			if err == nil && old == nil { // a time of no angle may be of film that the sheet brought
				again, err = Merge(context.Background(), "wk1.game.yaml", again.Data, s, nil, v)
			}
			if err != nil {
				t.Fatal(err)
			}
			if again.Added+again.Filled > 0 {
				t.Errorf("brought in again it changes more: %v\n%s", again.Lines, change.Data)
			}
		}
	})
}

// A tag file that has but its head takes the plays of a sheet.
func TestMergeIntoHead(t *testing.T) {
	const sheet = "Play,Dn,endzone in,endzone out\n3,1,0:00:10,0:00:18\n4,2,0:00:20,0:00:28\n"
	head := "trenchcut: 1\ngame: {id: wk1}\nfilm: {endzone: {file: ez.mp4}}"
	want := head + "\n\nplays:\n  - play: 3\n    down: 1\n    angles:\n      endzone: {in: 0:00:10, out: 0:00:18}\n" +
		"  - play: 4\n    down: 2\n    angles:\n      endzone: {in: 0:00:20, out: 0:00:28}\n"
	for _, end := range []string{"", "\n", "\n\n", "\nplays:\n", "\n\nplays:\n"} {
		c, err := Merge(context.Background(), "wk1.game.yaml", []byte(head+end), sheetOf(t, "s.csv", []byte(sheet)), nil, vocabulary(t))
		if err != nil {
			t.Fatalf("%q: %v", end, err)
		}
		if got := strings.Replace(string(c.Data), "mp4}}\nplays", "mp4}}\n\nplays", 1); got != want {
			t.Errorf("%q: %s", end, cmp.Diff(want, got))
		}
	}
}

// Every word of a play, and each of its aliases, is read from a sheet, in capitals and with
// spaces too, and is written to the tag file as the word itself.
func TestEveryWordOfAPlayIsRead(t *testing.T) {
	v := vocabulary(t)
	tried := 0
	for _, f := range tags.PlayFields {
		for _, w := range v.List(f.WordList()).Words {
			for _, name := range append([]string{w.Name}, w.Also...) {
				for _, said := range []string{name, strings.ToUpper(strings.ReplaceAll(name, "-", " "))} {
					s := sheetOf(t, "s.csv", []byte("play,"+f.FileKey()+"\n1,"+said+"\n"))
					change, err := Merge(t.Context(), "x.game.yaml", []byte("trenchcut: 1\ngame: {id: x}\nplays: []\n"), s, nil, v)
					if err != nil {
						t.Errorf("%s %q: %v", f.Name, said, err)
						continue
					}
					game, faults := tags.ParseGame("x.game.yaml", change.Data, v)
					if faults.Err() != nil || len(game.Plays) != 1 || f.Text(game.Plays[0]) != w.Name {
						t.Errorf("%s %q comes in as\n%s%v", f.Name, said, change.Data, faults)
					}
					tried++
				}
			}
		}
	}
	if tried < 150 {
		t.Errorf("only %d words were tried", tried)
	}
}
