package exchange

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/tags"
)

// What is told of columns stands in the staff's file, and nothing else of it changes.
func TestLayOver(t *testing.T) {
	told := map[string]string{"To Go": "distance", "TEMPO": "skip", "D: 2": "down"}
	for name, c := range map[string]struct{ data, want string }{
		"one is there, two are new": {
			"trenchcut: 1 # ours\ncolumns:\n  to go: extra # not sure\n  \"PLAY #\": play\n\nvalues:\n  type: {Pass: dropback}\n",
			"trenchcut: 1 # ours\ncolumns:\n  to go: distance # not sure\n  \"PLAY #\": play\n  \"D: 2\": down\n  TEMPO: skip\n\nvalues:\n  type: {Pass: dropback}\n",
		},
		"on one line": {"trenchcut: 1\ncolumns: {to go: extra}\n", "trenchcut: 1\ncolumns: {to go: distance, \"D: 2\": down, TEMPO: skip}\n"},
		"no columns":  {"trenchcut: 1\nvalues:\n  type: {Pass: dropback}\n", "trenchcut: 1\ncolumns:\n  \"D: 2\": down\n  TEMPO: skip\n  To Go: distance\nvalues:\n  type: {Pass: dropback}\n"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := LayOver("staff.yaml", []byte(c.data), told)
			if err != nil || string(got) != c.want {
				t.Fatalf("error %v,\n%s\nwant\n%s", err, got, c.want)
			}
			mapping, err := parseColumns("staff.yaml", got)
			if err != nil {
				t.Fatal(err)
			}
			for heading, field := range told {
				if is := mapping.targets[flatten(heading)].column.String(); is != field {
					t.Errorf("%s is %s, want %s", heading, is, field)
				}
			}
		})
	}
	if _, err := LayOver("staff.yaml", []byte("trenchcut: 1\ncolumns: {A: downn}\n"), told); err == nil {
		t.Error("a file with a fault is changed")
	}
	if _, err := LayOver("staff.yaml", []byte("trenchcut: 1\n"), map[string]string{"A": "downn"}); err == nil {
		t.Error("a field that is none is written")
	}
}

// What is told goes before the mapping, which goes before the heading, and what another column
// is told to be is free for no third.
func TestTold(t *testing.T) {
	dir := t.TempDir()
	sheet := filepath.Join(dir, "plays.csv")
	if err := os.WriteFile(sheet, []byte("No.,DN,To go,Tempo\n4,1,10,2\n5,2,8,3\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	i := Import{Sheet: sheet, Into: filepath.Join(dir, "wk1"+tags.Suffix), Told: map[string]string{"Tempo": "down"}}
	change, err := i.Read(t.Context(), vocabulary(t))
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, c := range change.Understood.Columns {
		got += c.Heading + " " + c.Value + " " + c.How.String() + "; "
	}
	if want := "No. play sure; DN extra kept as extra; To go distance sure; Tempo down as told; "; got != want {
		t.Errorf("understood %s, want %s", got, want)
	}
	if file, err := change.Understood.ColumnFile(); err != nil || !strings.Contains(string(file), "  Tempo: down\n") || !strings.Contains(string(file), "  DN: extra\n") {
		t.Errorf("the file for it is %v\n%s", err, file)
	}
	i.Told = map[string]string{"Tempo": "extra", "DN": "skip"} // also what has no field of its own
	if change, err = i.Read(t.Context(), vocabulary(t)); err != nil {
		t.Fatal(err)
	}
	if file, err := change.Understood.ColumnFile(); err != nil || !strings.Contains(string(file), "  Tempo: extra\n") || !strings.Contains(string(file), "  DN: skip\n") {
		t.Errorf("the file for it is %v\n%s", err, file)
	}
	i.Told = map[string]string{"Tempo": "tempo"}
	if _, err := i.Read(t.Context(), vocabulary(t)); err == nil {
		t.Error("a column is told to be what there is not")
	}
}
