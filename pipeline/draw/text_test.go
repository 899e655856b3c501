package draw

import (
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"  Teo \t\n Marlow ", "Teo Marlow"},
		{"Nun\u0303ez", "Nu\u00f1ez"},                // accents in one piece where there is one
		{"n\u0304", "n\u0304"},                       // and kept where there is none
		{"a\u202eb\u200bc\u00adx\x00y", "abcxy"},     // what only steers
		{"9\u00a0left", "9\u00a0left"},               // a space that must not fold
		{"bad \xff byte", "bad \ufffd byte"},         //
		{`"50%": \d 'x' {}`, `"50%": \d 'x' {}`},     // no sign is special
		{"Ka\u02bbahumanu H\u0101", "Kaʻahumanu Hā"}, //
		{"\u2028\u2029", ""},
	} {
		if got := clean(c.in); got != c.want {
			t.Errorf("clean(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func TestMissing(t *testing.T) {
	for _, c := range []struct {
		in   string
		want []rune
	}{
		{"3rd & 8 · own 35 › “up” and under – won … 95 %", nil},
		{"ʻOkina Kaʻahumanu āēīōū ĀĒĪŌŪ fa‘afetai Žďárský Łukasz Øystein Þór Đặng Ñúñez Çağrı Ștefan ß", nil},
		{"漢 x 漢😀", []rune{'漢', '😀'}},
		{"אב", []rune{'א', 'ב'}}, // the font has them, but they would come out backwards
		{"\xff", []rune{'\ufffd'}},
		{"\ue000", []rune{'\ue000'}},
		{"a\u200d\ufe0f\n", nil},
		{"", nil},
	} {
		if got := Missing(c.in); !slices.Equal(got, c.want) {
			t.Errorf("Missing(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func TestKernGrowsWithSize(t *testing.T) {
	var buf sfnt.Buffer
	f := fonts().regular
	a, _ := f.GlyphIndex(&buf, 'A')
	v, _ := f.GlyphIndex(&buf, 'V')
	units, err := f.Kern(&buf, a, v, fixed.Int26_6(f.UnitsPerEm()), 0)
	if err != nil || units >= 0 {
		t.Fatalf("the font draws A and V together by %d units, %v", units, err)
	}
	for _, px := range []int{11, 32, 64} {
		want := int(units) * px * 64 / int(f.UnitsPerEm())
		if got := int(newFace(style{false, px}).Kern('A', 'V')); got < want-1 || got > want+1 {
			t.Errorf("at %d pixels A and V move by %d/64, want %d/64", px, got, want)
		}
	}
}

func TestFold(t *testing.T) {
	f := newFace(style{false, 20})
	w := f.width("long arm up and")
	long := strings.Repeat("m", 60)
	for _, c := range []struct {
		in   string
		most int
		want []string
		cut  bool
	}{
		{"long arm up and", 1, []string{"long arm up and"}, false},
		{"long arm up and under", 2, []string{"long arm up and", "under"}, false},
		{"long arm up and under", 1, []string{"long arm up…"}, true},
		{"long arm\u00a0up\u00a0and\u00a0on", 2, []string{"long", "arm\u00a0up\u00a0and\u00a0on"}, false},
		{"", 2, nil, false},
	} {
		got, cut := f.fold(c.in, w, c.most)
		if !slices.Equal(got, c.want) || cut != c.cut {
			t.Errorf("fold(%q, %d) = %q, %v; want %q, %v", c.in, c.most, got, cut, c.want, c.cut)
		}
	}
	got, cut := f.fold(long, w, 50)
	if cut || len(got) < 2 || strings.Join(got, "") != long {
		t.Errorf("a word wider than a line: %q, %v", got, cut)
	}
	for _, row := range got {
		if f.width(row) > w {
			t.Errorf("%q is %d pixels wide, want %d at most", row, f.width(row), w)
		}
	}
	// No letter loses its accent to the next row.
	accents := strings.Repeat("n\u0304", 40)
	got, _ = f.fold(accents, w, 50)
	if strings.Join(got, "") != accents || len(got) < 2 {
		t.Errorf("accents: %q", got)
	}
	for _, row := range got {
		if strings.HasPrefix(row, "\u0304") {
			t.Errorf("a row begins with an accent: %q", row)
		}
	}
}

func TestWidthHoldsAllInk(t *testing.T) {
	f := newFace(style{false, 64})
	hang := 0
	for r := rune(0x20); r < 0x250; r++ {
		bounds, advance, ok := f.Face.GlyphBounds(r)
		if !ok {
			continue
		}
		if want := max(bounds.Max.X, advance).Ceil(); f.width(string(r)) != want || f.fits([]rune{r}, want-1) != 0 {
			t.Errorf("%q is %d pixels wide, want %d", r, f.width(string(r)), want)
		}
		if bounds.Max.X > advance {
			hang++
		}
	}
	if hang == 0 {
		t.Error("no letter hangs over its advance: this proves nothing")
	}
}

func TestAccentStandsOverItsLetter(t *testing.T) {
	f := newFace(style{false, 40})
	var at []int
	for g := range f.glyphs([]rune("mn\u0304i")) {
		b, _, _ := f.GlyphBounds(g.letter)
		at = append(at, int(g.at+(b.Min.X+b.Max.X)/2))
	}
	if len(at) != 4 || at[2] < at[1]-64 || at[2] > at[1]+64 {
		t.Errorf("middles of m, n, macron, i are at %d/64 pixels", at)
	}
	for g := range f.glyphs([]rune("\u0304i")) {
		if b, _, _ := f.GlyphBounds(g.letter); g.at+b.Min.X < 0 || g.end <= 0 {
			t.Errorf("%q with no letter before it starts at %d/64 and ends at %d/64", g.letter, g.at+b.Min.X, g.end)
		}
	}
}

// What stands between two parts begins no line.
func TestFoldBetweenParts(t *testing.T) {
	fs := faces{}
	defer fs.done()
	f := fs.get(false, 20)
	rows, cut := f.fold("short set · won", f.width("short set"), 3)
	if got := strings.Join(rows, "|"); got != "short set|won" || cut {
		t.Errorf("folded to %q", got)
	}
}
