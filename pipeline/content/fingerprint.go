// Package content tells files apart by what is in them, never by name or date.
package content

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"

	"trenchcut/tags/files"
)

// A fingerprint hashes a file's size and this many blocks of it, evenly spread, the
// first and the last among them: two films differ in nearly every block.
const (
	sampleBlocks = 24
	sampleSize   = 64 << 10
)

// Hash names a file by the whole of its content: SHA-256. It reads all of it, until ctx ends.
func Hash(ctx context.Context, path string) (string, error) {
	f, _, err := open(path)
	if err != nil {
		return "", fmt.Errorf("hash: %w", err)
	}
	defer f.close()
	h := sha256.New()
	for {
		if ctx.Err() != nil {
			return "", context.Cause(ctx)
		}
		_, err := io.CopyN(h, f, 64<<20)
		if errors.Is(err, io.EOF) {
			return hex.EncodeToString(h.Sum(nil)), nil
		}
		if err != nil {
			return "", fmt.Errorf("hash %s: %w", files.Named(path), err)
		}
	}
}

// NotHere says that no film of a fingerprint is known.
func NotHere(fingerprint string) error {
	return fmt.Errorf("no film here has the fingerprint %.12s…", fingerprint)
}

// Vouch fails where the file at path is not, or no longer, that of a fingerprint.
func Vouch(path, fingerprint string) error {
	print, err := Fingerprint(path)
	if err == nil && print != fingerprint {
		err = fmt.Errorf("film %s was changed while it was cut", files.Named(path))
	}
	return err
}

// HashOf is [Hash] of what was read already.
func HashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Fingerprint names a file by its content: SHA-256 over its size and samples of it, or
// all of it where it is small. It reads at most 1.5 MB. What is stored as several parts has
// the fingerprint of the parts put together.
func Fingerprint(path string) (string, error) {
	f, size, err := open(path)
	if err != nil {
		return "", fmt.Errorf("fingerprint: %w", err)
	}
	defer f.close()
	h := sha256.New()
	if err := binary.Write(h, binary.BigEndian, size); err != nil {
		return "", fmt.Errorf("fingerprint: %w", err)
	}
	if size <= sampleBlocks*sampleSize {
		_, err = io.Copy(h, f)
	} else {
		for i := int64(0); i < sampleBlocks && err == nil; i++ {
			at := (size - sampleSize) / (sampleBlocks - 1) * i
			if i == sampleBlocks-1 {
				at = size - sampleSize
			}
			_, err = io.Copy(h, io.NewSectionReader(f, at, sampleSize))
		}
	}
	if err != nil {
		return "", fmt.Errorf("fingerprint %s: %w", files.Named(path), err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
