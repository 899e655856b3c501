package main

import (
	"context"
	"errors"
	"path/filepath"
	"runtime/debug"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/help"
	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// seasonOptions says which games a command reads.
type seasonOptions struct {
	request session.Request
}

func (o *seasonOptions) addFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringSliceVarP(&o.request.Games, "games", "g", nil,
		"tag `files`, or folders to search (default: the current one)")
	o.addStaffFlags(cmd)
}

// addStaffFlags adds the flags that name the staff's own words.
func (o *seasonOptions) addStaffFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringSliceVar(&o.request.Staff.Vocabulary, "vocabulary", nil,
		"the staff's words, `files` (default: *.vocabulary.yaml with the games)")
	f.StringSliceVar(&o.request.Staff.Reads, "reads", nil,
		"the staff's reads, `files` (default: *.reads.yaml with the games)")
	help.Rare(cmd, "vocabulary", "reads")
}

// load reads the games, and looks at as much of their film as is said. Faults in them are
// the session's.
func (o *seasonOptions) load(ctx context.Context, film session.FilmUse) (*session.Session, error) {
	// Most of what is read is kept, so collecting garbage as often as usual costs a sixth of the
	// time.
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	r := o.request
	r.Film = film
	return session.Load(ctx, r)
}

// loadFaultless is load of games without a fault.
func (o *seasonOptions) loadFaultless(ctx context.Context, film session.FilmUse) (*session.Session, error) {
	s, err := o.load(ctx, film)
	if err != nil {
		return nil, err
	}
	return s, s.Faults.Err()
}

// vocabularyBeside is the vocabulary that holds for a tag file, which may not exist yet.
func (o seasonOptions) vocabularyBeside(tagFile string) (*tags.Vocabulary, error) {
	o.request.Games = []string{filepath.Dir(tagFile)}
	return session.Vocabulary(o.request)
}

// keyFaults is what is wrong in the staff's own keys of the marking page.
func (o *seasonOptions) keyFaults() (tags.Faults, error) {
	staff, err := o.request.StaffFiles()
	if err != nil {
		return nil, err
	}
	_, err = mark.ReadKeys(staff.Keys)
	var faults tags.Faults
	if errors.As(err, &faults) {
		return faults, nil
	}
	return nil, err
}
