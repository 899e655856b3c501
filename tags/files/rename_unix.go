//go:build unix

package files

import "os"

// rename puts a file in the place of another, whoever reads that.
func rename(from, to string) error { return os.Rename(from, to) }

// Free is for Windows: elsewhere a file is replaced, whoever has it open.
func Free(string) error { return nil }

// told is an error as it is: who has a file open keeps nobody from it.
func told(err error) error { return err }
