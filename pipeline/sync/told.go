package sync

import "fmt"

// SoundTakesTime is what whoever puts film in step by sound must know. At 20 °C sound
// travels 343 m a second (ISO 9613-1 takes 343.2).
const SoundTakesTime = `Sound needs 2.9 ms for a metre: a camera that stands 50 m farther from the ball is
set four frames too late. Look at a snap on both; --nudge ANGLE=-4 moves one four frames
earlier, and instants marked in both win over sound.`

// BySound reports whether anything was put in step by sound.
func BySound(proposals []*Proposal) bool {
	for _, p := range proposals {
		for _, f := range p.Findings {
			if f.Err == nil && f.BySound {
				return true
			}
		}
	}
	return false
}

// Failures is an error for what is not sure and one for what failed.
func Failures(proposals []*Proposal) (errs []error) {
	refused, failed, all := 0, 0, 0
	var first error
	for _, p := range proposals {
		for _, f := range p.Findings {
			all++
			switch {
			case f.Failed:
				if failed == 0 {
					first = f.Err
				}
				failed++
			case f.Err != nil:
				refused++
			}
		}
	}
	if refused > 0 {
		errs = append(errs, fmt.Errorf("%d of %d could not be put in step: the tag file says no more of it than before", refused, all))
	}
	if failed > 0 {
		errs = append(errs, fmt.Errorf("%d of %d failed, and the tag file says no more of it than before; the first: %w", failed, all, first))
	}
	return errs
}
