package content_test

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"trenchcut/pipeline/content"
)

func TestLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	try := func(alone bool) (*content.Lock, error) { return content.TryLock(path, alone) }
	alone, err := try(true)
	if err != nil {
		t.Fatal(err)
	}
	for _, how := range []bool{true, false} {
		if _, err := try(how); !errors.Is(err, content.ErrLocked) {
			t.Errorf("alone %v beside one alone: error %v, want ErrLocked", how, err)
		}
	}
	if err := alone.Share(); err != nil {
		t.Fatal(err)
	}
	other, err := try(false)
	if err != nil {
		t.Fatalf("beside one who shares: %v", err)
	}
	if _, err := try(true); !errors.Is(err, content.ErrLocked) {
		t.Errorf("alone beside two who share: error %v, want ErrLocked", err)
	}
	alone.Unlock()
	other.Unlock()
	last, err := try(true)
	if err != nil {
		t.Fatal(err)
	}
	// Who waits gets it when it is free, or gives up when told to.
	ctx, stop := context.WithTimeout(context.Background(), 10*time.Millisecond)
	defer stop()
	if _, err := content.WaitLock(ctx, path, true); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("waiting: error %v, want that it was stopped", err)
	}
	time.AfterFunc(20*time.Millisecond, last.Unlock)
	l, err := content.WaitLock(context.Background(), path, true)
	if err != nil {
		t.Fatal(err)
	}
	l.Unlock()
}
