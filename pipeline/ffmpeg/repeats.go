package ffmpeg

import (
	"context"
	"regexp"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// RunSegment is Run for arguments that render a segment. It reports whether pictures may have
// been repeated on the grid of a film, because the film lacks some: in the segment, or shortly
// before or behind it.
func (t Tool) RunSegment(ctx context.Context, args []string, progress func(tags.Frame)) (repeats bool, err error) {
	all := []string{"-hide_banner", "-v", "level+verbose", "-nostats", "-progress", "pipe:1", "-stats_period", "0.25", "-y", "-nostdin"}
	l := &repeatListener{grids: gridFilters(args)}
	said := &lineWriter{each: l.hear}
	err = t.run(ctx, append(all, args...), nil, progress, said, &l.stderr)
	return l.repeats, err
}

// gridFilters is which filters of args put a film on the grid of its rate, by their places in
// the graph.
func gridFilters(args []string) map[int]bool {
	grids := map[int]bool{}
	for i, a := range args {
		if a != "-filter_complex" || i+1 == len(args) {
			continue
		}
		filters := strings.Split(args[i+1], ";")
		for n := 1; n < len(filters); n++ {
			grids[n] = gridBefore.MatchString(filters[n-1]) && gridLine.MatchString(filters[n])
		}
	}
	return grids
}

var (
	gridBefore  = regexp.MustCompile(`\]setpts=PTS-\d+\[`)
	gridLine    = regexp.MustCompile(`^\[s\d+\]fps=`)
	repeatsLine = regexp.MustCompile(`^\[Parsed_fps_(\d+) @ [^]]*\] \[verbose\] .* ([1-9]\d*) frames duplicated`)
)

// repeatListener keeps what ffmpeg complains of, as it says it where it says nothing else.
type repeatListener struct {
	grids   map[int]bool
	repeats bool
	stderr  tail
	kept    bool // the line before
}

func (l *repeatListener) hear(line string) {
	if m := repeatsLine.FindStringSubmatch(line); m != nil {
		n, _ := strconv.Atoi(m[1])
		l.repeats = l.repeats || l.grids[n]
	}
	l.kept = saidLine.MatchString(line) || l.kept && strings.Contains(line, "Last message repeated")
	if l.kept {
		_, _ = l.stderr.Write([]byte(saidLine.ReplaceAllString(line, "") + "\n"))
	}
}
