package plan_test

import (
	"math/big"
	"math/rand/v2"
	"reflect"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

func TestHouseFor(t *testing.T) {
	film := func(w, h int, num, den int64) plan.Source {
		return plan.Source{Width: w, Height: h, Rate: tags.Rate{Num: num, Den: den}}
	}
	for name, c := range map[string]struct {
		films  []plan.Source
		recipe plan.Recipe
		want   plan.House
	}{
		"one film":                {[]plan.Source{film(1280, 720, 30000, 1001)}, plan.Recipe{}, plan.House{Width: 1280, Height: 720, Rate: tags.Rate{Num: 30000, Den: 1001}}},
		"the largest and fastest": {[]plan.Source{film(640, 480, 60000, 1001), film(1280, 720, 25, 1)}, plan.Recipe{}, plan.House{Width: 1280, Height: 720, Rate: tags.Rate{Num: 60000, Den: 1001}}},
		"4K comes down":           {[]plan.Source{film(3840, 2160, 120, 1)}, plan.Recipe{}, plan.House{Width: 1920, Height: 1080, Rate: tags.Rate{Num: 60, Den: 1}}},
		"small stays small":       {[]plan.Source{film(320, 240, 15, 1)}, plan.Recipe{}, plan.House{Width: 640, Height: 360, Rate: tags.Rate{Num: 24000, Den: 1001}}},
		"upright":                 {[]plan.Source{film(1080, 1920, 30, 1)}, plan.Recipe{}, plan.House{Width: 1920, Height: 1080, Rate: tags.Rate{Num: 30, Den: 1}}},
		"between two rungs":       {[]plan.Source{film(1000, 600, 26, 1)}, plan.Recipe{}, plan.House{Width: 1280, Height: 720, Rate: tags.Rate{Num: 30000, Den: 1001}}},
		"tall":                    {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Shape: plan.Tall}, plan.House{Width: 1080, Height: 1920, Rate: tags.Rate{Num: 30, Den: 1}}},
		"tall and small":          {[]plan.Source{film(640, 360, 30, 1)}, plan.Recipe{Shape: plan.Tall}, plan.House{Width: 540, Height: 960, Rate: tags.Rate{Num: 30, Den: 1}}},
		"tall at the top":         {[]plan.Source{film(3840, 2160, 30, 1)}, plan.Recipe{Shape: plan.Tall}, plan.House{Width: 1080, Height: 1920, Rate: tags.Rate{Num: 30, Den: 1}}},
		"square":                  {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Shape: plan.Square}, plan.House{Width: 1080, Height: 1080, Rate: tags.Rate{Num: 30, Den: 1}}},
		"tall, of a size":         {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Shape: plan.Tall, Width: 1280, Height: 720}, plan.House{Width: 720, Height: 1280, Rate: tags.Rate{Num: 30, Den: 1}}},
		"tall, at most":           {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Shape: plan.Tall, Width: 3840, Height: 3840}, plan.House{Width: 2160, Height: 3840, Rate: tags.Rate{Num: 30, Den: 1}}},
		"square, at least":        {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Shape: plan.Square, Width: 320, Height: 180}, plan.House{Width: 320, Height: 320, Rate: tags.Rate{Num: 30, Den: 1}}},
		"wide, said":              {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Shape: plan.Wide}, plan.House{Width: 1280, Height: 720, Rate: tags.Rate{Num: 30, Den: 1}}},
		"the recipe's word":       {[]plan.Source{film(1280, 720, 30, 1)}, plan.Recipe{Width: 960, Height: 540, Rate: tags.Rate{Num: 25, Den: 1}}, plan.House{Width: 960, Height: 540, Rate: tags.Rate{Num: 25, Den: 1}}},
	} {
		if got := plan.HouseFor(c.films, c.recipe); got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
}

func TestLetterbox(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 10_000 {
		w, h := 16+r.IntN(4000), 16+r.IntN(4000)
		house := plan.House{Width: 2 * (80 + r.IntN(1800)), Height: 2 * (80 + r.IntN(1800))}
		f := plan.Letterbox(w, h, house)
		if f.X < 0 || f.Y < 0 || f.X+f.Width > house.Width || f.Y+f.Height > house.Height {
			t.Fatalf("%d×%d in %+v: %+v sticks out", w, h, house, f)
		}
		if f.X%2+f.Y%2+f.Width%2+f.Height%2 != 0 {
			t.Fatalf("%d×%d in %+v: %+v has an odd side", w, h, house, f)
		}
		if f.Width < house.Width-1 && f.Height < house.Height-1 {
			t.Fatalf("%d×%d in %+v: %+v fills neither side", w, h, house, f)
		}
		// The shape is kept to within the two pixels that even sides cost.
		if d := f.Width*h - f.Height*w; max(d, -d) > 2*max(w, h)+2*min(w, h) {
			t.Fatalf("%d×%d in %+v: %+v is another shape", w, h, house, f)
		}
	}
}

// A segment lasts as many ticks of the house rate as fall within its span.
func TestFrames(t *testing.T) {
	rates := []tags.Rate{{Num: 24000, Den: 1001}, {Num: 25, Den: 1}, {Num: 30000, Den: 1001}, {Num: 50, Den: 1}, {Num: 60000, Den: 1001}, {Num: 60, Den: 1}}
	for _, house := range rates {
		for _, src := range rates {
			for _, n := range []tags.Frame{1, 2, 7, 100, 1001, 54_321} {
				s := plan.Segment{Kind: plan.Film, House: plan.House{Rate: house}, Source: &plan.Source{Rate: src}, Span: tags.Span{In: 5, Out: 5 + n}}
				// ⌈n · house / src⌉ in exact fractions.
				q := big.NewRat(int64(n)*src.Den*house.Num, src.Num*house.Den)
				want := new(big.Int).Add(q.Num(), new(big.Int).Sub(q.Denom(), big.NewInt(1)))
				want.Div(want, q.Denom())
				if got := s.Frames(); int64(got) != want.Int64() {
					t.Errorf("%d frames at %s are %d at %s, want %d", n, src, got, house, want)
				}
			}
		}
	}
}

// A reel's running count of samples is never off by a whole one, and a segment carries
// enough for either way it rounds.
func TestSamples(t *testing.T) {
	rate := tags.Rate{Num: 30000, Den: 1001}
	for n := range tags.Frame(10_000) {
		exact := big.NewRat(int64(n)*1001*plan.SampleRate, 30000)
		got := plan.SamplesAt(rate, n)
		if diff := new(big.Rat).Sub(exact, big.NewRat(got, 1)); diff.Sign() < 0 || diff.Cmp(big.NewRat(1, 1)) >= 0 {
			t.Fatalf("%d samples at frame %d, want ⌊%s⌋", got, n, exact.FloatString(3))
		}
		s := plan.Segment{Kind: plan.Slate, House: plan.House{Rate: rate}, Hold: 100}
		if allotted := plan.SamplesAt(rate, n+100) - got; allotted > s.Samples() {
			t.Fatalf("at frame %d a segment is allotted %d samples and has %d", n, allotted, s.Samples())
		}
	}
}

// Whatever is changed in a segment, its key changes; what is not in it cannot.
func TestKeyHoldsEverything(t *testing.T) {
	s := plan.Segment{
		Kind: plan.Film, Source: &plan.Source{}, Below: &plan.Below{Source: &plan.Source{}}, Still: &plan.Still{Source: &plan.Source{}}, Pan: &plan.Pan{Keys: []plan.PanKey{{}}}, Card: &plan.Card{Lines: []string{""}, Shares: []plan.Share{{}}, Small: []string{""}},
		Layers: []plan.Layer{{
			Label: &plan.Label{Lines: []string{""}}, Clock: &plan.Clock{Caught: []plan.Caught{{}}}, Ring: &plan.Ring{Way: []plan.RingKey{{}}}, Drawing: &plan.Drawing{Points: []plan.Spot{{}}},
		}},
	}
	key := func(toolchain string) plan.Key {
		t.Helper()
		k, err := s.Key(toolchain)
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	first := key("ffmpeg 5")
	if key("ffmpeg 6") == first {
		t.Error("another toolchain, the same key")
	}
	seen := map[plan.Key]string{first: "nothing"}
	fields := 0
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				walk(path+"."+v.Type().Field(i).Name, v.Field(i))
			}
			return
		case reflect.Pointer:
			walk(path, v.Elem())
			return
		case reflect.Slice:
			walk(path, v.Index(0))
			return
		}
		old := reflect.New(v.Type()).Elem()
		old.Set(v)
		switch v.Kind() {
		case reflect.String:
			v.SetString("changed")
		case reflect.Int, reflect.Int64:
			v.SetInt(77)
		case reflect.Float64:
			v.SetFloat(0.77)
		case reflect.Bool:
			v.SetBool(true)
		default:
			t.Fatalf("%s is a %s, which this test cannot change", path, v.Kind())
		}
		fields++
		k := key("ffmpeg 5")
		if other, taken := seen[k]; taken {
			t.Errorf("%s changed has the key of %s changed", path, other)
		}
		seen[k] = path
		v.Set(old)
	}
	walk("Segment", reflect.ValueOf(&s).Elem())
	if fields < 40 {
		t.Errorf("only %d fields were changed", fields)
	}
}
