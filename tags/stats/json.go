package stats

import "encoding/json"

// MarshalJSON adds the interval to a rate, from 0 to 1, where there are Enough reps.
func (r Rate) MarshalJSON() ([]byte, error) {
	out := struct {
		K       int      `json:"k"`
		N       int      `json:"n"`
		Unknown int      `json:"unknown"`
		Rate    *float64 `json:"rate"`
		Low     *float64 `json:"low"`
		High    *float64 `json:"high"`
	}{K: r.K, N: r.N, Unknown: r.Unknown}
	if r.Enough() {
		rate := float64(r.K) / float64(r.N)
		low, high := r.Interval()
		out.Rate, out.Low, out.High = &rate, &low, &high
	}
	return json.Marshal(out)
}
