package link

import (
	"plateau/core/publish"
	"plateau/core/say"
)

const mostPoints = 5000 // of one curve

// heads are what the curves' points hang on: the run, the charge, the grid.
func (c *codec) heads(list *[]line, tolerance *int64) {
	t := uint64(*tolerance)
	if c.uint(&t); t < 1 || t > 1e7 {
		c.fail(say.Later("the tolerance is impossible"))
	}
	*tolerance = int64(t)
	run := 0
	each(c, list, mostRuns, func(l *line) {
		step := int64(l.run - run)
		c.int(&step)
		charge := uint64(l.charge)
		c.uint(&charge)
		c.small(&l.n, finest)
		if l.run = run + int(step); step > mostRuns || step < -mostRuns || l.run < 0 || charge > mostCharge*1e6 {
			c.fail(say.Later("a curve is of a run that is not there"))
			l.run = 0
			return
		}
		l.charge, run = int64(charge), l.run
	})
}

// points are a polyline's: how many, then the steps along the charge, then
// those of the ordinate, less what the slope before would give.
func (c *codec) points(list *[]vertex, n int) {
	each(c, list, mostPoints, func(*vertex) {})
	if c.err != nil {
		return
	}
	p := *list
	x := 0
	for k := range p {
		step := p[k].x - x
		if c.small(&step, 1<<n); x+step > 1<<n {
			c.fail(say.Later("a curve goes past its end"))
			step = 0
		}
		x += step
		p[k].x = x
	}
	y := int64(0)
	for k := range p {
		off := int64(p[k].y) - y
		if c.int(&off); off > mostOff || off < -mostOff {
			c.fail(say.Later("a curve has an impossible step"))
			off = 0
		}
		y += off
		if y > mostSteps || y < -mostSteps {
			c.fail(say.Later("a curve leaves what can be drawn"))
			y = 0
		}
		p[k].y = int(y)
		if k+1 < len(p) {
			y += ahead(p, k)
		}
	}
}

// ahead is how much a polyline would step after point k if it went on as
// before, rounded towards nought; nought after a jump.
func ahead(p []vertex, k int) int64 {
	if k == 0 || p[k].x == p[k-1].x {
		return 0
	}
	return int64(p[k].y-p[k-1].y) * int64(p[k+1].x-p[k].x) / int64(p[k].x-p[k-1].x)
}

// curves writes or reads the voltages.
func (c *codec) curves(list *[]line, tolerance *int64) {
	c.heads(list, tolerance)
	for k := range *list {
		l := &(*list)[k]
		c.points(&l.volts, l.n)
	}
}

// temperatures are apart, so that a link can do without them.
func (c *codec) temperatures(list []line) {
	for k := range list {
		l := &list[k]
		c.points(&l.temps, l.n)
		if n := len(l.temps); n > 0 && (l.temps[0].x < l.volts[0].x || l.temps[n-1].x > l.volts[len(l.volts)-1].x) {
			c.fail(say.Later("there is a temperature where there is no voltage"))
		}
	}
}

// take puts lines into a post.
func take(p *publish.Post, list []line, tolerance int64) {
	for k := range list {
		p.Curves = append(p.Curves, list[k].curve(tolerance))
	}
	p.Tolerance = float64(tolerance) / 1e6
}
