package render

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// lack is something that a segment's film does not have in the span, for which something else
// stands. It is kept in the segment and told whenever the segment is shown.
type lack struct {
	Film   string    `json:"film"`             // the file's name when the segment was cut
	At     tags.Time `json:"at"`               // from the start of the film's own time
	Frames int64     `json:"frames,omitempty"` // how many pictures are missing, for which the one before stands
	Sound  string    `json:"sound,omitempty"`  // or why there is silence
	To     tags.Time `json:"to,omitempty"`     // until when
}

// missing is what a film's gaps lack.
func missing(path string, gaps []ffmpeg.Gap) []lack {
	var list []lack
	for _, gap := range gaps {
		list = append(list, lack{Film: files.Base(path), At: gap.At, Frames: int64(gap.Frames)})
	}
	return list
}

func (l lack) tell(log *slog.Logger) {
	if l.Sound != "" {
		log.Warn("sound", "film", l.Film, "from", l.At.String(), "to", l.To.String(), "why", l.Sound)
		return
	}
	log.Warn("pictures missing", "film", l.Film, "at", l.At.String(), "frames", l.Frames, "instead", "the one before stays")
}

// The lacks of a segment lie in a box of ISO/IEC 14496-12 of type "free" behind the movie's own
// boxes, which readers of movies skip.
const lacksHead = "free" + "lack"

// mostLacks bounds the box: a segment of ten minutes with a gap at every second picture takes 1 MB.
const mostLacks = 16 << 20

// writeLacks appends the lacks to the movie at path, unless they are too many to be kept.
func writeLacks(path string, lacks []lack) (err error) {
	if len(lacks) == 0 {
		return nil
	}
	data, err := json.Marshal(lacks)
	if err != nil {
		return fmt.Errorf("write what the film lacks: %w", err)
	}
	size := 4 + len(lacksHead) + len(data)
	if size > mostLacks {
		return nil
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		return fmt.Errorf("write what the film lacks: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	box := append(binary.BigEndian.AppendUint32(nil, uint32(size)), lacksHead...) // at most mostLacks
	_, err = f.Write(append(box, data...))
	return err
}

// readLacks is what writeLacks wrote.
func readLacks(path string) ([]lack, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read what the film lacks: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, fmt.Errorf("read what the film lacks: %w", err)
	}
	var lacks []lack
	err = eachBoxOf(f, info.Size(), func(kind string, body *io.SectionReader) error {
		var mark [4]byte
		if kind != lacksHead[:4] || body.Size() > mostLacks {
			return nil
		}
		if _, err := body.ReadAt(mark[:], 0); err != nil || string(mark[:]) != lacksHead[4:] {
			return nil
		}
		return json.NewDecoder(io.NewSectionReader(body, 4, body.Size()-4)).Decode(&lacks)
	})
	if err != nil {
		return nil, fmt.Errorf("read what the film of %s lacks: %w", path, err)
	}
	return lacks, nil
}
