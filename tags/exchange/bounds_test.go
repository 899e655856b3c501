package exchange

import (
	"archive/zip"
	"bytes"
	"context"
	"io"
	"math/rand"
	"runtime"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"trenchcut/tags"
)

// workbook is a small XLSX file, each of its parts as alter makes it.
func workbook(t *testing.T, alter func(name string, part []byte) []byte) []byte {
	t.Helper()
	game, _ := tags.ParseGame("wk1.game.yaml", []byte(before14), vocabulary(t))
	var made bytes.Buffer
	if err := playSheet(game.Plays).WriteXLSX(&made); err != nil {
		t.Fatal(err)
	}
	in, err := zip.NewReader(bytes.NewReader(made.Bytes()), int64(made.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		part, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		p, err := w.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Write(alter(f.Name, part)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// Whatever is broken in an XLSX file, it comes to rows or to a fault, never a panic.
func TestBrokenXLSX(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	faults, fine := 0, 0
	for range 300 {
		data := workbook(t, func(_ string, part []byte) []byte {
			for range r.Intn(3) {
				i := r.Intn(len(part))
				switch r.Intn(4) {
				case 0:
					part[i] = byte(r.Intn(256))
				case 1:
					part = part[:i]
				case 2:
					part = append(part[:i:i], part[min(len(part), i+r.Intn(40)):]...)
				default:
					part = append(part[:i:i], append([]byte(strings.Repeat("9", r.Intn(12))), part[i:]...)...)
				}
				if len(part) == 0 {
					return part
				}
			}
			return part
		})
		s, fs := readSheet("s.xlsx", data)
		if fs.Err() != nil {
			faults++
			continue
		}
		fine++
		_, _ = Merge(context.Background(), "wk1.game.yaml", []byte(before14), s, nil, vocabulary(t))
	}
	if faults == 0 || fine == 0 {
		t.Errorf("%d faults, %d fine: nothing was put to the test", faults, fine)
	}
}

// A small file that unpacks to a large one, or names a cell far away, is refused before much
// is made of it.
func TestHugeXLSX(t *testing.T) {
	sheet := func(body string) []byte {
		return workbook(t, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				head, _, _ := bytes.Cut(part, []byte("<sheetData>"))
				return []byte(string(head) + "<sheetData>" + body + "</sheetData></worksheet>")
			}
			return part
		})
	}
	const cell = `<c r="A1" t="inlineStr"><is><t>play</t></is></c>`
	for name, data := range map[string][]byte{
		"bomb":      sheet(strings.Repeat(" ", maxUnpacked+1)),
		"many rows": sheet(strings.Repeat(`<row><c t="inlineStr"><is><t>1</t></is></c></row>`, maxRows+1)),
		"far down":  sheet(`<row r="1">` + cell + `</row><row r="1048576"><c r="A1048576"><v>1</v></c></row>`),
		"far right": sheet(`<row r="1">` + cell + `<c r="XFD1"><v>1</v></c></row>`),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, faults := readSheet("s.xlsx", data); faults.Err() == nil {
			t.Errorf("%s: no fault", name)
		}
		runtime.ReadMemStats(&after)
		if objects, size := after.Mallocs-before.Mallocs, after.TotalAlloc-before.TotalAlloc; objects > 1_000_000 || size > 48<<20 {
			t.Errorf("%s: takes %d objects of %d bytes", name, objects, size)
		}
	}
	// A sheet formatted far below its last row is an ordinary one.
	if s, faults := readSheet("s.xlsx", sheet(`<row r="1">`+cell+`</row><row r="500000" s="1"><c r="A500000" s="1"/></row>`)); faults.Err() != nil || len(s.Rows) != 1 {
		t.Errorf("%d rows, %v", len(s.Rows), faults)
	}
}

func TestWorksheets(t *testing.T) {
	book := excelize.NewFile()
	if _, err := book.NewSheet("Plays"); err != nil {
		t.Fatal(err)
	}
	if err := book.SetCellValue("Plays", "B2", "play"); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if _, err := book.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	s := sheetOf(t, "s.xlsx", out.Bytes())
	if len(s.Rows) != 2 || len(s.Rows[1]) != 2 || s.Rows[1][1].Text != "play" {
		t.Errorf("the first worksheet that holds anything reads %v", s.Rows)
	}
}

// What a formula failed with is an error; the text of one is text.
func TestErrorCells(t *testing.T) {
	data := workbook(t, func(name string, part []byte) []byte {
		if name == "xl/worksheets/sheet1.xml" {
			head, _, _ := bytes.Cut(part, []byte("<sheetData>"))
			return []byte(string(head) + `<sheetData><row r="1"><c r="A1" t="e"><f>NA()</f><v>#N/A</v></c><c r="B1" t="inlineStr"><is><t>#N/A</t></is></c></row></sheetData></worksheet>`)
		}
		return part
	})
	cells := sheetOf(t, "s.xlsx", data).Rows[0]
	if cells[0].Wrong != "the cell holds the error #N/A" || cells[1].Wrong != "" || cells[1].Text != "#N/A" {
		t.Errorf("the cells read as %+v", cells)
	}
}
