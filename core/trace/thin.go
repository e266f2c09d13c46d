package trace

import "math"

// Thinner cuts a curve down to what a screen can show: of the points that fall
// on one column of pixels it keeps the first, the last, the lowest and the
// highest, so that the picture is that of the whole curve (M4: U. Jugel et
// al., "M4: A visualization-oriented time series data aggregation", PVLDB
// 7(10), 2014; paper cited from memory). It is for drawing only: figures are
// computed from all samples.
type Thinner struct {
	x0, scale float64
	columns   int
	col       int
	until     float64 // the column's points lie below this
	held      bool
	first     xy
	last      xy
	low, high xy
	seq       int
	out       []float64 // x, y, x, y, …
}

type xy struct {
	x, y float64
	seq  int
}

// NewThinner draws x0 to x1 on the given number of pixel columns. Points
// outside are kept one to each side, so that lines run to the edge.
func NewThinner(x0, x1 float64, columns int) *Thinner {
	columns = max(columns, 1)
	scale := float64(columns) / (x1 - x0)
	if !(x1 > x0) {
		scale = 0
	}
	return &Thinner{x0: x0, scale: scale, columns: columns}
}

// Add takes the next points of the curve; one without a value (NaN) is left
// out. Abscissas do not decrease but for noise.
func (th *Thinner) Add(xs, ys []float64) {
	for k, x := range xs {
		y := ys[k]
		if y != y || x != x {
			continue
		}
		th.seq++
		if !th.held || x >= th.until {
			th.flush()
			th.begin(xy{x, y, th.seq})
			continue
		}
		th.last.x, th.last.y, th.last.seq = x, y, th.seq
		if y < th.low.y {
			th.low = th.last
		}
		if y > th.high.y {
			th.high = th.last
		}
	}
}

// begin starts the column of pixels in which p lies.
func (th *Thinner) begin(p xy) {
	place := math.Floor((p.x - th.x0) * th.scale)
	th.col = int(min(max(place, -1), float64(th.columns)))
	th.until = math.Inf(1)
	if th.scale > 0 && th.col < th.columns {
		th.until = th.x0 + float64(th.col+1)/th.scale
	}
	th.held = true
	th.first, th.last, th.low, th.high = p, p, p, p
}

// flush writes the column's points in the order in which they came.
func (th *Thinner) flush() {
	if !th.held {
		return
	}
	switch {
	case th.col < 0: // before the picture: only the nearest counts
		th.put(th.last)
	case th.col >= th.columns && th.scale > 0: // after it
		th.put(th.first)
	default:
		a, b := th.low, th.high
		if a.seq > b.seq {
			a, b = b, a
		}
		seq := -1
		for _, p := range [...]xy{th.first, a, b, th.last} {
			if p.seq > seq {
				th.put(p)
				seq = p.seq
			}
		}
	}
	th.held = false
}

func (th *Thinner) put(p xy) { th.out = append(th.out, p.x, p.y) }

// Points ends the curve and returns it as x, y, x, y, …: at most four points a
// column and one to each side.
func (th *Thinner) Points() []float64 {
	th.flush()
	return th.out
}
