package demo

import "math"

// point is one entry of a table: the voltage in V at depth of discharge z.
type point struct{ z, v float64 }

// curve is a voltage against depth of discharge: the monotone piecewise cubic
// of F. N. Fritsch and J. Butland (SIAM J. Sci. Stat. Comput. 5, 1984, 300),
// which has no wiggles between the points of a falling table.
type curve struct {
	points []point
	slope  []float64 // dV/dz at each point
}

// newCurve runs a curve through two points or more, z rising.
func newCurve(points ...point) curve {
	n := len(points)
	c := curve{points, make([]float64, n)}
	secant := func(k int) float64 {
		return (points[k+1].v - points[k].v) / (points[k+1].z - points[k].z)
	}
	c.slope[0], c.slope[n-1] = secant(0), secant(n-2)
	for k := 1; k < n-1; k++ {
		left, right := secant(k-1), secant(k)
		if float64(left*right) <= 0 {
			continue // a flat place or a turn: slope 0 keeps it monotone
		}
		hl, hr := points[k].z-points[k-1].z, points[k+1].z-points[k].z
		wl, wr := hl+float64(2*hr), float64(2*hl)+hr
		c.slope[k] = (wl + wr) / (wl/left + wr/right)
	}
	return c
}

// at is the voltage in V at depth z, on a straight line outside the table.
func (c curve) at(z float64) float64 {
	k, end := 0, len(c.points)-1
	for k < end-1 && z >= c.points[k+1].z {
		k++
	}
	a, b := c.points[k], c.points[k+1]
	switch {
	case z < a.z:
		return a.v + float64(c.slope[k]*(z-a.z))
	case z > b.z:
		return b.v + float64(c.slope[end]*(z-b.z))
	}
	h := b.z - a.z
	x := (z - a.z) / h
	y := 1 - x
	rise := float64(x*x) * (3 - float64(2*x)) // share of the way, cubic Hermite form
	bend := float64(h*x) * y
	return a.v + float64(rise*(b.v-a.v)) +
		float64(bend*(float64(y*c.slope[k])-float64(x*c.slope[k+1])))
}

// exp is e^x for −8 < x < 8 to 1e-13 of its value, from sums, products
// and quotients alone: [math.Exp] is written in assembly on some machines and
// may differ there in the last place.
func exp(x float64) float64 {
	x = math.Ldexp(x, -6)
	y := 1.0
	for n := 9.0; n > 0; n-- {
		y = 1 + float64(x*y)/n
	}
	for range 6 {
		y *= y
	}
	return y
}
