package main

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// lookAtPictures reads the pictures that a recipe file names, before any work, and notes in
// the recipe what they are. What is wrong with one is a fault where it is named.
func (o *reelOptions) lookAtPictures(file string, r *plan.Recipe) error {
	var faults tags.Faults
	for _, list := range [][]plan.Picture{r.Intro, r.Outro} {
		for i := range list {
			p := &list[i]
			path := filepath.Join(filepath.Dir(file), filepath.FromSlash(p.File))
			data, err := content.ReadPlain(path, draw.MostPicture)
			if err == nil {
				p.Width, p.Height, err = draw.MeasurePicture(data)
			}
			var inPath *fs.PathError
			if errors.As(err, &inPath) { // the name is told already
				err = inPath.Err
			}
			if err != nil {
				faults.Add(p.Pos, "picture %s: %v", p.File, err)
				continue
			}
			p.Content = content.HashOf(data)
			if o.pictures == nil {
				o.pictures = map[string]string{}
			}
			o.pictures[p.Content] = path
		}
	}
	return faults.Err()
}

// stock finds film, and pictures of the staff's own, by what is in them.
type stock struct {
	films    render.Films
	pictures map[string]string
}

// Path implements [render.Films].
func (s stock) Path(ctx context.Context, fingerprint string) (string, error) {
	if path, ok := s.pictures[fingerprint]; ok {
		return path, nil
	}
	return s.films.Path(ctx, fingerprint)
}
