package demo

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"trenchcut/tags"
)

// sampleRate is of the films' sound, a second.
const sampleRate = 48_000

// bang is something heard: where it starts, in samples of the film, and what.
type bang struct {
	at    int64
	sound func(seconds float64) float64
	lasts int64
}

// writeSound writes the sound of a film as raw samples, 16 bit stereo: a crowd, a click at the
// snap, thuds at the contacts, a whistle at the finish. The crowd's noise counts from
// each play's snap, so that two cameras hear the same crowd, as they would.
func (f *film) writeSound(w io.Writer, samples int64) error {
	out := bufio.NewWriterSize(w, 1<<16)
	var low, high [2]float64
	var bangs []bang
	var seed uint64
	var snap int64
	playing := -1
	var pair [4]byte
	for n := range samples {
		if n%480 == 0 {
			i := f.shotAt(tags.Time(n) * (tags.Second / sampleRate))
			if i != playing {
				playing = i
				bangs = f.shots[i].bangs()
				seed = uint64(pick(f.shots[i].play.Name(), 1<<30))
				snap = sampleAt(f.shots[i].view.Snap)
			}
		}
		since := float64(n-snap) / sampleRate
		swell := 0.020 + 0.022*math.Exp(-sq((since-2.6)/1.6))
		var hit float64
		for _, b := range bangs {
			if d := n - b.at; d >= 0 && d < b.lasts {
				hit += b.sound(float64(d) / sampleRate)
			}
		}
		for ch := range 2 {
			white := noise(seed+uint64(ch)<<40, n-snap)
			low[ch] += 0.06 * (white - low[ch])
			high[ch] += 0.004 * (low[ch] - high[ch])
			v := swell*4*(low[ch]-high[ch]) + hit
			binary.LittleEndian.PutUint16(pair[2*ch:], uint16(int16(clamp(v, -1, 1)*32767)))
		}
		if _, err := out.Write(pair[:]); err != nil {
			return fmt.Errorf("write sound: %w", err)
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write sound: %w", err)
	}
	return nil
}

func sampleAt(t tags.Time) int64 { return int64(t / (tags.Second / sampleRate)) }

// bangs is what is heard of a play besides the crowd.
func (s shot) bangs() []bang {
	at := func(seconds float64) int64 { return sampleAt(s.view.Snap) + int64(seconds*sampleRate) }
	all := []bang{
		{at(0), click, sampleRate / 50},
		{at(s.finish), whistle, sampleRate / 2},
	}
	for _, p := range s.pairs {
		all = append(all, bang{at(p.contact), thud, sampleRate / 6})
	}
	return all
}

func click(t float64) float64 { return 0.30 * math.Exp(-t*420) * math.Sin(2*math.Pi*1900*t) }
func thud(t float64) float64  { return 0.16 * math.Exp(-t*30) * math.Sin(2*math.Pi*(95-120*t)*t) }
func whistle(t float64) float64 {
	edge := min(1, min(t/0.02, (0.5-t)/0.08))
	return 0.05 * edge * (math.Sin(2*math.Pi*2750*t) + 0.7*math.Sin(2*math.Pi*2810*t)) * (0.75 + 0.25*math.Sin(2*math.Pi*34*t))
}

func sq(v float64) float64 { return v * v }

// noise is white, -1 to 1, by place alone: SplitMix64 (Steele, Lea and Flood 2014).
func noise(seed uint64, n int64) float64 {
	z := (seed + uint64(n)) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64(int64(z^z>>31)) / (1 << 63)
}
