package reel

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// units of size, the largest first; each is a thousand of the next (ISO/IEC 80000-13).
var units = []struct {
	name  string
	bytes int64
}{{"TB", 1e12}, {"GB", 1e9}, {"MB", 1e6}, {"kB", 1e3}, {"B", 1}}

// Size is a number of bytes as people say it, such as 1.5 GB.
func Size(bytes int64) string {
	for _, u := range units {
		if bytes >= u.bytes && u.bytes > 1 {
			return fmt.Sprintf("%.1f %s", float64(bytes)/float64(u.bytes), u.name)
		}
	}
	return fmt.Sprintf("%d B", bytes)
}

var errSize = errors.New("want a size such as 500MB or 20GB")

// mostSize bounds what ParseSize takes, in bytes.
const mostSize = 1e18

// ParseSize reads a number of bytes such as 500MB, 1.5 GB or 0.
func ParseSize(text string) (int64, error) {
	number, unit := strings.TrimSpace(text), int64(1)
	for _, u := range units {
		if n := len(number) - len(u.name); n > 0 && strings.EqualFold(number[n:], u.name) {
			number, unit = strings.TrimSpace(number[:n]), u.bytes
			break
		}
	}
	f, err := strconv.ParseFloat(number, 64)
	if err != nil || !(f >= 0 && f*float64(unit) < mostSize) {
		return 0, fmt.Errorf("%q: %w", text, errSize)
	}
	return int64(f * float64(unit)), nil
}
