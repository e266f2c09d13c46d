package card

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"net/http"
	"os"
	"strconv"
	"strings"
	"testing"

	"plateau/core/publish"
)

func drawnOf(t testing.TB, p publish.Post) image.Image {
	t.Helper()
	var b bytes.Buffer
	if err := picture(&b, &p); err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	return im
}

// near counts the pixels of a colour, or nearly, in a box.
func near(im image.Image, box image.Rectangle, want color.RGBA) int {
	n := 0
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			r, g, b, _ := im.At(x, y).RGBA()
			far := math.Abs(float64(r>>8)-float64(want.R)) + math.Abs(float64(g>>8)-float64(want.G)) + math.Abs(float64(b>>8)-float64(want.B))
			if far < 24 {
				n++
			}
		}
	}
	return n
}

func TestSizeOfPictures(t *testing.T) {
	for name := range samples {
		res := ask(t, "GET", Prefix+sample(t, name)+".png")
		text := body(t, res)
		head, err := png.DecodeConfig(strings.NewReader(text))
		if res.StatusCode != http.StatusOK || err != nil || head.Width != 1200 || head.Height != 630 {
			t.Errorf("%s: %d, %d by %d, %v", name, res.StatusCode, head.Width, head.Height, err)
		}
		if len(text) > 120_000 {
			t.Errorf("%s: %d bytes", name, len(text))
		}
		if again := body(t, ask(t, "GET", Prefix+sample(t, name)+".png")); again != text {
			t.Errorf("%s: another picture the second time", name)
		}
	}
}

// A curve of one voltage is a line of its colour where the axis has that voltage,
// and nowhere else.
func TestInkIsWhereTheCurveIs(t *testing.T) {
	p := campaign(1, 1)
	p.Curves = []publish.Curve{{Run: 0, Q: []float64{0, 4}, V: []float64{4, 4}}, {Run: 0, Q: []float64{0, 2, 4}, V: []float64{3, 3.5, 3}}}
	im := drawnOf(t, p)
	const left, right, above, below = 98, 770, 172, 466
	x, y := newAxis(0, 4, left, right, 6, true), newAxis(3, 4, below, above, 5, false)
	for _, q := range []float64{0.3, 1, 2, 3.7} {
		at := image.Pt(int(x.at(q)), int(y.at(4)))
		if n := near(im, image.Rect(at.X-2, at.Y-5, at.X+3, at.Y+6), curveColours[0]); n < 10 {
			t.Errorf("%d pixels of the first curve at %g Ah", n, q)
		}
		v := 3.5 - math.Abs(q-2)/4
		at = image.Pt(int(x.at(q)), int(y.at(v)))
		if n := near(im, image.Rect(at.X-3, at.Y-5, at.X+4, at.Y+6), curveColours[1]); n < 10 {
			t.Errorf("%d pixels of the second curve at %g Ah", n, q)
		}
	}
	if n := near(im, image.Rect(left+5, int(y.at(3.9)), right, below-5), curveColours[0]); n > 0 {
		t.Errorf("%d pixels of the first curve where it is not", n)
	}
	if n := near(im, image.Rect(int(x.at(4))+5, above, right, below), curveColours[1]); n > 0 {
		t.Errorf("%d pixels of the second curve behind its end", n)
	}
}

// From the ninth curve on colours come again with dashes.
func TestDashes(t *testing.T) {
	p := campaign(1, 1)
	p.Curves = nil
	for k := range 10 {
		v := 3 + 0.1*float64(k)
		p.Curves = append(p.Curves, publish.Curve{Run: 0, Q: []float64{0, 5}, V: []float64{v, v}})
	}
	im := drawnOf(t, p)
	y := newAxis(3, 3.9, 466, 172, 5, false)
	row := func(v float64, c color.RGBA) int {
		at := int(y.at(v))
		return near(im, image.Rect(100, at, 740, at+1), c)
	}
	solid, dashed := row(3.1, curveColours[1]), row(3.9, curveColours[1])
	if solid < 600 || dashed < 350 || dashed > 520 { // 9 of 13 parts
		t.Errorf("%d and %d pixels of 640", solid, dashed)
	}
}

func TestManyAndNone(t *testing.T) {
	for _, p := range []publish.Post{campaign(40, 1), campaign(300, 1), {}, {Title: "x", Cells: make([]publish.Cell, 3)}, {Curves: []publish.Curve{{Q: []float64{1}, V: []float64{1}}}},
		{Runs: make([]publish.Run, 1), Curves: []publish.Curve{{Run: 7, Q: []float64{math.NaN(), 1, 1}, V: []float64{1, math.Inf(1), 1}}, {Q: []float64{-1e300, 1e300}, V: []float64{-1e300, 1e300}}}}} {
		im := drawnOf(t, p)
		if n := near(im, image.Rect(0, 0, 1200, 120), ink); n < 200 {
			t.Errorf("%d pixels of a title", n)
		}
		if n := near(im, image.Rect(0, 0, 30, 630), sheet); n != 30*630 {
			t.Errorf("something is in the margin: %d", n)
		}
	}
}

// Forty curves that go up and down without end take no longer than is worth it.
func BenchmarkWorst(b *testing.B) {
	p := campaign(40, 1)
	p.Curves = nil
	for k := range 40 {
		c := publish.Curve{Run: k}
		for n := range 5000 {
			c.Q, c.V = append(c.Q, float64(n)), append(c.V, float64(n%2))
		}
		p.Curves = append(p.Curves, c)
	}
	for b.Loop() {
		var w bytes.Buffer
		if err := picture(&w, &p); err != nil {
			b.Fatal(err)
		}
	}
}

func TestTexts(t *testing.T) {
	f := theFonts()
	for in, want := range map[string]string{
		"Alder 1.00 A": "Alder 1.00 A", "電池 A": "? A", "סוללה": "?", "3 Ω ± 2 °C, ≥ 4 V, Größe Ёж": "3 Ω ± 2 °C, ≥ 4 V, Größe Ёж", "a\u200b\u0301b\tc": "ab c", "😀😀": "?",
	} {
		if got := f.text.shown(in); got != want {
			t.Errorf("%q is drawn as %q, want %q", in, got, want)
		}
	}
	for _, s := range []string{strings.Repeat("W", 1000), strings.Repeat("long name ", 40), "短" + strings.Repeat("x", 400)} {
		got := f.text.fit(s, 300)
		if w := f.text.width(got); w > 300 || w < 260 || !strings.HasSuffix(got, "…") {
			t.Errorf("%q takes %g", got, w)
		}
	}
	if got := f.text.fit("short", 300); got != "short" {
		t.Error(got)
	}
}

// Round marks: 1, 2, 2.5 or 5 times a power of ten, inside the axis.
func TestAxis(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 5, "0 1 2 3 4 5"}, {2.5, 4.2, "2.5 3.0 3.5 4.0"}, {0, 0.012, "0.000 0.002 0.004 0.006 0.008 0.010 0.012"}, {3, 3, "2.6 2.8 3.0 3.2 3.4"}, {-1, 1, "−1.0 −0.5 0.0 0.5 1.0"},
	} {
		a := newAxis(c.low, c.high, 0, 100, map[bool]int{true: 6, false: 5}[c.low == 0], false)
		var got []string
		for _, m := range a.marks {
			got = append(got, a.word(m))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%g to %g: %s, want %s", c.low, c.high, strings.Join(got, " "), c.want)
		}
	}
}

// The page's colours are said in one place.
func TestColoursAreThePages(t *testing.T) {
	tokens, err := os.ReadFile("../../../web/style/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	light, dark, _ := strings.Cut(string(tokens), "@media (prefers-color-scheme: dark)")
	hex := func(c color.RGBA) string {
		return "#" + strconv.FormatUint(1<<24|uint64(c.R)<<16|uint64(c.G)<<8|uint64(c.B), 16)[1:]
	}
	for name, c := range map[string]color.RGBA{"sheet": sheet, "ink": ink, "ink-2": quiet, "rule": rule, "rule-strong": edge, "accent": accent, "caution": caution, "fault": failed} {
		if !strings.Contains(light, "--"+name+": "+hex(c)+";") {
			t.Errorf("--%s is not %s", name, hex(c))
		}
	}
	for k, c := range curveColours {
		if !strings.Contains(light, "--curve-"+strconv.Itoa(k)+": "+hex(c)+";") {
			t.Errorf("--curve-%d is not %s", k, hex(c))
		}
	}
	ours, oursDark, _ := strings.Cut(style, "@media (prefers-color-scheme:dark)")
	oursDark, _, _ = strings.Cut(oursDark, "}}")
	for _, part := range [][2]string{{ours[:strings.Index(ours, "}")], light}, {oursDark, dark}} {
		for _, rule := range strings.Split(part[0], ";") {
			if name, value, ok := strings.Cut(rule[strings.LastIndex(rule, "{")+1:], ":"); ok && strings.HasPrefix(name, "--") && !strings.Contains(part[1], name+": "+value+";") {
				t.Errorf("the card's %s is %s, not the page's", name, value)
			}
		}
	}
}
