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
	length   int64  // of the first video track, in its own time scale
	scale    int64  // that time scale, units a second
	packets  int64  // of the first sound track
	samples  int64  // of it, where it is PCM, 4 bytes each
	params   []byte // the decoder's parameter sets: equal ones can be joined by copy
	sound    []run  // where the PCM lies
}

// run is samples that lie one behind the other in the file.
type run struct{ offset, samples int64 }

// bytesPerSample of 16 bit stereo.
const bytesPerSample = 4

// samplesPerPacket of AAC (ISO/IEC 14496-3, the frame length of AAC LC).
const samplesPerPacket = 1024

var errTables = errors.New("the movie's tables are damaged")

// readMovie reads the tables of the file at path. Boxes are as ISO/IEC 14496-12 has them. It
// fails where the file does not hold all that its tables name, to the last packet.
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

// findMoov reads the moov box, wherever among the file's boxes it stands. It fails where the
// boxes do not fill the file to its end, as those of a file that was cut short do not.
func findMoov(f io.ReaderAt, size int64) (moov []byte, err error) {
	err = eachBoxOf(f, size, func(kind string, body *io.SectionReader) error {
		if kind != "moov" || moov != nil {
			return nil
		}
		if body.Size() > maxTables {
			return errTables
		}
		moov = make([]byte, body.Size())
		_, err := body.ReadAt(moov, 0)
		return err
	})
	if err == nil && moov == nil {
		err = errTables
	}
	return moov, err
}

// eachBoxOf calls do with each box of a file of so many bytes. It fails where the boxes do not
// fill the file to its end.
func eachBoxOf(f io.ReaderAt, size int64, do func(kind string, body *io.SectionReader) error) error {
	for at := int64(0); at < size; {
		var head [16]byte
		if _, err := f.ReadAt(head[:8], at); err != nil {
			return errTables
		}
		length, body := int64(binary.BigEndian.Uint32(head[:4])), int64(8)
		if length == 1 {
			if _, err := f.ReadAt(head[8:16], at+8); err != nil {
				return errTables
			}
			length, body = int64(binary.BigEndian.Uint64(head[8:16])), 16
		}
		if length < body || length > size-at {
			return errTables
		}
		if err := do(string(head[4:8]), io.NewSectionReader(f, at+body, length-body)); err != nil {
			return err
		}
		at += length
	}
	return nil
}

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
	count, each, sizes := int64(binary.BigEndian.Uint32(stsz[8:])), int64(binary.BigEndian.Uint32(stsz[4:])), stsz[12:]
	if each == 0 && int64(len(sizes)) < 4*count {
		return errTables
	}
	sound := handler == "soun" && m.packets == 0
	pcm := false
	if stsd := tables["stsd"]; sound && len(stsd) >= 16 && string(stsd[12:16]) == "sowt" {
		pcm, each = true, bytesPerSample // QuickTime may write 1 there
	}
	chunks, err := chunksOf(tables, count)
	if err != nil {
		return err
	}
	var sample, bytes int64
	for _, c := range chunks {
		if c.offset < 0 || c.offset > size || each > 0 && c.samples > (size-c.offset)/each {
			return errTables
		}
		end := c.offset + c.samples*each
		for range c.samples {
			if each > 0 {
				break
			}
			end += int64(binary.BigEndian.Uint32(sizes[4*sample:]))
			sample++
		}
		if end > size {
			return errTables
		}
		bytes += end - c.offset
	}
	switch {
	case handler == "vide" && m.frames == 0:
		m.frames, m.pictures, m.params = count, bytes, parameters(tables["stsd"])
		m.length, m.scale, err = length(tables)
	case sound:
		m.packets = count
		if pcm {
			m.samples, m.sound = count, chunks
		}
	}
	return err
}

// length is how long a track lasts by its table of times, and in units of what.
func length(tables map[string][]byte) (length, scale int64, err error) {
	mdhd, stts := tables["mdhd"], tables["stts"]
	at := 12 // behind version, flags and two dates
	if len(mdhd) > 0 && mdhd[0] == 1 {
		at = 20 // the dates are longer
	}
	if len(mdhd) < at+4 || len(stts) < 8 {
		return 0, 0, errTables
	}
	for b := stts[8:]; len(b) >= 8; b = b[8:] {
		length += int64(binary.BigEndian.Uint32(b)) * int64(binary.BigEndian.Uint32(b[4:]))
	}
	return length, int64(binary.BigEndian.Uint32(mdhd[at:])), nil
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

// chunksOf lists the chunks of a track of count samples from its stsc and stco or co64 tables.
func chunksOf(tables map[string][]byte, count int64) ([]run, error) {
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
	if len(stsc) < 8 || len(offsets) > 0 && len(stsc) < 8+12 {
		return nil, errTables
	}
	stsc = stsc[8:]
	var chunks []run
	var perChunk, total int64
	for i, offset := range offsets {
		if len(stsc) >= 12 && int64(binary.BigEndian.Uint32(stsc)) == int64(i+1) {
			perChunk = int64(binary.BigEndian.Uint32(stsc[4:]))
			stsc = stsc[12:]
		}
		if total += perChunk; total > count {
			return nil, errTables
		}
		chunks = append(chunks, run{offset, perChunk})
	}
	if total != count {
		return nil, errTables
	}
	return chunks, nil
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
