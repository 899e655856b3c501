package draw

import (
	"bytes"
	"image"
	"image/png"
	"testing"

	"trenchcut/pipeline/plan"
)

func TestIsChart(t *testing.T) {
	s, err := moveRates.Scene(Paper, chartLook(t, "paper"))
	if err != nil {
		t.Fatal(err)
	}
	var svg, pic, foreign bytes.Buffer
	if err := s.SVG(&svg); err != nil {
		t.Fatal(err)
	}
	if err := s.PNG(&pic); err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(&foreign, image.NewGray(image.Rect(0, 0, 9, 9))); err != nil {
		t.Fatal(err)
	}
	// What reads PNG still does: the mark is a chunk of its own with its checksum.
	if got, err := png.Decode(bytes.NewReader(pic.Bytes())); err != nil || got.Bounds() != image.Rect(0, 0, s.Width, s.Height) {
		t.Errorf("the marked PNG reads as %v, %v", got, err)
	}
	// A description that names the mark is text, and makes no chart of ours.
	said := `<svg xmlns="http://www.w3.org/2000/svg"><desc>` + escape(svgMark) + "</desc>\n</svg>\n"
	for name, c := range map[string]struct {
		data []byte
		want bool
	}{
		"SVG": {svg.Bytes(), true}, "PNG": {pic.Bytes(), true},
		"somebody's PNG": {foreign.Bytes(), false}, "somebody's SVG": {[]byte("<svg></svg>"), false},
		"the mark as text": {[]byte(said), false}, "nothing": {nil, false}, "a PNG cut short": {pic.Bytes()[:pngHead], false},
		"saved by another": {append([]byte("<?xml version=\"1.0\"?>\n"), svg.Bytes()...), false},
	} {
		if got := IsChart(c.data); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

func TestRatesAsGiven(t *testing.T) {
	r := Rates{Title: "t", Shares: []plan.Share{share("low", 1, 20), share("high", 19, 20)}}
	if got := r.sorted()[0].Name; got != "high" {
		t.Errorf("%s is on top, want the highest", got)
	}
	r.AsGiven = true
	if got := r.sorted()[0].Name; got != "low" {
		t.Errorf("%s is on top, want the first given", got)
	}
}

// Who is off before the snap has a dot left of 0.
func TestStripBeforeTheSnap(t *testing.T) {
	rows := []StripRow{{"a", []float64{-.1, .1, .2, .2, .3}, .14}, {"b", []float64{.05}, .05}}
	s, err := Strip{Title: "t", Rows: rows}.Scene(Paper, chartLook(t, "paper"))
	if err != nil {
		t.Fatal(err)
	}
	if err := checkScene(s); err != nil {
		t.Error(err)
	}
	zero, first := 0.0, 0.0
	for _, sh := range s.shapes {
		switch sh := sh.(type) {
		case words:
			if sh.text == "0.00" {
				zero = float64(sh.x) + float64(sh.width)/2
			}
		case dot:
			if first == 0 || sh.at.x < first {
				first = sh.at.x
			}
		}
	}
	if zero == 0 || first >= zero {
		t.Errorf("the first dot is at %g, the snap at %g", first, zero)
	}
}
