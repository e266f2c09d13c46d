package card

import (
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"sync"

	"github.com/fogleman/gg"

	"plateau/core/publish"
	"plateau/core/trace"
)

// The size that ogp.me's og:image:width and height announce, and its margin.
const (
	Width  = 1200
	Height = 630
	margin = 40
)

const (
	mostCurves = 40
	mostLong   = 150_000.0 // pixels of all curves of a picture
	scale      = 1.9       // of dashes, from CSS pixels
)

// drawing is held while a picture is drawn: fonts are shared, and pictures one at
// a time are enough work for one server.
var drawing sync.Mutex

// drawn is a picture in the making.
type drawn struct {
	*fonts
	post *publish.Post
	on   *image.RGBA
	dc   *gg.Context
}

// picture writes a post as a PNG: the curves, and the main figures beside them.
func picture(w io.Writer, p *publish.Post) error {
	if !small(p) {
		return errTooMuch
	}
	drawing.Lock()
	defer drawing.Unlock()
	on := kept.drawn
	draw.Draw(on, on.Bounds(), image.NewUniform(sheet), image.Point{}, draw.Src)
	d := &drawn{theFonts(), p, on, gg.NewContextForRGBA(on)}
	d.head()
	curves := d.curves()
	if len(curves) > 0 {
		d.chart(curves)
	}
	d.figures(curves)
	d.foot()
	return encode(w, on)
}

func (d *drawn) head() {
	d.title.write(d.on, d.title.fit(titled(d.post), Width-2*margin), margin, 74, ink, false)
	d.text.write(d.on, d.text.fit(about(d.post)+" · ± is the expanded uncertainty, k = 2", Width-2*margin), margin, 112, quiet, false)
}

// line is a curve in pixels, with its colour and dash.
type line struct {
	run    int
	colour color.Color
	dash   []float64
	wide   float64
	x, y   []float64 // Ah, V
}

// curves are those that can be drawn.
func (d *drawn) curves() []line {
	var list []line
	for k := range d.post.Curves {
		c := &d.post.Curves[k]
		l := line{run: c.Run, colour: curveColours[k%len(curveColours)], wide: 4}
		for _, x := range dashes[k/len(curveColours)%len(dashes)] {
			l.dash = append(l.dash, scale*x)
		}
		for n := range min(len(c.Q), len(c.V)) {
			if !math.IsNaN(c.Q[n]-c.Q[n]) && !math.IsNaN(c.V[n]-c.V[n]) {
				l.x, l.y = append(l.x, c.Q[n]), append(l.y, c.V[n])
			}
		}
		if len(l.x) > 1 && len(list) < mostCurves {
			list = append(list, l)
		}
	}
	for k := range list {
		if len(list) > 8 {
			list[k].wide = 3
		}
	}
	return list
}

func (d *drawn) chart(curves []line) {
	const left, right, above, below = margin + 58, 770, 172, 466
	lowX, highX, lowY, highY := 0.0, 0.0, math.Inf(1), math.Inf(-1)
	for _, l := range curves {
		for k := range l.x {
			lowX, highX = min(lowX, l.x[k]), max(highX, l.x[k])
			lowY, highY = min(lowY, l.y[k]), max(highY, l.y[k])
		}
	}
	x, y := newAxis(lowX, highX, left, right, 6, true), newAxis(lowY, highY, below, above, 5, false)
	dc := d.dc
	dc.SetLineWidth(1.5)
	dc.SetColor(rule)
	for _, v := range y.marks {
		at := math.Round(y.at(v))
		dc.DrawLine(left, at, right, at)
		dc.Stroke()
		d.small.write(d.on, d.small.fit(y.word(v), left-10-30), left-10, at+7, quiet, true)
	}
	dc.SetColor(edge)
	dc.SetLineWidth(2)
	dc.DrawLine(left, above, left, below)
	dc.DrawLine(left, below, right, below)
	for _, v := range x.marks {
		at := math.Round(x.at(v))
		dc.DrawLine(at, below, at, below+7)
		s := d.small.fit(x.word(v), 100)
		d.small.write(d.on, s, at-d.small.width(s)/2, below+29, quiet, false)
	}
	dc.Stroke()
	d.small.write(d.on, "Voltage / V", margin, above-17, quiet, false)
	d.small.write(d.on, "Discharged charge / Ah", right, below+57, quiet, true)
	for _, l := range curves {
		d.stroke(l, x, y, mostLong/float64(len(curves)))
	}
}

// stroke draws a curve, thinned to what the pixels show and, where it goes up and
// down without end, to what is worth the time.
func (d *drawn) stroke(l line, x, y axis, most float64) {
	var px, py []float64
	for columns := int(x.to - x.from); ; columns /= 2 {
		th := trace.NewThinner(x.low, x.high, columns)
		th.Add(l.x, l.y)
		points := th.Points()
		px, py = px[:0], py[:0]
		long := 0.0
		for k := 0; k+1 < len(points); k += 2 {
			px, py = append(px, x.at(points[k])), append(py, y.at(points[k+1]))
			if n := len(px); n > 1 {
				long += math.Hypot(px[n-1]-px[n-2], py[n-1]-py[n-2])
			}
		}
		if long <= most || columns < 8 {
			break
		}
	}
	d.line(px, py, l)
}

func (d *drawn) line(px, py []float64, l line) {
	dc := d.dc
	dc.SetColor(l.colour)
	dc.SetLineWidth(l.wide)
	dc.SetLineCapButt()
	dc.SetLineJoinRound()
	dc.SetDash(l.dash...)
	for k := range px {
		dc.LineTo(px[k], py[k])
	}
	dc.Stroke()
	dc.SetDash()
}
