package exchange

import (
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"path/filepath"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// The objects of an OpenTimelineIO file and their fields, as its documentation lists them:
// opentimelineio.readthedocs.io, "Serialized Data (Fields Only)".

type otioTimeline struct {
	Schema          string    `json:"OTIO_SCHEMA"` // Timeline.1
	Metadata        otioMeta  `json:"metadata"`
	Name            string    `json:"name"`
	GlobalStartTime *otioTime `json:"global_start_time"`
	Tracks          otioStack `json:"tracks"`
}

// otioItem is the fields that stacks, tracks and clips share.
type otioItem struct {
	Metadata    otioMeta     `json:"metadata"`
	Name        string       `json:"name"`
	SourceRange *otioRange   `json:"source_range"`
	Effects     []any        `json:"effects"`
	Markers     []otioMarker `json:"markers"`
	Enabled     bool         `json:"enabled"`
}

type otioStack struct {
	Schema string `json:"OTIO_SCHEMA"` // Stack.1
	otioItem
	Children []otioTrack `json:"children"`
}

type otioTrack struct {
	Schema string `json:"OTIO_SCHEMA"` // Track.1
	otioItem
	Children []otioClip `json:"children"`
	Kind     string     `json:"kind"`
}

type otioClip struct {
	Schema string `json:"OTIO_SCHEMA"` // Clip.2
	otioItem
	MediaReferences map[string]otioMedia `json:"media_references"`
	ActiveMedia     string               `json:"active_media_reference_key"`
}

type otioMedia struct {
	Schema         string    `json:"OTIO_SCHEMA"` // ExternalReference.1
	Metadata       otioMeta  `json:"metadata"`
	Name           string    `json:"name"`
	AvailableRange otioRange `json:"available_range"`
	ImageBounds    any       `json:"available_image_bounds"`
	TargetURL      string    `json:"target_url"`
}

type otioMarker struct {
	Schema      string    `json:"OTIO_SCHEMA"` // Marker.2
	Metadata    otioMeta  `json:"metadata"`
	Name        string    `json:"name"`
	Color       string    `json:"color"`
	Comment     string    `json:"comment"`
	MarkedRange otioRange `json:"marked_range"`
}

type otioRange struct {
	Schema    string   `json:"OTIO_SCHEMA"` // TimeRange.1
	StartTime otioTime `json:"start_time"`
	Duration  otioTime `json:"duration"`
}

type otioTime struct {
	Schema string  `json:"OTIO_SCHEMA"` // RationalTime.1
	Rate   float64 `json:"rate"`
	Value  float64 `json:"value"`
}

type otioMeta map[string]any

// mediaKey is the key that a clip's only media goes by.
const mediaKey = "DEFAULT_MEDIA"

// writeTimeline writes shots one behind the other as an OpenTimelineIO timeline of one
// track, the marks of each play and of its reps as markers. Times are frames of each film,
// counted from its start timecode; ranges are half-open. Film is named from the folder the
// timeline is to lie in, so that both can be moved together and tell nothing of the machine;
// with no folder by its whole path.
func writeTimeline(w io.Writer, name string, shots []Shot, folder string) error {
	track := otioTrack{Schema: "Track.1", otioItem: item("Video"), Kind: "Video", Children: []otioClip{}}
	for _, s := range shots {
		if len(files.Parts(s.View.File)) > 1 {
			return fmt.Errorf("a timeline cannot name film of several files, such as %s: join them first, or choose another angle", files.Base(s.View.File))
		}
		track.Children = append(track.Children, s.clip(folder))
	}
	t := otioTimeline{
		Schema: "Timeline.1", Metadata: otioMeta{}, Name: name,
		Tracks: otioStack{Schema: "Stack.1", otioItem: item("tracks"), Children: []otioTrack{track}},
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "    ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(t); err != nil {
		return fmt.Errorf("write the timeline: %w", err)
	}
	return nil
}

func item(name string) otioItem {
	return otioItem{Metadata: otioMeta{}, Name: name, Effects: []any{}, Markers: []otioMarker{}, Enabled: true}
}

func (s Shot) clip(folder string) otioClip {
	all := s.frames(tags.Span{In: 0, Out: s.Film.Frames})
	shown := s.frames(s.Span)
	c := otioClip{Schema: "Clip.2", otioItem: item(s.Play.Name()), ActiveMedia: mediaKey}
	c.SourceRange = &shown
	c.Metadata = otioMeta{"trenchcut": map[string]any{"game": s.Play.Game.ID, "play": s.Play.Number, "angle": s.View.Angle, "title": title(s.Play)}}
	c.MediaReferences = map[string]otioMedia{mediaKey: {
		Schema: "ExternalReference.1", Metadata: otioMeta{}, Name: files.Base(s.View.File),
		AvailableRange: all, TargetURL: mediaURL(s.View.File, folder),
	}}
	if !s.View.Snaps {
		return c
	}
	c.mark(s, tags.Snap, "", 0)
	for _, m := range tags.AllMarks[1:] {
		if t, ok := s.Play.Since(m); ok {
			c.mark(s, m, "", t)
		}
		for _, r := range s.Play.Reps {
			if _, own := r.Marks.At(m); !own {
				continue
			}
			if t, ok := r.Since(m); ok {
				c.mark(s, m, r.Rusher.Shown(), t)
			}
		}
	}
	return c
}

// mark adds a mark, which is so long after the snap, where the shot shows it.
func (c *otioClip) mark(s Shot, m tags.Mark, who string, after tags.Time) {
	at := s.Film.Clock.FrameAt(s.View.Snap + after)
	if at < s.Span.In || at >= s.Span.Out {
		return
	}
	colour := "GREEN"
	if m == tags.Snap {
		colour = "RED"
	}
	c.Markers = append(c.Markers, otioMarker{
		Schema: "Marker.2", Metadata: otioMeta{}, Name: strings.TrimSpace(string(m) + " " + who), Color: colour, Comment: "",
		MarkedRange: s.frames(tags.Span{In: at, Out: at}),
	})
}

// frames is a span of the film at its rate, counted from its start timecode.
func (s Shot) frames(span tags.Span) otioRange {
	rate := s.Film.Clock.Rate.FPS()
	at := func(n tags.Frame) otioTime { return otioTime{"RationalTime.1", rate, float64(n)} }
	return otioRange{"TimeRange.1", at(s.Film.Clock.Start + span.In), at(span.Len())}
}

// mediaURL is a file as a reference relative to folder (RFC 3986, section 4.2), or as a
// URL (RFC 8089) where there is no way from the one to the other.
func mediaURL(path, folder string) string {
	if folder != "" {
		if from, err := filepath.Abs(folder); err == nil {
			if way, err := filepath.Rel(from, path); err == nil {
				return (&url.URL{Path: filepath.ToSlash(way)}).String()
			}
		}
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}
