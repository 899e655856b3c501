package ffmpeg

import (
	"encoding/json"
	"testing"
)

// What 4.4.2, 6.1.1 and 9.0.2 said of the first pictures of a film.
func TestPicturesOfEachVersion(t *testing.T) {
	for version, said := range map[string]string{
		"4.4": `{"frames":[{"key_frame":1,"pkt_pts":21,"interlaced_frame":0,"side_data_list":[{}]},{"key_frame":0,"pkt_pts":61,"interlaced_frame":0}]}`,
		"6.1": `{"frames":[{"key_frame":1,"pts":21,"interlaced_frame":0,"side_data_list":[{}]},{"key_frame":0,"pts":61,"interlaced_frame":0}]}`,
		"9.0": `{"frames":[{"key_frame":1,"pts":21,"interlaced_frame":0},{"key_frame":0,"pts":61,"interlaced_frame":0}]}`,
	} {
		var r pictures
		if err := json.Unmarshal([]byte(said), &r); err != nil || len(r.Frames) != 2 {
			t.Fatalf("%s: %v (%v), want two pictures", version, r.Frames, err)
		}
		list := r.Frames
		if at := list[1].at(); list[0].Key != 1 || list[1].Key != 0 || at == nil || *at != 61 {
			t.Errorf("%s: %+v, want a key picture and one at 61", version, list)
		}
	}
}
