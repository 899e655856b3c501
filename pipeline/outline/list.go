package outline

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

// list is the plays that there are before film is looked at.
type list struct {
	old   []byte           // the tag file as it is; nil where there is none
	data  []byte           // the tag file that film is put into; nil where no plays are known
	plays []*tags.Play     // of data
	whole bool             // the whole file is outline's to write
	sheet *exchange.Change // what the sheet does to the tag file; nil without a sheet
	game  *tags.Game       // of data, where its plays are on film already; else nil
	again *again           // of game, once its film was looked through
}

// readList reads the plays of the tag file and of the sheet, as far as there are any.
func (r Request) readList(ctx context.Context) (*list, error) {
	old, err := os.ReadFile(r.File)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read the tag file: %w", err)
	}
	l := &list{old: old, whole: true}
	if old != nil && !isSealed(old) {
		game, faults := tags.ParseGame(r.File, old, r.Vocabulary)
		if err := faults.Err(); err != nil {
			return nil, err
		}
		if len(game.Plays) == 0 || len(game.Films) > 0 && !r.Again {
			return nil, wrong("%s is there and holds somebody's work: name another file", r.File)
		}
		l.data, l.plays, l.whole = old, game.Plays, false
		if len(game.Films) > 0 {
			l.game = game
		}
	}
	if r.Sheet == "" {
		return l, nil
	}
	change, err := exchange.Import{Sheet: r.Sheet, Columns: r.Columns, Told: r.Told, Into: r.File}.Merge(ctx, l.data, r.Vocabulary)
	var path *fs.PathError
	if errors.As(err, &path) {
		return nil, tags.WrongRequest(err)
	}
	if err != nil {
		return nil, err
	}
	game, faults := tags.ParseGame(r.File, change.Data, r.Vocabulary)
	switch {
	case faults.Err() != nil:
		return nil, faults.Err()
	case len(game.Films) > 0 && l.game == nil:
		return nil, wrong("%s says itself where its plays are on film: trenchcut import takes them over", r.Sheet)
	case len(game.Plays) == 0:
		return nil, wrong("%s has no plays", r.Sheet)
	}
	l.data, l.plays, l.sheet = change.Data, game.Plays, change
	if l.game != nil {
		l.game = game
	}
	return l, nil
}

// sheetFaults is what cannot be read of the sheet.
func (l *list) sheetFaults() tags.Faults {
	if l == nil || l.sheet == nil {
		return nil
	}
	return l.sheet.Faults
}

// seal begins the last line of a file that outline wrote whole: the digest of all above it.
// Where it fits, nobody has changed the file.
const seal = "# as outlined: "

func sealed(data []byte) []byte {
	return fmt.Appendf(data, "%s%x\n", seal, sha256.Sum256(data))
}

// isSealed reports whether data is as outline wrote it.
func isSealed(data []byte) bool {
	at := bytes.LastIndex(data, []byte(seal))
	return at >= 0 && bytes.Equal(sealed(bytes.Clone(data[:at])), data)
}
