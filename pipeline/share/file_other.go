//go:build !unix

package share

import "os"

func openPlain(path string) (*os.File, error) { return os.Open(path) }
