package card

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"io"
)

// The colours of a picture are those of the page in light, from
// web/style/tokens.css: a preview is seen on grounds that we do not know.
var (
	sheet   = rgb(0xfdfcf8)
	ink     = rgb(0x1c2325)
	quiet   = rgb(0x535c5e)
	rule    = rgb(0xdedacd)
	edge    = rgb(0x85857b)
	accent  = rgb(0x0b665f)
	caution = rgb(0x855200)
	failed  = rgb(0xa32a1c)

	curveColours = []color.RGBA{rgb(0x0196b0), rgb(0xc26d31), rgb(0x5753d2), rgb(0x093809), rgb(0x9d3671), rgb(0x252aa5), rgb(0x5c5405), rgb(0x4f205b)}
	// In CSS pixels of a line 1.75 wide; none for a solid line.
	dashes = [][]float64{nil, {9, 4}, {3, 3}, {12, 3, 3, 3}}
)

func rgb(x uint32) color.RGBA {
	return color.RGBA{uint8(x >> 16), uint8(x >> 8), uint8(x), 255}
}

// levels is how many steps of each colour there are from the sheet on.
const levels = 8

// palette has every colour of a picture, and how it blends with the sheet.
var palette = func() color.Palette {
	list := color.Palette{sheet}
	for _, c := range append([]color.RGBA{ink, quiet, rule, edge, accent, caution, failed}, curveColours...) {
		for k := 1; k <= levels; k++ {
			mix := func(a, b uint8) uint8 { return uint8((int(a)*(levels-k) + int(b)*k) / levels) }
			list = append(list, color.RGBA{mix(sheet.R, c.R), mix(sheet.G, c.G), mix(sheet.B, c.B), 255})
		}
	}
	return list
}()

// kept are what a picture is made in; the next one uses it again: see drawing.
var kept = struct {
	drawn   *image.RGBA
	encoded *image.Paletted
	buffer  pool
}{image.NewRGBA(image.Rect(0, 0, Width, Height)), image.NewPaletted(image.Rect(0, 0, Width, Height), palette), pool{}}

type pool struct{ b *png.EncoderBuffer }

func (p *pool) Get() *png.EncoderBuffer  { return p.b }
func (p *pool) Put(b *png.EncoderBuffer) { p.b = b }

// encode writes a picture with the palette: a quarter of the bytes to go through,
// and no filters to choose from, which is most of the time that PNG takes.
func encode(w io.Writer, from *image.RGBA) error {
	to := kept.encoded
	clear(to.Pix)
	var known [1 << 12]uint8 // nearest of a colour of 12 bits, plus 1
	n := from.Bounds().Dx()
	empty := bytes.Repeat([]byte{sheet.R, sheet.G, sheet.B, 255}, n)
	for y := range from.Bounds().Dy() {
		row, out := from.Pix[y*from.Stride:y*from.Stride+4*n], to.Pix[y*to.Stride:y*to.Stride+n]
		if bytes.Equal(row, empty) {
			continue
		}
		for x := range out {
			r, g, b := row[4*x], row[4*x+1], row[4*x+2]
			if r == sheet.R && g == sheet.G && b == sheet.B {
				continue
			}
			key := int(r>>4)<<8 | int(g>>4)<<4 | int(b>>4)
			if known[key] == 0 {
				known[key] = uint8(palette.Index(color.RGBA{r&0xF0 | 8, g&0xF0 | 8, b&0xF0 | 8, 255})) + 1
			}
			out[x] = known[key] - 1
		}
	}
	e := png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: &kept.buffer}
	return e.Encode(w, to)
}
