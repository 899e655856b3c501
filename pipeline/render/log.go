package render

import (
	"log/slog"
	"math"
	"time"
)

// quiet takes what nobody listens to.
var quiet = slog.New(slog.DiscardHandler)

// seconds is how long ago start was, to the hundredth.
func seconds(start time.Time) slog.Attr {
	return slog.Float64("seconds", math.Round(time.Since(start).Seconds()*100)/100)
}
