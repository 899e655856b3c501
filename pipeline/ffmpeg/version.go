package ffmpeg

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"
)

// Oldest is the oldest release of ffmpeg that serves: options that every run is given came
// with it.
const Oldest = "4.4"

// oldestUtil is the version of libavutil that Oldest came with (doc/APIchanges of ffmpeg, from
// memory). Builds that stand between releases are told by it.
var oldestUtil = [2]int{56, 70}

// ErrOld says that ffmpeg is older than Oldest.
var ErrOld = errors.New("ffmpeg is too old")

// ErrMissing says that ffmpeg or ffprobe is not on the PATH.
var ErrMissing = errors.New("ffmpeg is not installed")

// NameOf is "ffmpeg version 5.1.9", of what [Tool.Version] returns.
func NameOf(version string) string {
	line, _, _ := strings.Cut(version, "\n")
	line, _, _ = strings.Cut(line, " Copyright")
	return strings.TrimSpace(line)
}

// Version is what ffmpeg prints of itself and of what it was built with: the toolchain
// part of every segment's key. It fails with ErrOld where ffmpeg is too old to serve.
func (t Tool) Version(ctx context.Context) (string, error) {
	out, err := t.text(ctx, t.FFmpeg, "-version")
	said := strings.TrimSpace(string(out))
	if err != nil {
		return said, fmt.Errorf("ask ffmpeg its version: %w", err)
	}
	if olderThan(said, oldestUtil) {
		return said, fmt.Errorf("%w (%s): %s or newer is needed; %s", ErrOld, t.FFmpeg, Oldest, advice(runtime.GOOS))
	}
	return said, nil
}

var utilLine = regexp.MustCompile(`(?m)^libavutil +\d+\. *\d+\. *\d+ +/ +(\d+)\. *(\d+)\.`)

// olderThan reports whether what ffmpeg says of itself is of one with an older libavutil. What
// does not say is taken for new.
func olderThan(said string, util [2]int) bool {
	m := utilLine.FindStringSubmatch(said)
	if m == nil {
		return false
	}
	major, errMajor := strconv.Atoi(m[1])
	minor, errMinor := strconv.Atoi(m[2])
	if errMajor != nil || errMinor != nil {
		return false
	}
	return major < util[0] || major == util[0] && minor < util[1]
}

// modeUtil is the version of libavutil that ffmpeg 5.1 came with. It calls fps_mode what was
// vsync before, which ffmpeg 9 does not know any more.
var modeUtil = [2]int{57, 28}

// modes keeps, by the path of an ffmpeg, what it calls the mode of an output's frame rate.
var modes sync.Map

// RateMode is the options that set the mode of an output's frame rate, such as passthrough: each
// picture as it is, none twice and none left out.
func (t Tool) RateMode(ctx context.Context, mode string) ([]string, error) {
	option, known := modes.Load(t.FFmpeg)
	if !known {
		said, err := t.Version(ctx)
		if err != nil {
			return nil, err
		}
		option = "-fps_mode"
		if olderThan(said, modeUtil) {
			option = "-vsync"
		}
		modes.Store(t.FFmpeg, option)
	}
	return []string{option.(string), mode}, nil
}

// advice says how ffmpeg is got on a system, by its name in Go.
func advice(system string) string {
	switch system {
	case "windows":
		return "get it by: winget install ffmpeg"
	case "darwin":
		return "get it by: brew install ffmpeg"
	default:
		return "on Debian 12, Ubuntu 22.04 and newer get it by: apt-get install ffmpeg"
	}
}
