package reel

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// proofs is which encoders of graphics hardware were seen working here, by which ffmpeg.
type proofs struct {
	FFmpeg string   `json:"ffmpeg"` // SHA-256 of what it says of itself
	Proved []string `json:"proved"`
}

func proofsFile(m *session.Machine) string { return filepath.Join(m.Cache, "encoders.json") }

func digestOf(toolchain string) string {
	sum := sha256.Sum256([]byte(toolchain))
	return hex.EncodeToString(sum[:])
}

// keepProofs writes down which encoders were seen working with this machine's ffmpeg.
func keepProofs(ctx context.Context, m *session.Machine, proved []string) error {
	if m.NoCache != nil {
		return m.NoCache
	}
	toolchain, err := m.Toolchain(ctx)
	if err != nil {
		return err
	}
	data, err := json.Marshal(proofs{digestOf(toolchain), append([]string{}, proved...)})
	if err != nil {
		return err
	}
	return files.WriteSealed(proofsFile(m), data)
}

// provedEncoders is which encoders were seen working with this very ffmpeg.
func provedEncoders(m *session.Machine, toolchain string) []string {
	if m.NoCache != nil {
		return nil
	}
	data, err := files.ReadSealed(proofsFile(m), 1<<20)
	var p proofs
	if err != nil || json.Unmarshal(data, &p) != nil || p.FFmpeg != digestOf(toolchain) {
		return nil
	}
	return p.Proved
}

// encoder decides by which encoder reels are made: the one asked for where it is proved,
// libx264 where none is. A reel has one encoder, because its segments must be alike to be
// joined.
func (m *Maker) encoder(ctx context.Context, machine *session.Machine) (string, error) {
	decided := func(name, because string) (string, error) {
		m.log().Info("encoder", "name", name, "because", because)
		return name, nil
	}
	if m.Encoder == "" {
		return decided(plan.X264, "no other was asked for")
	}
	asked, err := plan.ParseEncoder(m.Encoder)
	if err != nil {
		return "", tags.WrongRequest(err)
	}
	if asked == plan.X264 {
		return decided(asked, "it was asked for")
	}
	toolchain, err := machine.Toolchain(ctx)
	if err != nil {
		return "", err
	}
	proved := provedEncoders(machine, toolchain)
	if asked != plan.AutoEncoder {
		if !slices.Contains(proved, asked) {
			return "", tags.WrongRequest(fmt.Errorf("encoder %s: trenchcut doctor has not proved it on this machine", asked))
		}
		return decided(asked, "it was asked for, and doctor proved it")
	}
	for _, e := range plan.Hardware {
		if slices.Contains(proved, e) {
			return decided(e, "doctor proved it")
		}
	}
	return decided(plan.X264, "doctor proved no other")
}

// withEncoder does work by the encoder that codec names. Where hardware fails, all the work
// is done again by libx264.
func (m *Maker) withEncoder(ctx context.Context, codec string, work func(codec string) error) error {
	err := work(codec)
	if codec == plan.X264 || !render.OfEncoder(err) || ctx.Err() != nil {
		return err
	}
	m.log().Log(ctx, slog.LevelWarn, "encoder failed", "name", codec, "because", firstComplaint(err), "now", "all anew by "+plan.X264)
	return work(plan.X264)
}

// firstComplaint is the first line that ffmpeg said of what failed, or else the first line
// of the error.
func firstComplaint(err error) string {
	text := err.Error()
	var run *ffmpeg.Error
	if errors.As(err, &run) && strings.TrimSpace(run.Stderr) != "" {
		text = speaker.ReplaceAllString(strings.TrimSpace(run.Stderr), "")
	}
	line, _, _ := strings.Cut(text, "\n")
	return line
}

// speaker is the part of ffmpeg that says a line, and where it lies in memory.
var speaker = regexp.MustCompile(`^\[[^]]* @ 0x[0-9a-f]+\] `)
