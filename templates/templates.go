// Package templates carries what a staff may change without Go: the vocabulary, the
// recipes, the look and the demo's tags.
package templates

import "embed"

// FS holds the files of this folder.
//
//go:embed *.yaml demo/*.yaml
var FS embed.FS
