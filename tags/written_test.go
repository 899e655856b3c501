package tags

import (
	"math/rand"
	"testing"
)

func TestInstantString(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"0:08:02.100", "0:08:02.100"},
		{"12.4s", "0:00:12.400"},
		{"+1.3s", "+1.300s"},
		{"-0.25s", "-0.250s"},
		{"f1234", "f1234"},
		{"+f12", "+f12"},
		{"19:26:48:04", "19:26:48:04"},
		{"19:26:48;04", "19:26:48;04"},
		{"10:00:00.123456789", "10:00:00.123456789"},
	} {
		at, err := ParseInstant(tt.text)
		if err != nil {
			t.Fatal(err)
		}
		if got := at.String(); got != tt.want {
			t.Errorf("%s is written %s, want %s", tt.text, got, tt.want)
		}
	}
	r := rand.New(rand.NewSource(1))
	for range 100_000 {
		at := Instant{N: r.Int63n(4 * 24 * 3600 * int64(Second)), From: Origin(r.Intn(2))}
		back, err := ParseInstant(at.String())
		if err != nil || !back.Same(at) {
			t.Fatalf("%+v is written %s, which reads %+v (%v)", at, at, back, err)
		}
	}
}
