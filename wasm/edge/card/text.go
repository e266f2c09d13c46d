package card

import (
	"image"
	"image/color"
	"image/draw"
	"strings"
	"sync"
	"unicode"

	"github.com/golang/freetype/truetype"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/math/fixed"
)

// letters are a font at one size. The glyphs that it has drawn stay in it, and it
// is not safe for use by several at once: see drawing.
type letters struct {
	font *truetype.Font
	face font.Face
}

// fonts are those of a picture.
type fonts struct{ title, bold, big, text, small letters }

var theFonts = sync.OnceValue(func() *fonts {
	parsed := func(ttf []byte) *truetype.Font {
		f, err := truetype.Parse(ttf)
		if err != nil {
			panic(err) // a fault of the build, not of a request
		}
		return f
	}
	regular, bold := parsed(goregular.TTF), parsed(gobold.TTF)
	sized := func(f *truetype.Font, size float64) letters {
		return letters{f, truetype.NewFace(f, &truetype.Options{Size: size, Hinting: font.HintingNone})}
	}
	return &fonts{title: sized(bold, 42), bold: sized(bold, 23), big: sized(bold, 29), text: sized(regular, 23), small: sized(regular, 20)}
})

// shown is a text with what the font lacks as a question mark, one for several in
// a row, and without what takes no room.
func (l letters) shown(s string) string {
	var b strings.Builder
	lacking := false
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf, unicode.Cc):
			continue
		}
		if l.font.Index(r) == 0 || r == unicode.ReplacementChar {
			if !lacking {
				b.WriteByte('?')
			}
			lacking = true
			continue
		}
		lacking = false
		b.WriteRune(r)
	}
	return b.String()
}

func (l letters) width(s string) float64 {
	return float64(font.MeasureString(l.face, s)) / 64
}

// mostLetters is how many a text is looked at for: no line is longer.
const mostLetters = 300

// fit is a text as it is drawn in so many pixels, cut with an ellipsis where it
// has to be.
func (l letters) fit(s string, room float64) string {
	r := []rune(l.shown(s))
	if len(r) > mostLetters {
		r = r[:mostLetters]
	}
	if l.width(string(r)) <= room && len(r) < mostLetters {
		return string(r)
	}
	low, high := 0, len(r)
	for low < high {
		mid := (low + high + 1) / 2
		if l.width(strings.TrimRight(string(r[:mid]), " ,;")+"…") <= room {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return strings.TrimRight(string(r[:low]), " ,;") + "…"
}

// write draws a text that fits, from x on or, where x is to the right of it, up to
// x, on the base line y. It returns the text's width.
func (l letters) write(on draw.Image, s string, x, y float64, c color.Color, right bool) float64 {
	w := l.width(s)
	if right {
		x -= w
	}
	d := font.Drawer{Dst: on, Src: image.NewUniform(c), Face: l.face, Dot: fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)}}
	d.DrawString(s)
	return w
}
