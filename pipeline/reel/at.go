package reel

import (
	"context"
	"path/filepath"

	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/session"
)

// CutAt has m render at a farm until stop is called.
func (m *Maker) CutAt(ctx context.Context, place farm.Place, u farm.Urgency) (stop func(), err error) {
	machine, err := session.OpenMachine()
	if err != nil {
		return nil, err
	}
	toolchain, err := machine.Toolchain(ctx)
	if err != nil {
		return nil, err
	}
	f, err := farm.Open(ctx, place, toolchain)
	if err != nil {
		return nil, err
	}
	known := ""
	if machine.NoCache == nil {
		known = filepath.Join(machine.Cache, "workers.json")
	}
	asker := farm.NewAsker(ctx, f, u, m.Workers, known, m.log())
	m.Elsewhere = asker.Renderer
	return func() {
		asker.Close()
		f.Close()
	}, nil
}
