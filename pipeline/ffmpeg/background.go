package ffmpeg

import "context"

type backgroundKey struct{}

// InBackground returns ctx for runs of ffmpeg that nobody waits for: where the system allows
// it, they give way to all others.
func InBackground(ctx context.Context) context.Context {
	return context.WithValue(ctx, backgroundKey{}, true)
}

func inBackground(ctx context.Context) bool { return ctx.Value(backgroundKey{}) != nil }
