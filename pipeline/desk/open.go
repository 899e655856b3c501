package desk

import (
	"context"
	"os"
	"os/exec"
	"runtime"
)

// Browse opens an address in the user's browser, and reports whether there was a way to ask
// for that. Whether a window came up it cannot tell.
func Browse(ctx context.Context, address string) bool {
	var call []string
	switch runtime.GOOS {
	case "darwin":
		call = []string{"open", address}
	case "windows":
		call = []string{"rundll32", "url.dll,FileProtocolHandler", address}
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return false // nobody sits before a screen
		}
		call = []string{"xdg-open", address}
	}
	cmd := exec.CommandContext(ctx, call[0], call[1:]...)
	if cmd.Start() != nil {
		return false
	}
	go func() { _ = cmd.Wait() }()
	return true
}
