package farm

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/nats-io/nats.go"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// blockSize is the size of the blocks in which film travels.
const blockSize = 1 << 20

// borrowed is film of which only stretches are here: files as large as the films, with the
// blocks that were lent where they lie in the film and holes elsewhere.
type borrowed struct {
	farm   *Farm
	tool   ffmpeg.Tool
	folder string

	mu    sync.Mutex
	films map[string]*holed // by fingerprint
}

type holed struct {
	path string
	used time.Time // guarded by the lock of all

	mu     sync.Mutex
	size   int64
	block  int64
	blocks map[int64]string // SHA-256 of those that are here
}

// How borrowing fails.
var (
	errNobody = errors.New("nobody waits for it who could lend its film")
	errLent   = errors.New("the film that was lent does not serve")
)

// lendTime is how long the asker may take to read what it lends.
const lendTime = 2 * time.Minute

// borrow has the asker of a job lend what it needs of films, and adds where they lie to at.
func (b *borrowed) borrow(ctx context.Context, j job, films []string, at map[string]string) error {
	data, err := encode(want{Films: films})
	if err != nil {
		return err
	}
	waiting, cancel := context.WithTimeout(ctx, lendTime)
	defer cancel()
	m, err := b.farm.nc.RequestWithContext(waiting, wantOf(j.Key), data)
	switch {
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case errors.Is(err, nats.ErrNoResponders):
		return errNobody
	case err != nil:
		return fmt.Errorf("borrow film: %w", err)
	}
	var l lent
	if err := json.Unmarshal(m.Data, &l); err != nil {
		return fmt.Errorf("%w: %w", errLent, err)
	}
	if l.Refused != "" {
		return fmt.Errorf("%w: %s", errLent, l.Refused)
	}
	for _, s := range l.Films {
		if at[s.Fingerprint], err = b.fetch(ctx, s); err != nil {
			return err
		}
	}
	for _, cut := range cuts(j.Segment) {
		for _, s := range l.Films {
			if s.Fingerprint != cut.Source.Fingerprint {
				continue
			}
			packets, err := b.tool.Packets(ctx, cut, at[s.Fingerprint])
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			if err != nil || packets != s.Packets {
				return fmt.Errorf("%w: ffmpeg reads it otherwise here (%w)", errLent, cmp.Or(err, errors.New("the packets differ")))
			}
		}
	}
	return nil
}

// cuts is the stretches that a segment is cut from.
func cuts(s plan.Segment) []plan.Segment {
	var list []plan.Segment
	if s.Kind == plan.Film {
		list = append(list, plan.Segment{Source: s.Source, Span: s.Span})
		if s.Below != nil {
			list = append(list, plan.Segment{Source: s.Below.Source, Span: s.Below.Span})
		}
	}
	return list
}

// fetch has the blocks of a stretch here, and returns where the film lies.
func (b *borrowed) fetch(ctx context.Context, s stretch) (string, error) {
	h, err := b.film(s)
	if err != nil {
		return "", err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.size != s.Size || h.block != s.Block {
		return "", fmt.Errorf("%w: two films have one fingerprint", errLent)
	}
	f, err := os.OpenFile(h.path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return "", render.FullIn(b.folder, fmt.Errorf("keep a stretch of film: %w", err))
	}
	defer f.Close()
	if err := f.Truncate(s.Size); err != nil {
		return "", render.FullIn(b.folder, fmt.Errorf("keep a stretch of film: %w", err))
	}
	for n, sum := range s.Blocks {
		if had, ok := h.blocks[n]; ok && had == sum {
			continue
		} else if ok {
			return "", fmt.Errorf("%w: two films have one fingerprint", errLent)
		}
		if n < 0 || n*s.Block >= s.Size {
			return "", fmt.Errorf("%w: a block lies outside the film", errLent)
		}
		data, err := b.farm.blocks.GetBytes(ctx, s.block(n))
		if err != nil {
			return "", fmt.Errorf("fetch a stretch of film: %w", err)
		}
		if content.HashOf(data) != sum || int64(len(data)) != s.end(n)-n*s.Block {
			return "", fmt.Errorf("%w: block %d is not what was lent", errLent, n)
		}
		if _, err := f.WriteAt(data, n*s.Block); err != nil {
			return "", render.FullIn(b.folder, fmt.Errorf("keep a stretch of film: %w", err))
		}
		h.blocks[n] = sum
	}
	return h.path, f.Close()
}

// film is the file for a film's blocks, which is made where it is not there.
func (b *borrowed) film(s stretch) (*holed, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.sweep()
	if h := b.films[s.Fingerprint]; h != nil {
		h.used = time.Now()
		return h, nil
	}
	if err := os.MkdirAll(b.folder, 0o700); err != nil {
		return nil, render.FullIn(b.folder, fmt.Errorf("keep a stretch of film: %w", err))
	}
	if b.films == nil {
		b.films = map[string]*holed{}
	}
	if strings.ContainsAny(s.Fingerprint+s.Name, `/\`) || s.Size <= 0 || s.Block <= 0 {
		return nil, fmt.Errorf("%w: it has no name that a film has", errLent)
	}
	h := &holed{path: filepath.Join(b.folder, s.Fingerprint+s.Name), used: time.Now(), size: s.Size, block: s.Block, blocks: map[int64]string{}}
	_ = os.Remove(h.path) // what another run left
	b.films[s.Fingerprint] = h
	return h, nil
}

// unused is how long borrowed film must lie unused to be removed. No segment takes that long to
// render.
const unused = time.Hour

// sweep removes film that was not used for long. The lock of all is held.
func (b *borrowed) sweep() {
	for print, h := range b.films {
		if time.Since(h.used) > unused {
			_ = os.Remove(h.path) // where it cannot be removed, the folder is at the end
			delete(b.films, print)
		}
	}
}

// borrowedMark is in the names of folders of borrowed film.
const borrowedMark = "borrowed-"

// borrowedFolder makes a folder for borrowed film in a store's, and removes those that workers
// which were killed left behind. Remove removes it again.
func borrowedFolder(store string) (folder string, remove func(), err error) {
	if err := os.MkdirAll(store, 0o777); err != nil {
		return "", nil, fmt.Errorf("make a folder for film: %w", err)
	}
	left, _ := filepath.Glob(filepath.Join(store, borrowedMark+"*"))
	for _, old := range left {
		if lock, err := content.TryLock(old, true); err == nil {
			os.RemoveAll(old)
			lock.Unlock()
		}
	}
	if folder, err = os.MkdirTemp(store, borrowedMark); err != nil {
		return "", nil, render.FullIn(store, fmt.Errorf("make a folder for film: %w", err))
	}
	lock, err := content.TryLock(folder, true)
	if err != nil { // a file system without locks
		return folder, func() { os.RemoveAll(folder) }, nil
	}
	return folder, func() { os.RemoveAll(folder); lock.Unlock() }, nil
}

// vouch is for film that a segment was cut from: what was lent was held to its packets, and
// other film must still have its fingerprint.
func (b *borrowed) vouch(path, fingerprint string) error {
	b.mu.Lock()
	h := b.films[fingerprint]
	b.mu.Unlock()
	if h != nil && h.path == path {
		return nil
	}
	return content.Vouch(path, fingerprint)
}

// block is the name of block n of a film in the farm's store.
func (s stretch) block(n int64) string {
	return fmt.Sprintf("%s.%d.%d", s.Fingerprint, s.Block, n)
}

// end is the first byte of a film that is not of its block n.
func (s stretch) end(n int64) int64 { return min((n+1)*s.Block, s.Size) }
