package ffmpeg

import "testing"

// The versions of libavutil are of real builds: a static one of 2018 between 4.1 and 4.2,
// Debian's 4.3.7, 5.1.9 and 7.1, and Ubuntu's 4.4.2, as each printed.
func TestTooOld(t *testing.T) {
	for said, want := range map[string]bool{
		"ffmpeg version N-47683-g0e8eb07980-static\nlibavutil      56. 24.101 / 56. 24.101\nlibavcodec     58. 42.100": true,
		"ffmpeg version 4.3.7-0+deb11u1\nlibavutil      56. 51.100 / 56. 51.100":                                       true,
		"ffmpeg version 4.4.2-0ubuntu0.22.04.1\nlibavutil      56. 70.100 / 56. 70.100":                                false,
		"ffmpeg version 5.1.9-0+deb12u1\nlibavutil      57. 28.100 / 57. 28.100":                                       false,
		"ffmpeg version n7.1\nlibavutil      59. 39.100 / 59. 39.100":                                                  false,
		"ffmpeg version 6.0\nlibavutil      58.  2.100 / 55.  2.100":                                                   true, // the library that runs counts
		"something else": false,
	} {
		if got := olderThan(said, oldestUtil); got != want {
			t.Errorf("%q: too old is %v, want %v", said, got, want)
		}
	}
}
