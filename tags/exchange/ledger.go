package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Ledger is what sheets brought into the plays of a tag file, by play and key. What the tag file
// still has as it stands here, nobody has touched since: a corrected sheet may correct it.
type Ledger map[int]map[string]string

// ledgerHeading is the first row of a ledger, by which it is known.
var ledgerHeading = []string{"play", "key", "as imported"}

// ledgerSuffix ends the names of ledgers.
const ledgerSuffix = ".imported.csv"

// ledgerFile is where the ledger of a tag file lies: beside it.
func ledgerFile(tagFile string) string {
	return strings.TrimSuffix(tagFile, tags.Suffix) + ledgerSuffix
}

// readLedger reads the ledger of a tag file; an empty one where there is none. It fails where
// the file there is no ledger.
func readLedger(tagFile string) (Ledger, error) {
	file := ledgerFile(tagFile)
	l := Ledger{}
	data, err := files.Read(file, mostTags)
	if errors.Is(err, fs.ErrNotExist) {
		return l, nil
	}
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil || len(rows) == 0 || !slices.Equal(rows[0], ledgerHeading) {
		return nil, fmt.Errorf("%s is not what import keeps of a sheet: move it away", file)
	}
	for _, row := range rows[1:] {
		if play, err := strconv.Atoi(row[0]); err == nil {
			l.set(play, row[1], row[2])
		}
	}
	return l, nil
}

func (l Ledger) set(play int, key, text string) {
	if l[play] == nil {
		l[play] = map[string]string{}
	}
	l[play][key] = text
}

func (l Ledger) bytes() []byte {
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	_ = out.Write(ledgerHeading) // a buffer takes everything
	for _, play := range slices.Sorted(maps.Keys(l)) {
		for _, key := range slices.Sorted(maps.Keys(l[play])) {
			_ = out.Write([]string{strconv.Itoa(play), key, l[play][key]})
		}
	}
	out.Flush()
	return b.Bytes()
}

// Files is the file that keeps the ledger of a tag file; none where there is nothing to keep.
func (l Ledger) Files(tagFile string) []files.File {
	if len(l) == 0 {
		return nil
	}
	return []files.File{{Path: ledgerFile(tagFile), Data: l.bytes()}}
}

// note keeps what the sheet says of a play that it brings.
func (l Ledger) note(e *entry) {
	for key, v := range e.values {
		if key != "play" {
			l.set(e.number, key, v.text)
		}
	}
	for _, v := range e.extra {
		l.set(e.number, extraPrefix+v.key, v.text)
	}
}

// untouched reports whether a play still has what a sheet said, under the ledger's key.
func (l Ledger) untouched(play int, key, have string) bool {
	was, ok := l[play][key]
	return ok && was == have
}
