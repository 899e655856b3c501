package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// proofs is which encoders of graphics hardware doctor saw working here, by which ffmpeg.
type proofs struct {
	FFmpeg string   `json:"ffmpeg"` // SHA-256 of what it says of itself
	Proved []string `json:"proved"`
}

func ofToolchain(toolchain string) string {
	sum := sha256.Sum256([]byte(toolchain))
	return hex.EncodeToString(sum[:])
}

// proofsFile is where doctor leaves its proofs for other commands.
func proofsFile() (string, error) {
	cache, err := cacheFolder()
	return filepath.Join(cache, "encoders.json"), err
}

// keepProofs writes down what doctor saw.
func keepProofs(toolchain string, proved []string) error {
	file, err := proofsFile()
	if err != nil {
		return err
	}
	data, err := json.Marshal(proofs{ofToolchain(toolchain), append([]string{}, proved...)})
	if err != nil {
		return err
	}
	return content.WriteWhole(file, append(data, '\n'), 0o666)
}

// provedEncoders is what doctor saw working with this very ffmpeg; none where it never ran.
func provedEncoders(toolchain string) []string {
	file, err := proofsFile()
	if err != nil {
		return nil
	}
	data, err := os.ReadFile(file)
	var p proofs
	if err != nil || json.Unmarshal(data, &p) != nil || p.FFmpeg != ofToolchain(toolchain) {
		return nil
	}
	return p.Proved
}

// settleEncoder decides by which encoder reels are made: the one asked for where it is
// proved. One is chosen for all of a reel, whose segments must be alike to be joined.
func (o *reelOptions) settleEncoder(ctx context.Context) (codec string, err error) {
	if !o.flags.Changed("encoder") {
		o.log.once(slog.LevelInfo, "encoder", "name", plan.X264, "because", "no other was asked for")
		return plan.X264, nil
	}
	asked, err := plan.ParseEncoder(o.encoder)
	if err != nil {
		return "", usageError{fmt.Errorf("--encoder: %w", err), "trenchcut reel"}
	}
	if asked == plan.X264 {
		o.log.once(slog.LevelInfo, "encoder", "name", asked, "because", "it was asked for")
		return asked, nil
	}
	toolchain, err := o.choose.season.shop.version(ctx)
	if err != nil {
		return "", err
	}
	proved := provedEncoders(toolchain)
	if asked != plan.AutoEncoder {
		if !slices.Contains(proved, asked) {
			return "", usageError{fmt.Errorf("--encoder %s: trenchcut doctor has not proved it on this machine", asked), ""}
		}
		o.log.once(slog.LevelInfo, "encoder", "name", asked, "because", "it was asked for, and doctor proved it")
		return asked, nil
	}
	for _, e := range plan.Hardware {
		if slices.Contains(proved, e) {
			o.log.once(slog.LevelInfo, "encoder", "name", e, "because", "doctor proved it")
			return e, nil
		}
	}
	o.log.once(slog.LevelInfo, "encoder", "name", plan.X264, "because", "doctor proved no other")
	return plan.X264, nil
}

// withEncoder makes reels by the encoder that codec names and, where hardware fails, all of
// them anew by libx264: segments of two encoders cannot be joined.
func (o *reelOptions) withEncoder(ctx context.Context, codec string, work func(codec string) error) error {
	err := work(codec)
	if codec == plan.X264 || !render.OfEncoder(err) || ctx.Err() != nil {
		return err
	}
	o.log.once(slog.LevelWarn, "encoder failed", "name", codec, "because", whyFailed(err), "now", "all anew by "+plan.X264)
	return work(plan.X264)
}

// whyFailed is the first thing that ffmpeg said of what failed, or else what went wrong.
func whyFailed(err error) string {
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
