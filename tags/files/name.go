package files

import (
	"fmt"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
)

// device is what Windows takes for a device, whatever its letters' case and its suffix.
var device = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$) *(\.|:|$)`)

// onDrive begins a name in whatever folder a drive was last in: a title such as "b: third downs",
// more often than a place.
var onDrive = regexp.MustCompile(`^[A-Za-z]:($|[^/\\])`)

// Reserved reports whether Windows takes a file's name for a device.
func Reserved(name string) bool { return device.MatchString(name) }

// forbidden says what keeps a file's name from Windows; "" where nothing does.
func forbidden(name string) string {
	switch i := strings.IndexFunc(name, func(r rune) bool { return r < ' ' || strings.ContainsRune(`<>:"|?*`, r) }); {
	case i >= 0:
		return fmt.Sprintf("Windows takes no %q in a file's name", name[i])
	case Reserved(name):
		return fmt.Sprintf("Windows takes %q for a device", name)
	case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " "):
		return "Windows takes no file's name that ends in a dot or a space"
	}
	return ""
}

// Takes fails where this system cannot have a file named path: Windows would write some names
// elsewhere without an error, and takes others for files that exist. Call it before looking for the
// file.
func Takes(path string) error { return takes(runtime.GOOS, path) }

func takes(system, path string) error {
	if system != "windows" {
		return nil
	}
	why := forbidden(filepath.Base(path))
	if onDrive.MatchString(path) {
		why = fmt.Sprintf("Windows takes %q for a drive", path[:2])
	}
	if why != "" {
		return fmt.Errorf("%s: choose another", why)
	}
	return nil
}
