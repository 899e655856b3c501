package draw

import (
	"bytes"
	"fmt"
	"image"
	"path/filepath"
	"strings"
)

// ChartSizes is the sizes of charts by their names.
var ChartSizes = map[string]image.Point{"paper": Paper, "wide": Wide, "phone": Phone}

// CheckChartFile fails where a file is not named as one that holds a chart.
func CheckChartFile(name string) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".svg", ".png":
		return nil
	default:
		return fmt.Errorf("%s: the name of a chart ends in .svg or .png", name)
	}
}

// File is the scene as the file of that name holds it.
func (s Scene) File(name string) ([]byte, error) {
	if err := CheckChartFile(name); err != nil {
		return nil, err
	}
	write := s.PNG
	if strings.EqualFold(filepath.Ext(name), ".svg") {
		write = s.SVG
	}
	var data bytes.Buffer
	err := write(&data)
	return data.Bytes(), err
}
