// Package files writes files whole: a reader finds what was there before or all of what was
// written, never a part. It says which files may be replaced, and reads files whose names
// the user gave.
//
// A file is written beside the place it is for and renamed there. A link is followed, so it
// stays a link and the file it leads to is replaced. What is not a plain file, and what is
// read-only, is refused. A file that is replaced keeps its mode, and as far as the system
// allows it its owner and its extended attributes; other hard links to it keep what it held
// before. A new file's mode follows the umask.
package files

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"unicode/utf8"
)

// ErrChanged says that a file is no longer what it was when it was read.
var ErrChanged = errors.New("the file was changed by someone else meanwhile: read it again")

// partMark is in the names of files that are being written.
const partMark = "part"

// Write puts data into the file at path, new or in the place of what is there. Its folder
// must exist. Once it returns, the file outlasts a loss of power.
func Write(path string, data []byte) error {
	return writing(path, func(place string) error {
		tmp, err := writeBeside(place, data)
		if err != nil {
			return err
		}
		defer os.Remove(tmp)
		return put(tmp, place)
	})
}

// WriteCache is Write for what can be made again, and is nobody else's: it does not wait for
// the disk, and only the user may read the file.
func WriteCache(path string, data []byte) error {
	tmp, err := create(path, partMark, 0o600)
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if err = errors.Join(err, tmp.Close()); err != nil {
		return err
	}
	return rename(tmp.Name(), path)
}

// Update is Write in the place of old, which was read from path. Nil for old means that
// there was no such file. It fails with [ErrChanged], and writes nothing, where the file does
// not hold old any more.
func Update(path string, old, next []byte) error {
	return writing(path, func(place string) error {
		if err := holds(place, old); err != nil {
			return err
		}
		tmp, err := writeBeside(place, next)
		if err != nil {
			return err
		}
		defer os.Remove(tmp)
		if err := holds(place, old); err != nil {
			return err
		}
		return put(tmp, place)
	})
}

// holds fails where the file at path does not hold old.
func holds(path string, old []byte) error {
	data, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && old == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return ErrChanged
	case err != nil:
		return err
	case old == nil || !bytes.Equal(data, old):
		return ErrChanged
	}
	return nil
}

// Spare creates an empty file beside the place that path leads to, for a program that writes
// it by its name and for [Replace] then. Its name is "." + mark + "-" + a number + "-" and
// the name of that place, so no two runs share one. The caller removes it where it fails.
func Spare(path, mark string) (string, error) {
	place, err := placeOf(path)
	if err != nil {
		return "", fmt.Errorf("write %s: %w", path, err)
	}
	f, err := create(place, mark, 0o666)
	if err != nil {
		return "", fmt.Errorf("write %s: %w", path, err)
	}
	return f.Name(), f.Close()
}

// Replace puts the whole file tmp, which [Spare] created, in the place that path leads to.
// Once it returns, the file outlasts a loss of power.
func Replace(tmp, path string) error {
	return writing(path, func(place string) error {
		f, err := os.OpenFile(tmp, os.O_RDWR, 0)
		if err != nil {
			return err
		}
		if err := errors.Join(f.Sync(), f.Close()); err != nil {
			return err
		}
		return put(tmp, place)
	})
}

// writing has write do its work on the place that path leads to, and names path in its error.
func writing(path string, write func(place string) error) error {
	place, err := placeOf(path)
	if err == nil {
		err = write(place)
	}
	if err == nil {
		return nil
	}
	// The name of the file beside it is no help.
	var of *fs.PathError
	var renamed *os.LinkError
	if errors.As(err, &of) {
		err = of.Err
	} else if errors.As(err, &renamed) {
		err = renamed.Err
	}
	if Full(err) {
		left := "it is not there yet"
		if _, err := os.Stat(place); err == nil {
			left = "it is as it was"
		}
		return fmt.Errorf("write %s: no room is left on its disk, and %s: free some, and do it again (%w)", path, left, err)
	}
	return fmt.Errorf("write %s: %w", path, err)
}

// placeOf is where a file for path goes, links followed. It refuses what may not be replaced
// even by force.
func placeOf(path string) (string, error) {
	if err := Takes(path); err != nil {
		return "", err
	}
	place, err := filepath.EvalSymlinks(path)
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Lstat(path); err == nil {
			return "", errors.New("it is a link to a file that does not exist")
		}
		return path, nil
	}
	if err != nil {
		return "", err
	}
	info, err := os.Stat(place)
	if err != nil {
		return "", err
	}
	if err := plain(info); err != nil {
		return "", err
	}
	f, err := os.OpenFile(place, os.O_WRONLY, 0)
	if err == nil {
		err = f.Close()
	}
	if info.Mode().Perm()&0o222 == 0 || errors.Is(err, fs.ErrPermission) { // root may write all the same
		return "", errors.New("it is read-only: make it writable or name another file")
	}
	return place, told(err)
}

// plain refuses a folder, pipe or device.
func plain(info fs.FileInfo) error {
	what := ""
	switch mode := info.Mode(); {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		what = "a folder"
	case mode&fs.ModeNamedPipe != 0:
		what = "a pipe"
	case mode&fs.ModeSocket != 0:
		what = "a socket"
	default:
		what = "a device"
	}
	return fmt.Errorf("it is %s, not a plain file", what)
}

// create creates a file beside path.
func create(path, mark string, mode fs.FileMode) (*os.File, error) {
	dir, base := filepath.Split(path)
	for len(base) > maxName {
		_, size := utf8.DecodeRuneInString(base)
		base = base[size:]
	}
	for {
		f, err := os.OpenFile(fmt.Sprintf("%s.%s-%08x-%s", dir, mark, rand.Uint32(), base), os.O_CREATE|os.O_EXCL|os.O_RDWR, mode)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// maxName bounds what the name of a file being written takes of its place's: systems take
// names of 255 bytes.
const maxName = 200

// writeBeside writes a file beside place; a file that fails leaves nothing.
func writeBeside(place string, data []byte) (name string, err error) {
	f, err := create(place, partMark, 0o666)
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}

// put renames tmp to place, after it took on what is to be kept of the file there.
func put(tmp, place string) error {
	if info, err := os.Stat(place); err == nil {
		if err := keep(tmp, place, info); err != nil {
			return err
		}
	}
	if err := rename(tmp, place); err != nil {
		return err
	}
	syncFolder(filepath.Dir(place))
	return nil
}

// syncFolder has the names in a folder reach the disk. Not every system can, and the file is
// in its place either way.
func syncFolder(folder string) {
	if f, err := os.Open(folder); err == nil {
		_ = f.Sync()
		f.Close()
	}
}
