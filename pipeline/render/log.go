package render

import (
	"log/slog"
	"math"
	"time"
)

// quiet takes what nobody listens to.
var quiet = slog.New(slog.DiscardHandler)

// Seconds is how long ago start was, to the hundredth, for a log.
func Seconds(start time.Time) slog.Attr {
	return slog.Float64("seconds", math.Round(time.Since(start).Seconds()*100)/100)
}
