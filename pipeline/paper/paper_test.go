package paper

import (
	"slices"
	"testing"
)

// A laptop that has no more than what its system came with is found to print where that can.
func TestPlaces(t *testing.T) {
	env := map[string]string{"ProgramFiles(x86)": `C:\Program Files (x86)`}
	for system, want := range map[string]string{
		"linux":   "chromium",
		"windows": `C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe`,
		"darwin":  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
	} {
		if got := places(system, func(name string) string { return env[name] }); !slices.Contains(got, want) {
			t.Errorf("%s: %q, want %s among them", system, got, want)
		}
	}
}

func TestAddress(t *testing.T) {
	for file, want := range map[string]string{
		"/tmp/100% #1/page.html":   "file:///tmp/100%25%20%231/page.html",
		"C:/Users/Ike O/page.html": "file:///C:/Users/Ike%20O/page.html",
	} {
		if got := address(file); got != want {
			t.Errorf("%s is %s, want %s", file, got, want)
		}
	}
}
