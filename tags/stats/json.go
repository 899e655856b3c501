package stats

import (
	"encoding/json"
	"math"

	"trenchcut/tags"
)

// seconds is a time as a program reads it, to the millisecond.
func seconds(t tags.Time) float64 { return math.Round(t.Seconds()*1000) / 1000 }

func secondsOrNil(t *tags.Time) *float64 {
	if t == nil {
		return nil
	}
	s := seconds(*t)
	return &s
}

// MarshalJSON writes the time in seconds.
func (s Step) MarshalJSON() ([]byte, error) {
	type plain Step
	return json.Marshal(struct {
		At float64 `json:"at"`
		plain
	}{seconds(s.At), plain(s)})
}

// MarshalJSON writes the times in seconds.
func (m Median) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		At   *float64 `json:"at"`
		Low  *float64 `json:"low"`
		High *float64 `json:"high"`
	}{secondsOrNil(m.At), secondsOrNil(m.Low), secondsOrNil(m.High)})
}

// MarshalJSON writes the time in seconds.
func (r Reached) MarshalJSON() ([]byte, error) {
	type plain Reached
	return json.Marshal(struct {
		By float64 `json:"by"`
		plain
	}{seconds(r.By), plain(r)})
}

// rateJSON is a rate with its interval, from 0 to 1, where there are Enough reps.
type rateJSON struct {
	K       int      `json:"k"`
	N       int      `json:"n"`
	Unknown int      `json:"unknown"`
	Rate    *float64 `json:"rate"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
}

func (r Rate) json() rateJSON {
	out := rateJSON{K: r.K, N: r.N, Unknown: r.Unknown}
	if r.Enough() {
		rate := float64(r.K) / float64(r.N)
		low, high := r.Interval()
		out.Rate, out.Low, out.High = &rate, &low, &high
	}
	return out
}

// MarshalJSON adds the interval to a rate.
func (r Rate) MarshalJSON() ([]byte, error) { return json.Marshal(r.json()) }

// MarshalJSON adds the interval to a rate.
func (r NamedRate) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Name string `json:"name"`
		rateJSON
	}{r.Name, r.json()})
}
