package render

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"trenchcut/pipeline/plan"
	"trenchcut/tags/files"
)

// mostPlan bounds a plan that is kept: a thousand clips take some 3 MB.
const mostPlan = 256 << 20

// ErrNoPlan says that the plan of a reel is not kept, so that what the reel should show is not
// known.
var ErrNoPlan = errors.New("what it should show is not in the cache: make the reel again in the same way, which cuts nothing anew where the cache holds it")

// planPath is where the plan of a digest is kept, beside the segments.
func (d Dir) planPath(digest string) string {
	return filepath.Join(d.Root, digest[:2], digest+".plan")
}

// keepPlan keeps the plan of a reel for [Maker.Verify]. That it cannot be kept is no reason to
// stop.
func (d Dir) keepPlan(digest string, p *plan.Plan) {
	path := d.planPath(digest)
	if files.CheckSeal(path) == nil {
		return
	}
	data, err := json.Marshal(p)
	if err == nil && os.MkdirAll(filepath.Dir(path), 0o777) == nil {
		_ = files.WriteSealed(path, data)
	}
}

// keptPlan is the plan that was kept under a digest; it fails with [ErrNoPlan] where there is
// none.
func (d Dir) keptPlan(digest string) (*plan.Plan, error) {
	if len(digest) < 2 {
		return nil, ErrNoPlan
	}
	data, err := files.ReadSealed(d.planPath(digest), mostPlan)
	var p plan.Plan
	if err != nil || json.Unmarshal(data, &p) != nil {
		return nil, fmt.Errorf("%w (%w)", ErrNoPlan, err)
	}
	return &p, nil
}
