package render

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
)

// movie is what a QuickTime or MP4 file's own tables say it holds. Nothing is decoded,
// so a segment is checked in microseconds.
type movie struct {
	frames   int64  // of the first video track
	pictures int64  // bytes of them
	packets  int64  // of the first sound track
	samples  int64  // of it, where it is PCM, 4 bytes each
	params   []byte // the decoder's parameter sets: equal ones can be joined by copy
	sound    []run  // where the PCM lies
}

// run is consecutive samples of PCM in the file.
type run struct{ offset, samples int64 }

// bytesPerSample of 16 bit stereo.
const bytesPerSample = 4

// samplesPerPacket of AAC (ISO/IEC 14496-3, the frame length of AAC LC).
const samplesPerPacket = 1024

var errTables = errors.New("the movie's tables are damaged")

// readMovie reads the tables of the file at path. Boxes are as ISO/IEC 14496-12 has them.
func readMovie(path string) (movie, error) {
	f, err := os.Open(path)
	if err != nil {
		return movie{}, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return movie{}, err
	}
	moov, err := findMoov(f, info.Size())
	if err != nil {
		return movie{}, fmt.Errorf("read %s: %w", path, err)
	}
	var m movie
	err = eachBox(moov, func(kind string, body []byte) error {
		if kind != "trak" {
			return nil
		}
		return m.track(body, info.Size())
	})
	if err != nil {
		return movie{}, fmt.Errorf("read %s: %w", path, err)
	}
	return m, nil
}

// maxTables bounds a moov box: a two-hour reel's is under 10 MB.
const maxTables = 256 << 20

// findMoov reads the moov box, wherever among the file's boxes it stands.
func findMoov(f io.ReaderAt, size int64) ([]byte, error) {
	for at := int64(0); at+8 <= size; {
		var head [16]byte
		if _, err := f.ReadAt(head[:8], at); err != nil {
			return nil, err
		}
		length, body := int64(binary.BigEndian.Uint32(head[:4])), int64(8)
		if length == 1 {
			if _, err := f.ReadAt(head[8:16], at+8); err != nil {
				return nil, errTables
			}
			length, body = int64(binary.BigEndian.Uint64(head[8:16])), 16
		}
		if length < body || at+length > size {
			return nil, errTables
		}
		if string(head[4:8]) == "moov" {
			if length > maxTables {
				return nil, errTables
			}
			moov := make([]byte, length-body)
			_, err := f.ReadAt(moov, at+body)
			return moov, err
		}
		at += length
	}
	return nil, errTables
}

// eachBox calls f with each box in data.
func eachBox(data []byte, f func(kind string, body []byte) error) error {
	for len(data) >= 8 {
		length := int64(binary.BigEndian.Uint32(data))
		if length < 8 || length > int64(len(data)) {
			return errTables
		}
		if err := f(string(data[4:8]), data[8:length]); err != nil {
			return err
		}
		data = data[length:]
	}
	return nil
}

// track takes in what a trak box says, where it is the first of its kind.
func (m *movie) track(trak []byte, size int64) error {
	tables := map[string][]byte{}
	handler := ""
	var walk func(kind string, body []byte) error
	walk = func(kind string, body []byte) error {
		switch kind {
		case "mdia", "minf", "stbl":
			return eachBox(body, walk)
		case "hdlr":
			if len(body) >= 12 && handler == "" {
				handler = string(body[8:12])
			}
		default:
			tables[kind] = body
		}
		return nil
	}
	if err := eachBox(trak, walk); err != nil {
		return err
	}
	stsz := tables["stsz"]
	if len(stsz) < 12 {
		return nil // a track without samples of its own, such as timecode
	}
	count := int64(binary.BigEndian.Uint32(stsz[8:]))
	switch {
	case handler == "vide" && m.frames == 0:
		m.frames, m.params = count, parameters(tables["stsd"])
		sizes, each := stsz[12:], int64(binary.BigEndian.Uint32(stsz[4:]))
		if each == 0 && int64(len(sizes)) < 4*count {
			return errTables
		}
		m.pictures = each * count
		for i := int64(0); each == 0 && i < count; i++ {
			m.pictures += int64(binary.BigEndian.Uint32(sizes[4*i:]))
		}
	case handler == "soun" && m.packets == 0:
		m.packets = count
		if stsd := tables["stsd"]; len(stsd) >= 16 && string(stsd[12:16]) == "sowt" {
			m.samples = count
			return m.runs(tables, size)
		}
	}
	return nil
}

// parameters is the avcC or hvcC box of a sample description.
func parameters(stsd []byte) []byte {
	const head, visual = 8, 8 + 78 // of stsd, and of its first entry with its own head
	if len(stsd) < head+visual {
		return nil
	}
	var found []byte
	_ = eachBox(stsd[head+visual:], func(kind string, body []byte) error {
		if kind == "avcC" || kind == "hvcC" {
			found = body
		}
		return nil
	})
	return found
}

// runs lists the chunks of a PCM track from its stsc and stco or co64 tables.
func (m *movie) runs(tables map[string][]byte, size int64) error {
	var offsets []int64
	if stco := tables["stco"]; len(stco) >= 8 {
		for b := stco[8:]; len(b) >= 4; b = b[4:] {
			offsets = append(offsets, int64(binary.BigEndian.Uint32(b)))
		}
	} else if co64 := tables["co64"]; len(co64) >= 8 {
		for b := co64[8:]; len(b) >= 8; b = b[8:] {
			offsets = append(offsets, int64(binary.BigEndian.Uint64(b)))
		}
	}
	stsc := tables["stsc"]
	if len(stsc) < 8+12 {
		return errTables
	}
	stsc = stsc[8:]
	var perChunk, total int64
	for i, offset := range offsets {
		if len(stsc) >= 12 && int64(binary.BigEndian.Uint32(stsc)) == int64(i+1) {
			perChunk = int64(binary.BigEndian.Uint32(stsc[4:]))
			stsc = stsc[12:]
		}
		if offset+perChunk*bytesPerSample > size {
			return errTables
		}
		m.sound = append(m.sound, run{offset, perChunk})
		total += perChunk
	}
	if total != m.samples {
		return errTables
	}
	return nil
}

// copySound writes the first samples of the movie's sound to w, as raw PCM.
func copySound(w io.Writer, path string, m movie, samples int64) error {
	if samples > m.samples {
		return fmt.Errorf("sound of %s: %d samples wanted, %d there", path, samples, m.samples)
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	for _, r := range m.sound {
		n := min(r.samples, samples)
		if _, err := io.Copy(w, io.NewSectionReader(f, r.offset, n*bytesPerSample)); err != nil {
			return err
		}
		samples -= n
	}
	return nil
}
