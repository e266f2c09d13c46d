package card

import (
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"strconv"
	"strings"
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
	on := image.NewRGBA(image.Rect(0, 0, Width, Height))
	draw.Draw(on, on.Bounds(), image.NewUniform(sheet), image.Point{}, draw.Src)
	d := &drawn{theFonts(), p, on, gg.NewContextForRGBA(on)}
	d.head()
	curves := d.curves()
	if len(curves) > 0 {
		d.chart(curves)
		d.figures(curves, 806, Width-margin)
	} else {
		d.figures(curves, margin, Width-margin)
	}
	d.foot()
	return encode(w, on)
}

func (d *drawn) head() {
	p := d.post
	title := p.Title
	if title == "" {
		title = "Measurements of cells"
	}
	d.title.write(d.on, d.title.fit(title, Width-2*margin), margin, 74, ink, false)
	var s []string
	if p.Day != "" {
		s = append(s, p.Day)
	}
	s = append(s, plural(len(p.Runs), "discharge")+" of "+plural(max(len(p.Cells), 1), "cell"), "± is the expanded uncertainty, k = 2")
	d.text.write(d.on, d.text.fit(strings.Join(s, "  ·  "), Width-2*margin), margin, 112, quiet, false)
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
	const left, right, above, below = margin + 58, 770, 168, 488
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
		d.small.write(d.on, y.word(v), left-10, at+7, quiet, true)
	}
	dc.SetColor(edge)
	dc.SetLineWidth(2)
	dc.DrawLine(left, above, left, below)
	dc.DrawLine(left, below, right, below)
	for _, v := range x.marks {
		at := math.Round(x.at(v))
		dc.DrawLine(at, below, at, below+7)
		s := x.word(v)
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

// figures are the discharges with what they gave: a few with all that counts,
// more in a line each, the rest as a number.
func (d *drawn) figures(curves []line, left, right float64) {
	own := map[int]line{}
	for _, l := range curves {
		if _, ok := own[l.run]; !ok {
			own[l.run] = l
		}
	}
	const top, bottom = 152, 545
	runs := d.post.Runs
	if len(runs) == 0 {
		d.text.write(d.on, d.text.fit("This link holds no discharge.", right-left), left, top+40, quiet, false)
		return
	}
	each, most := 98.0, 4
	if len(runs) > most {
		each, most = 30, 13
	}
	shown := runs
	if len(runs) > most {
		shown = runs[:most-1]
	}
	y := float64(top)
	for k := range shown {
		g := words.Glance(&shown[k])
		x := left
		if l, ok := own[k]; ok {
			l.wide = 5
			d.line([]float64{x, x + 44}, []float64{y + 15, y + 15}, l)
		}
		if len(curves) > 0 {
			x += 56
		}
		capacity := unit(g.Capacity, "Ah")
		if each < 90 {
			n := d.text.fit(capacity, right-x)
			w := d.text.write(d.on, n, right, y+23, ink, true)
			d.text.write(d.on, d.text.fit(g.Name, right-x-w-14), x, y+23, tone(g), false)
		} else {
			d.bold.write(d.on, d.bold.fit(g.Name, right-x), x, y+23, tone(g), false)
			d.big.write(d.on, d.big.fit(capacity, right-left), left, y+56, ink, false)
			rest := strings.Join(present(unit(bare(g.Energy), "Wh"), volts(g), g.At), "  ·  ")
			if g.Remark != "" {
				rest = g.Remark + "  ·  " + rest
			}
			d.small.write(d.on, d.small.fit(rest, right-left), left, y+83, quiet, false)
		}
		y += each
	}
	if n := len(runs) - len(shown); n > 0 {
		d.text.write(d.on, "and "+strconv.Itoa(n)+" more", left, min(y+23, bottom), quiet, false)
	}
}

// tone is the colour of a discharge's name: one that does not count steps back.
func tone(g publish.Glance) color.Color {
	if g.Void {
		return quiet
	}
	return ink
}

func bare(figure string) string {
	value, _, _ := strings.Cut(figure, " ± ")
	return value
}

func volts(g publish.Glance) string {
	if g.Average == "" {
		return ""
	}
	return "average " + bare(g.Average) + " V"
}

func unit(figure, unit string) string {
	if figure == "" {
		return ""
	}
	return strings.Replace(figure, "at least ", "≥ ", 1) + " " + unit
}

func present(list ...string) []string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}
