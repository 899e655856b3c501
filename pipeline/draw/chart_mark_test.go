package draw

import (
	"bytes"
	"image"
	"image/png"
	"testing"

	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// A chart says who drew it, in a way that readers of PNG and SVG pass over.
func TestChartMark(t *testing.T) {
	s, err := Chart(moveRates, Paper, chartLook(t, "paper"))
	if err != nil {
		t.Fatal(err)
	}
	var svg, pic bytes.Buffer
	if err := s.SVG(&svg); err != nil {
		t.Fatal(err)
	}
	if err := s.PNG(&pic); err != nil {
		t.Fatal(err)
	}
	if got, err := png.Decode(bytes.NewReader(pic.Bytes())); err != nil || got.Bounds() != image.Rect(0, 0, s.Width, s.Height) {
		t.Errorf("the marked PNG reads as %v, %v", got, err)
	}
	if !bytes.HasPrefix(pic.Bytes()[pngHead:], pngMark(chartMark)) || !bytes.Contains(svg.Bytes(), []byte("</desc>\n"+svgMark)) {
		t.Error("a chart does not say who drew it")
	}
}

func TestRatesAsGiven(t *testing.T) {
	r := report.Bars{Title: "t", Shares: []stats.Share{share("low", 1, 20), share("high", 19, 20)}}
	if got := barsChart(r).sorted()[0].Name; got != "high" {
		t.Errorf("%s is on top, want the highest", got)
	}
	r.AsGiven = true
	if got := barsChart(r).sorted()[0].Name; got != "low" {
		t.Errorf("%s is on top, want the first given", got)
	}
}

// Who is off before the snap has a dot left of 0.
func TestStripBeforeTheSnap(t *testing.T) {
	rows := []report.StripRow{{Name: "a", Times: []float64{-.1, .1, .2, .2, .3}, Mean: .14}, {Name: "b", Times: []float64{.05}, Mean: .05}}
	s, err := Chart(report.Strip{Title: "t", Rows: rows}, Paper, chartLook(t, "paper"))
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
