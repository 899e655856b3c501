package viewer

import "trenchcut/tags"

// Runs is how many runs of ffmpeg were started for stills, and what those decode that are not
// done or stopped.
func (v *Viewer) Runs() (started int, live []tags.Span) {
	v.stills.mu.Lock()
	defer v.stills.mu.Unlock()
	for _, r := range v.stills.runs {
		live = append(live, r.span)
	}
	return v.stills.decoded, live
}

// Taken is how many bytes the stills take that are kept.
func (v *Viewer) Taken() int64 {
	v.stills.mu.Lock()
	defer v.stills.mu.Unlock()
	return v.stills.kept.taken
}

// Parted is o with stand-ins of parts of that length.
func Parted(o Options, part tags.Time) Options {
	o.part = part
	return o
}

// Prepare starts making what is needed to play the film.
func (v *Viewer) Prepare(f *Film) Progress { return v.playing(f) }
