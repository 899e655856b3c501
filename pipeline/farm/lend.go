package farm

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags/files"
)

// lender puts stretches of film into the farm's store for workers that do not have the film.
type lender struct {
	farm *Farm
	turn chan struct{} // as many read film at once as it holds
	size int64         // of a block

	mu  sync.Mutex
	put map[string]putBlock // by name
}

// putBlock is a block that was put into the store.
type putBlock struct {
	sum string
	at  time.Time
}

// A stretch that takes more than half of a large film does not travel: it would be the film.
const largeFilm = 64 << 20

// lend puts what a segment needs of films into the store. It fails where less than the whole of
// a film does not serve.
func (l *lender) lend(ctx context.Context, home *render.Local, s plan.Segment, prints []string) (lent, error) {
	select {
	case l.turn <- struct{}{}:
		defer func() { <-l.turn }()
	case <-ctx.Done():
		return lent{}, context.Cause(ctx)
	}
	var all lent
	for _, print := range prints {
		path, err := home.Films.Path(ctx, print)
		if err != nil {
			return lent{}, err
		}
		f := stretch{Fingerprint: print, Name: filepath.Ext(path), Block: l.size}
		extents, err := l.extents(ctx, home, s, &f, path)
		if err != nil {
			return lent{}, err
		}
		if err := l.putBlocks(ctx, &f, path, extents); err != nil {
			return lent{}, err
		}
		all.Films = append(all.Films, f)
	}
	return all, nil
}

// extents is which bytes of a film, or of the staff's own picture, a segment needs.
func (l *lender) extents(ctx context.Context, home *render.Local, s plan.Segment, f *stretch, path string) ([]ffmpeg.Extent, error) {
	if s.Picture == f.Fingerprint {
		data, err := files.Read(path, largeFilm)
		if err == nil && content.HashOf(data) != s.Picture {
			err = errors.New("the picture was changed while the reel was made")
		}
		return []ffmpeg.Extent{{End: int64(len(data))}}, err
	}
	if s.Still != nil {
		return nil, errors.New("it shows a still of film that only the whole film is sure to give")
	}
	if s.Damaged {
		return nil, errors.New("the film is damaged there")
	}
	var cut []plan.Segment
	for _, c := range cuts(s) {
		if c.Source.Fingerprint == f.Fingerprint {
			cut = append(cut, c)
		}
	}
	if len(cut) != 1 {
		return nil, errors.New("it shows one film twice")
	}
	extents, packets, err := home.Tool.Reads(ctx, cut[0], path)
	if err != nil {
		return nil, err
	}
	f.Packets = packets
	return extents, nil
}

func (l *lender) putBlocks(ctx context.Context, f *stretch, path string, extents []ffmpeg.Extent) error {
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("lend film: %w", err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return fmt.Errorf("lend film: %w", err)
	}
	f.Size, f.Blocks = info.Size(), map[int64]string{}
	for _, e := range extents {
		for n := e.Start / f.Block; n*f.Block < e.End; n++ {
			f.Blocks[n] = ""
		}
	}
	if takes := int64(len(f.Blocks)) * f.Block; f.Size > largeFilm && takes > f.Size/2 {
		return fmt.Errorf("the stretch takes %d of the film's %d bytes, and films do not travel whole", takes, f.Size)
	}
	for n := range f.Blocks {
		data := make([]byte, f.end(n)-n*f.Block)
		if _, err := file.ReadAt(data, n*f.Block); err != nil {
			return fmt.Errorf("lend film: %w", err)
		}
		f.Blocks[n] = content.HashOf(data)
		if err := l.putBlock(ctx, f.block(n), f.Blocks[n], data); err != nil {
			return fmt.Errorf("lend film: %w", err)
		}
	}
	return nil
}

// putBlock puts a block into the store, unless this run did so a short while ago.
func (l *lender) putBlock(ctx context.Context, name, sum string, data []byte) error {
	l.mu.Lock()
	was, ok := l.put[name]
	l.mu.Unlock()
	if ok && was.sum == sum && time.Since(was.at) < blocksStay/2 {
		return nil
	}
	if _, err := l.farm.blocks.Put(ctx, jetstream.ObjectMeta{Name: name}, bytes.NewReader(data)); err != nil {
		return err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.put == nil {
		l.put = map[string]putBlock{}
	}
	l.put[name] = putBlock{sum, time.Now()}
	return nil
}
