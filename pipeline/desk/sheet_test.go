package desk_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/internal/browser"
)

// What a column means is said by keys and by mouse, is taken back, is kept in the staff's file
// when it is asked for, and is in the tag file that is written then.
func TestColumns(t *testing.T) {
	request := untagged(t)
	sheet := "No.,Down,To go,Yard line,Hash,Look,Gap\n4,1,10,own 20,left,over,2\n5,2,8,own 22,right,under,3\n6,3,3,own 27,middle,over,1\n7,1,10,own 31,left,bear,4\n"
	if err := os.WriteFile(request.Sheet, []byte(sheet), 0o666); err != nil {
		t.Fatal(err)
	}
	s := serve(t, desk.Request{Game: request.File, Intake: request})
	b := &sitting{browser.Start(t), t}
	b.Open(s.Address(), 1366)
	b.Must("Emulation.setDeviceMetricsOverride", laptop, nil)
	b.Wait("window.board && board() && board().rows && !board().looking")
	are := func(want string) {
		t.Helper()
		b.Wait(`!board().looking && board().sheet.columns.map((c) => c.heading + " " + c.value).join(", ") === ` + strconv.Quote(want))
	}
	are("No. play, Down down, To go distance, Yard line yard-line, Hash hash, Look extra, Gap extra")
	b.click("#tab-sheet")

	b.Eval(`document.querySelector('[data-column="Look"]').focus()`, nil)
	b.press("Enter", "f", "r", "o", "n", "t", "Enter")
	are("No. play, Down down, To go distance, Yard line yard-line, Hash hash, Look front, Gap extra")
	var focused string
	if b.Eval(`document.activeElement.dataset.column ?? ""`, &focused); focused != "Look" {
		t.Errorf("after that the keys go to %q, want the column that was said", focused)
	}
	b.press("Enter", "Escape") // leaves it as it is
	are("No. play, Down down, To go distance, Yard line yard-line, Hash hash, Look front, Gap extra")

	b.click(`[data-column="Gap"]`)
	b.click(`#sheet option[value="distance"]`) // no two are one
	are("No. play, Down down, To go extra, Yard line yard-line, Hash hash, Look front, Gap distance")
	b.click("#undo")
	are("No. play, Down down, To go distance, Yard line yard-line, Hash hash, Look front, Gap extra")

	b.click("#keep")
	kept := filepath.Join(filepath.Dir(request.Sheet), "plays.columns.yaml")
	b.Wait(`document.querySelector("#said").textContent.includes("Kept in plays.columns.yaml")`)
	if text := read(t, kept); !strings.Contains(text, "  Look: front\n") || !strings.Contains(text, "  Gap: extra\n") {
		t.Errorf("the file kept is\n%s", text)
	}
	own := strings.Replace(read(t, kept), "  Look: front\n", "  Look: front # as we call it\n", 1)
	if err := os.WriteFile(kept, []byte(own), 0o666); err != nil {
		t.Fatal(err)
	}
	b.click(`[data-column="Gap"]`)
	b.click(`#sheet option[value="skip"]`)
	are("No. play, Down down, To go distance, Yard line yard-line, Hash hash, Look front, Gap skip")
	b.Picture("desk-columns.png")
	b.Eval(`document.querySelector("#said").textContent = ""`, nil)
	b.click("#keep")
	b.Wait(`document.querySelector("#said").textContent.includes("Kept in plays.columns.yaml")`)
	if text, want := read(t, kept), strings.Replace(own, "Gap: extra", "Gap: skip", 1); text != want {
		t.Errorf("kept again the file is\n%s\nwant\n%s", text, want)
	}

	b.Eval(`setTimeout(() => document.querySelector("#write").click()); 1`, nil) // the page goes
	b.Wait("window.desk && desk().view")
	if text := read(t, request.File); strings.Count(text, "front: over") != 2 || strings.Contains(text, "Gap") {
		t.Errorf("the tag file is\n%s", text)
	}
}

// A file that somebody has beside the sheet is not written over, and what no column can be is
// refused.
func TestColumnsRefused(t *testing.T) {
	request := untagged(t)
	kept := filepath.Join(filepath.Dir(request.Sheet), "plays.columns.yaml")
	if err := os.WriteFile(kept, []byte("trenchcut: 1\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	s := serve(t, desk.Request{Game: request.File, Intake: request})
	v := visit(t, s.Address())
	page := map[string]string{"Origin": v.base, "Content-Type": "application/json"}
	settled := func() string {
		t.Helper()
		for ; ; time.Sleep(20 * time.Millisecond) {
			_, board, _ := v.ask("POST", "/board", "{}", page)
			if !strings.Contains(board, `"looking":true`) {
				return board
			}
		}
	}
	settled()
	if _, said, _ := v.ask("POST", "/keep", "{}", page); !strings.Contains(said, "no column was changed") {
		t.Errorf("nothing is kept: %s", said)
	}
	v.ask("POST", "/pair", `{"pins":[],"leftOut":[],"columns":{"Hash":"extra"}}`, page)
	settled()
	if status, said, _ := v.ask("POST", "/keep", "{}", page); status != 409 || !strings.Contains(said, "plays.columns.yaml is there already") || read(t, kept) != "trenchcut: 1\n" {
		t.Errorf("status %d, %s", status, said)
	}
	v.ask("POST", "/pair", `{"pins":[],"leftOut":[],"columns":{"Hash":"hasch"}}`, page)
	if board := settled(); !strings.Contains(board, `column \"Hash\" cannot be \"hasch\"`) {
		t.Errorf("the board says %.300s", board)
	}
	v.ask("POST", "/pair", `{"pins":[],"leftOut":[],"columns":{"Hash":"down"}}`, page)
	if board := settled(); !strings.Contains(board, `plays.csv:1:`) {
		t.Errorf("the board says %.300s", board)
	}
}
