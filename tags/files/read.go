package files

import (
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Read reads a plain file of at most so many bytes. It refuses a pipe or device, which could
// keep the program waiting for whoever writes to it. Its errors are [fs.PathError].
func Read(path string, most int64) ([]byte, error) {
	info, err := os.Stat(path) // before it is opened, which of a pipe waits already
	if err != nil {
		return nil, err
	}
	if err := plain(info); err != nil {
		return nil, &fs.PathError{Op: "read", Path: path, Err: err}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > most {
		return nil, &fs.PathError{Op: "read", Path: path, Err: fmt.Errorf("it is larger than %d MB", most>>20)}
	}
	return data, nil
}
