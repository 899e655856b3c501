package share

import (
	"strings"
	"testing"
)

// A track of chapters is read as text, however long it is; what is no such track is not.
func TestTextSamples(t *testing.T) {
	sample := func(text string) string {
		return string([]byte{byte(len(text) >> 8), byte(len(text))}) + text + "\x00\x00\x00\x0cencd\x00\x00\x01\x00"
	}
	long := strings.Repeat("p", 300)
	got, ok := textSamples([]byte(sample("clip 1") + sample("") + sample(long) + "\x00\x03end"))
	if want := "clip 1\n\n" + long + "\nend"; !ok || got != want {
		t.Errorf("%q, %v, want %q", got, ok, want)
	}
	for _, data := range []string{"", "plain text", "\x00\x09short", sample("clip 1") + "\xff", "\x00\x02\xff\xfe"} {
		if got, ok := textSamples([]byte(data)); ok {
			t.Errorf("%q is taken for %q", data, got)
		}
	}
}
