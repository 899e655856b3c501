// Package viewer shows film in a browser so that a frame on the screen is the frame that a
// reel would cut. It knows nothing of tags.
//
// A [Viewer] is an [http.Handler] for the films that were given to [Viewer.Add], and for no
// other file. It asks nobody who he is: whoever mounts it decides who may ask. Below the path
// it is mounted at (by [http.StripPrefix]) it answers, ID being a film's:
//
//	GET film.js             the module that shows film in a page; it imports facts.js, screen.js, stills.js and video.js
//	GET film.css            how the module's elements lie over each other
//	GET ID/film.json        what the film is: [Facts]
//	GET ID/stills/N.jpg     frame N, exact, as JPEG
//	GET ID/film.mp4         the film itself, by ranges, where a browser plays it: [Film.Plain]
//	GET ID/standin.mp4      the movie that stands in for it, by ranges, once it is made
//	GET ID/sound.bin        how loud the film is, a byte for each tenth of a second
//	GET ID/motion.bin       how much moves in it, likewise
//
// Stills take the parameters width (the picture is as wide or the next size up, never wider
// than the film), view (a name of the page's own for one pane that shows the film) and at (the
// frame that the pane shows while it asks for others ahead; N where it is missing). Around the
// frame a pane shows, frames are decoded ahead both ways; what a pane no longer shows is
// stopped. A still that is asked for without a view is decoded when there is time, with a few
// around it: so a page gets ready for where it may jump. What is not ready yet is answered by 202 and its [Progress] as JSON, and asking for
// it starts the work. What cannot be had is answered by 4xx and one line of plain text for
// people.
//
// Frames count as [plan.Source] counts them, from 0. Of film of variable rate, frame n is the
// picture that is on at n/rate. A film that was changed since it was added is refused (409).
// All answers forbid the browser to keep them on disk.
package viewer

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"sync"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Options is what a Viewer may be given; the zero value serves.
type Options struct {
	// Folder keeps the movies that stand in for film. Where it is empty none are made, and
	// such film is shown by stills alone.
	Folder string
	// Room is how many bytes of stills are kept in memory; 0 is 128 MB.
	Room int64
	// MostKept is how many bytes of stand-ins are kept in Folder before those that were not
	// used for longest are removed; 0 is 40 GB.
	MostKept int64
	Log      *slog.Logger // of decisions; nil is silent

	part tags.Time // of tests
}

// Viewer shows films. It is safe for concurrent use.
type Viewer struct {
	library *film.Library
	options Options
	stills  *stills
	jobs    *jobs
	stop    context.CancelFunc

	mu       sync.Mutex
	films    map[string]*Film    // by ID
	standIns map[string]*standIn // by film
	strips   map[string][]byte   // by kind and film
}

// Film is a film that is shown.
type Film struct {
	ID     string // its fingerprint: safe in an address
	Source plan.Source
	// Plain says that browsers play the film itself. All other film is played by a stand-in.
	Plain bool

	path  string
	parts []os.FileInfo // as they were when the film was added
}

// New makes a Viewer of the library's films. The caller closes it.
func New(library *film.Library, o Options) *Viewer {
	o.Room = cmp.Or(o.Room, 128<<20)
	o.part = cmp.Or(o.part, standInPart)
	o.MostKept = cmp.Or(o.MostKept, 40<<30)
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	ctx, stop := context.WithCancel(context.Background())
	return &Viewer{
		library: library, options: o, stop: stop,
		stills: newStills(ctx, library, o.Room, o.Log), jobs: &jobs{ctx: ctx, log: o.Log, all: map[string]*job{}},
		films: map[string]*Film{}, standIns: map[string]*standIn{}, strips: map[string][]byte{},
	}
}

// Close stops all work and waits for its end.
func (v *Viewer) Close() {
	v.stop()
	v.stills.wait()
	v.jobs.wait()
	v.mu.Lock()
	defer v.mu.Unlock()
	for _, s := range v.standIns {
		s.letGo()
	}
}

// Add lets the film at path, which may be of several parts, be shown. The same film at another
// path is the same Film. It fails with [ErrChanged] where the library knows the file as what
// it was before.
func (v *Viewer) Add(ctx context.Context, path string) (*Film, error) {
	f := &Film{path: path}
	var err error
	if f.parts, err = stat(path); err != nil {
		return nil, fmt.Errorf("show %s: %w", files.Base(path), err)
	}
	if f.Source, err = v.library.Source(ctx, path); err != nil {
		return nil, fmt.Errorf("show %s: %w", files.Base(path), err)
	}
	if f.Plain, err = v.library.Plain(ctx, path); err != nil {
		return nil, fmt.Errorf("show %s: %w", files.Base(path), err)
	}
	f.ID = f.Source.Fingerprint
	if now, err := content.Fingerprint(path); err != nil || now != f.ID { // the library looked at it before
		return nil, fmt.Errorf("show %s: %w", files.Base(path), errors.Join(ErrChanged, err))
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if known := v.films[f.ID]; known != nil && known.unchanged() == nil {
		return known, nil
	}
	v.films[f.ID] = f
	return f, nil
}

func (v *Viewer) film(id string) *Film {
	v.mu.Lock()
	defer v.mu.Unlock()
	return v.films[id]
}

// ErrChanged says that a film is not the one that was added.
var ErrChanged = errors.New("the film was changed since it was opened: open the game again")

// unchanged fails where the files of f are not those that were added.
func (f *Film) unchanged() error {
	now, err := stat(f.path)
	if err != nil {
		return fmt.Errorf("%w (%w)", ErrChanged, err)
	}
	for i, info := range now {
		if was := f.parts[i]; !os.SameFile(was, info) || was.Size() != info.Size() || !was.ModTime().Equal(info.ModTime()) {
			return ErrChanged
		}
	}
	return nil
}

func stat(path string) ([]os.FileInfo, error) {
	var list []os.FileInfo
	for _, part := range files.Parts(path) {
		info, err := os.Stat(part)
		if err != nil {
			return nil, err
		}
		list = append(list, info)
	}
	return list, nil
}

// size is what the film measures at most width wide, both sides even.
func (f *Film) size(width int) (w, h int) {
	w = min(width, f.Source.Width) / 2 * 2
	return w, max(f.Source.Height*w/f.Source.Width/2*2, 2)
}
