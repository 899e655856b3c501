package files

import (
	"path/filepath"
	"slices"
	"strings"
)

// filmSuffixes is what the names of film files end in.
var filmSuffixes = strings.Fields(".mp4 .m4v .mov .mkv .webm .mts .m2ts .ts .vob .mpg .mpeg .mxf .avi .3gp")

// IsFilm reports whether a file's name is one of film.
func IsFilm(path string) bool {
	return slices.Contains(filmSuffixes, strings.ToLower(filepath.Ext(path)))
}
