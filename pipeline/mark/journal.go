package mark

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"trenchcut/pipeline/content"
	"trenchcut/tags/files"
)

// journalFolder is the folder beside a tag file that holds its journals: what was begun and
// is not in the file yet, and what can be undone. Searches for games pass hidden folders over.
const journalFolder = ".marking"

// record is one line of a journal. It is on the disk before the tag file is written, so that
// a run that is killed between the two can be finished.
type record struct {
	Step   step    `json:"step"`
	Change *change `json:"change,omitempty"` // of step done
	Drafts []Draft `json:"drafts,omitempty"` // what is begun after the step
	Hunk   *hunk   `json:"hunk,omitempty"`   // what the step changes of the file; nil is nothing
}

// step is what happened.
type step string

const (
	stepDone   step = "done"
	stepUndone step = "undone"
	stepRedone step = "redone"
)

// change is what was done in one go, and how it is taken back.
type change struct {
	Edits []Edit `json:"edits"`
	Undo  []Edit `json:"undo"`
	Hunk  hunk   `json:"hunk"`
	Was   []Draft
	Is    []Draft
}

// journal is the open journal of one session. Others have journals of their own.
type journal struct {
	file *os.File
	lock *content.Lock
	last int64 // where the record begins that was written last
}

// openJournal opens a journal of the tag file at path that no other session holds, and reads
// what is in it.
func openJournal(path string) (*journal, []record, error) {
	folder := filepath.Join(filepath.Dir(path), journalFolder)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, nil, fmt.Errorf("keep a journal: %w", err)
	}
	for n := 1; ; n++ {
		name := filepath.Join(folder, filepath.Base(path)+"."+strconv.Itoa(n)+".journal")
		lock, err := content.TryLock(name+".lock", true)
		if errors.Is(err, content.ErrLocked) && n < 99 {
			continue
		}
		if err != nil {
			return nil, nil, fmt.Errorf("keep a journal: %w", err)
		}
		file, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o666)
		if err != nil {
			lock.Unlock()
			return nil, nil, fmt.Errorf("keep a journal: %w", err)
		}
		j := &journal{file: file, lock: lock}
		records, err := j.read()
		if err != nil {
			j.close()
			return nil, nil, err
		}
		return j, records, nil
	}
}

// read is the whole records of the journal; what a killed run left unfinished behind them is
// cut off.
func (j *journal) read() ([]record, error) {
	data, err := io.ReadAll(j.file)
	if err != nil {
		return nil, fmt.Errorf("read the journal: %w", err)
	}
	records, good := readRecords(data)
	if err := j.file.Truncate(int64(good)); err != nil {
		return nil, fmt.Errorf("read the journal: %w", err)
	}
	_, err = j.file.Seek(0, io.SeekEnd)
	return records, err
}

// readRecords is the whole records of a journal and how many bytes they are.
func readRecords(data []byte) (records []record, good int) {
	for {
		line, _, whole := bytes.Cut(data[good:], []byte("\n"))
		var r record
		sum, body, _ := bytes.Cut(line, []byte(" "))
		if !whole || string(sum) != checksum(body) || json.Unmarshal(body, &r) != nil {
			return records, good
		}
		records = append(records, r)
		good += len(line) + 1
	}
}

func checksum(body []byte) string {
	return fmt.Sprintf("%08x", crc32.Checksum(body, crc32.MakeTable(crc32.Castagnoli)))
}

// write adds a record, which is on the disk when it returns.
func (j *journal) write(r record) error {
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	if j.last, err = j.file.Seek(0, io.SeekEnd); err != nil {
		return fmt.Errorf("write the journal: %w", err)
	}
	if _, err = fmt.Fprintf(j.file, "%s %s\n", checksum(body), body); err == nil {
		err = j.file.Sync()
	}
	switch {
	case err == nil:
		return nil
	case files.Full(err):
		err = fmt.Errorf("no room is left on the disk, and the tag file is as it was: free some, and do it again (%w)", err)
	default:
		err = fmt.Errorf("write the journal: %w", err)
	}
	return errors.Join(err, j.takeBack()) // a part of a record would hide all behind it
}

// takeBack cuts off the record that was written last, which takes no room on the disk.
func (j *journal) takeBack() error {
	return errors.Join(j.file.Truncate(j.last), j.file.Sync())
}

func (j *journal) close() {
	_ = j.file.Close()
	j.lock.Unlock()
}

// lockGame holds the tag file at path against other sessions of this program while it is read
// and written.
func lockGame(path string) (*content.Lock, error) {
	name := filepath.Join(filepath.Dir(path), journalFolder, filepath.Base(path)+".lock")
	return content.WaitLock(context.Background(), name, true)
}
