package page_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
)

// Of two men who wear one number on one play each stands with his own rep.
func TestOneNumberTwice(t *testing.T) {
	for _, names := range []plan.Names{plan.FullNames, plan.ByNumber} {
		p, _ := buildOf(t, strings.ReplaceAll(plays, "jersey: 55", "jersey: 91"), "reel.mp4", func(r *plan.Recipe) { r.Names = names })
		first := p.Sections[0].Takes[0].Reps
		var got []string
		for _, r := range first {
			got = append(got, r.Who+": "+r.Line+": "+r.Point)
		}
		if len(got) != 2 || !strings.Contains(got[0], "up and under") || !strings.Contains(got[0], "Outside foot") ||
			strings.Contains(got[1], "under") || strings.Contains(got[1], "Outside foot") {
			t.Errorf("names %s: play 14 reads %q", names, got)
		}
	}
}

// A model is called by its play, where a last picture is held for what became of it too.
func TestModelIsCalledByItsPlay(t *testing.T) {
	held := strings.Replace(plays, "out: 60s, snap: 54s}}", "out: 60s, snap: 54s}}\n    marks: {finish: +6s}", 1)
	p, _ := buildOf(t, held, "reel.mp4", nil, plan.Part{Section: plan.Section{Selection: plan.Selection{Model: true}}})
	var leads []string
	for _, take := range p.Sections[0].Takes {
		if take.Model {
			leads = append(leads, take.Lead)
		}
	}
	if !slices.Contains(leads, "Play 17") {
		t.Errorf("models are called %q", leads)
	}
	for _, text := range []string{string(p.Chapters()), html(t, p), string(practiceSheet(t, p))} {
		if like := regexp.MustCompile(plan.LikeThis + `\W*(<[^>]*>\W*)*(endzone, )?(?i:` + plan.LikeThis + `)`).FindString(text); like != "" {
			t.Errorf("it reads %q", like)
		}
	}
}

// Only a reel of one man says his note, of what to do better, and none says a grade.
func TestOwnNote(t *testing.T) {
	noted := strings.Replace(plays, "set: short}, battle: lost, outcome: no-factor}", "set: short}, battle: lost, outcome: no-factor, note: Stay low here., grade: {technique: minus}}", 1)
	for whose, told := range map[string]bool{"marlow": true, "okafor": false, "": false} {
		p, _ := buildOf(t, noted, "reel.mp4", func(r *plan.Recipe) { r.Whose = whose }, plan.Part{Section: plan.Section{Selection: plan.Selection{Why: true}}})
		for name, text := range map[string]string{"page": html(t, p), "captions": string(p.Captions()), "practice sheet": string(practiceSheet(t, p))} {
			if strings.Contains(text, "Stay low here.") != told {
				t.Errorf("the %s of a reel of %q has the note: %t, want %t", name, whose, !told, told)
			}
			if strings.Contains(text, "minus") || strings.Contains(text, "Secret note") {
				t.Errorf("the %s of a reel of %q has a grade, or a note of a win", name, whose)
			}
		}
	}
}
