package files

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
)

// ErrSeal says that a record is damaged: it does not end in the checksum of what is before
// the checksum.
var ErrSeal = errors.New("its checksum does not hold")

// A seal is the last sealSize bytes of a record: a box of ISO/IEC 14496-12 of type "free",
// which readers of movies skip, so that a movie can be sealed as any other record can. The
// box holds the name of the checksum and the checksum, CRC-32C, of everything before the box.
const (
	sealHead = "\x00\x00\x00\x10free" + "c32c"
	sealSize = len(sealHead) + 4
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func seal(sum uint32) []byte { return binary.BigEndian.AppendUint32([]byte(sealHead), sum) }

// Seal returns data with its checksum behind it.
func Seal(data []byte) []byte {
	sum := crc32.Checksum(data, castagnoli)
	return append(data[:len(data):len(data)], seal(sum)...)
}

// Unseal returns what was sealed. It fails with [ErrSeal] where that is damaged.
func Unseal(record []byte) ([]byte, error) {
	n := len(record) - sealSize
	if n < 0 || string(record[n:]) != string(seal(crc32.Checksum(record[:n], castagnoli))) {
		return nil, ErrSeal
	}
	return record[:n:n], nil
}

// WriteSealed is [WriteCache] of data with its checksum.
func WriteSealed(path string, data []byte) error { return WriteCache(path, Seal(data)) }

// ReadSealed reads a record of at most so many bytes that [WriteSealed] wrote. It fails with
// [ErrSeal] where the record is damaged.
func ReadSealed(path string, most int64) ([]byte, error) {
	record, err := Read(path, most)
	if err != nil {
		return nil, err
	}
	data, err := Unseal(record)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	return data, nil
}

// SealFile appends the checksum of the file at path to the file.
func SealFile(path string) (err error) {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("seal: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	sum := crc32.New(castagnoli)
	if _, err := io.CopyBuffer(onlyWriter{sum}, onlyReader{f}, make([]byte, sealBuffer)); err != nil {
		return fmt.Errorf("seal %s: %w", path, err)
	}
	if _, err := f.Write(seal(sum.Sum32())); err != nil {
		return fmt.Errorf("seal %s: %w", path, err)
	}
	return nil
}

// CheckSeal reads the whole file at path. It fails with [ErrSeal] where the file is not as it
// was when [SealFile] sealed it.
func CheckSeal(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("check the seal: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return fmt.Errorf("check the seal: %w", err)
	}
	size := info.Size() - int64(sealSize)
	if size < 0 {
		return fmt.Errorf("%s: %w", path, ErrSeal)
	}
	sum := crc32.New(castagnoli)
	if _, err := io.CopyBuffer(onlyWriter{sum}, io.LimitReader(f, size), make([]byte, sealBuffer)); err != nil {
		return fmt.Errorf("check the seal of %s: %w", path, err)
	}
	var end [sealSize]byte
	if _, err := f.ReadAt(end[:], size); err != nil {
		return fmt.Errorf("check the seal of %s: %w", path, err)
	}
	if string(end[:]) != string(seal(sum.Sum32())) {
		return fmt.Errorf("%s: %w", path, ErrSeal)
	}
	return nil
}

// sealBuffer is how much is read at once: small enough to stay in the processor's cache
// between reading and summing.
const sealBuffer = 256 << 10

// io.CopyBuffer uses its buffer only where neither side has a way of its own to copy.
type (
	onlyReader struct{ io.Reader }
	onlyWriter struct{ io.Writer }
)
