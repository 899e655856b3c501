package terminal

import (
	"os"

	"golang.org/x/sys/windows"
)

// showsColour has a console take styles, which it does when it is asked to, and reports whether
// it does.
func showsColour(f *os.File) bool {
	var mode uint32
	console := windows.Handle(f.Fd())
	return windows.GetConsoleMode(console, &mode) == nil &&
		windows.SetConsoleMode(console, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
