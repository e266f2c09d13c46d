package link

import (
	"math"
	"math/bits"
	"sort"
)

// vertex is a point of a curve on its grid: x steps of charge from nought, y
// steps of voltage or temperature.
type vertex struct{ x, y int }

// sample is one on the scale of a grid.
type sample struct{ x, y float64 }

const (
	coarsest = 8  // the first grid that is tried has 2^9 steps of charge
	finest   = 16 // the last
	stations = 96 // places for points, spread evenly along the charge; as many along the ordinate
)

// fitted is the polyline of the fewest bytes, as far as they can be told
// before, on a grid of 2^n steps of charge, that passes all samples within
// tolerance; nil where there is none. lines says that the curve is a polyline
// itself, which has to be passed between its points as well.
func fitted(list []sample, tolerance float64, n int, lines bool) []vertex {
	steps := 1 << n
	var out []vertex
	start := 0
	// A jump within the first step: from the voltage at rest.
	if len(list) > 1 && list[0].x == 0 && (list[1].x == 0 || list[1].x < 1 && !lines) && math.Abs(list[1].y-list[0].y) > 2*tolerance {
		out = append(out, vertex{0, int(math.Round(list[0].y))})
		start = 1
	}
	list = list[start:]
	if len(list) == 0 {
		return out
	}
	g := newSpan(list, tolerance, steps, start == 1)
	wide := tolerance + 1
	if lines {
		wide = tolerance
	}
	path := g.shortest(wide, start == 1)
	if path == nil {
		return nil
	}
	return append(out, path...)
}

// span is a curve cut into stretches between stations.
type span struct {
	tolerance float64
	at        []int      // stations, in steps of charge
	mid       []float64  // the curve's height there
	above     [][]sample // stretch k, up to station k: what a line stays below
	below     [][]sample // and above
}

func newSpan(list []sample, tolerance float64, steps int, loose bool) *span {
	g := &span{tolerance: tolerance}
	last := list[len(list)-1]
	low, high := last.y, last.y
	for _, s := range list {
		low, high = min(low, s.y), max(high, s.y)
	}
	from, to := int(list[0].x), min(int(math.Ceil(last.x)), steps)
	if loose {
		from = 0
	}
	mark := make([]bool, steps+1)
	for k := 0; k <= stations; k++ {
		mark[from+k*(to-from)/stations] = true
	}
	// Stations where the curve is steep.
	each := (high - low) / stations
	passed := list[0].y
	for k := 1; k < len(list) && each > 0; k++ {
		a, b := list[k-1], list[k]
		for range stations {
			if math.Abs(b.y-passed) < each {
				break
			}
			if b.y > passed {
				passed += each
			} else {
				passed -= each
			}
			x := a.x
			if b.y != a.y {
				x += float64((passed - a.y) / (b.y - a.y) * (b.x - a.x))
			}
			mark[min(max(int(x), from), to)] = true
		}
	}
	for k := 1; k < 64 && from+k <= to; k += 1 + k/6 {
		mark[from+k] = true
	}
	k := 0
	for x, yes := range mark {
		if !yes {
			continue
		}
		var up, down []sample
		for ; k < len(list) && list[k].x <= float64(x); k++ {
			s := list[k]
			up = hull(up, sample{s.x, s.y + tolerance}, 1)
			down = hull(down, sample{s.x, s.y - tolerance}, -1)
		}
		g.at = append(g.at, x)
		g.above, g.below = append(g.above, up), append(g.below, down)
		g.mid = append(g.mid, height(list, k, float64(x)))
	}
	return g
}

// hull adds a point to the side of a convex hull that lines meet first: sign 1
// for points they stay below.
func hull(h []sample, p sample, sign float64) []sample {
	for len(h) >= 2 {
		a, b := h[len(h)-2], h[len(h)-1]
		if sign*(float64((b.x-a.x)*(p.y-a.y))-float64((b.y-a.y)*(p.x-a.x))) > 0 {
			break
		}
		h = h[:len(h)-1]
	}
	return append(h, p)
}

// node is a place that a line may end at, and the cheapest way there.
type node struct {
	y    int
	cost float64
	from int // node; -1 for the start
}

// shortest is the cheapest way along the stations: dynamic programming, each
// node's cone of possible slopes narrowed stretch by stretch. Points lie within
// wide of the curve; loose says that it begins with a jump, so that the first
// height is free.
func (g *span) shortest(wide float64, loose bool) []vertex {
	var nodes []node
	first := make([]int, len(g.at)+1)
	for k := range g.at {
		first[k] = len(nodes)
		wide := wide
		if k == 0 && loose {
			wide *= 4
		}
		for y := int(math.Ceil(g.mid[k] - wide)); y <= int(math.Floor(g.mid[k]+wide)); y++ {
			nodes = append(nodes, node{y, math.Inf(1), -1})
		}
	}
	first[len(g.at)] = len(nodes)
	for n := first[0]; n < first[1]; n++ {
		inside := true
		y := float64(nodes[n].y)
		for _, s := range g.above[0] {
			inside = inside && y <= s.y
		}
		for _, s := range g.below[0] {
			inside = inside && y >= s.y
		}
		if inside {
			nodes[n].cost = 0
		}
	}
	for k := 0; k+1 < len(g.at); k++ {
		for n := first[k]; n < first[k+1]; n++ {
			if !math.IsInf(nodes[n].cost, 1) {
				g.cone(nodes, first, k, n)
			}
		}
	}
	best := first[len(g.at)-1]
	for n := best; n < len(nodes); n++ {
		if nodes[n].cost < nodes[best].cost {
			best = n
		}
	}
	if math.IsInf(nodes[best].cost, 1) {
		return nil
	}
	var path []vertex
	for n := best; n >= 0; n = nodes[n].from {
		k := sort.SearchInts(first, n+1) - 1
		path = append(path, vertex{g.at[k], nodes[n].y})
	}
	for a, b := 0, len(path)-1; a < b; a, b = a+1, b-1 {
		path[a], path[b] = path[b], path[a]
	}
	return path
}

// cone goes from node n at station k as far as a line can, and notes where it
// is the cheapest way.
func (g *span) cone(nodes []node, first []int, k, n int) {
	x0, y0 := float64(g.at[k]), float64(nodes[n].y)
	low, high := math.Inf(-1), math.Inf(1)
	for m := k + 1; m < len(g.at); m++ {
		for _, s := range g.above[m] {
			high = min(high, (s.y-y0)/(s.x-x0))
		}
		for _, s := range g.below[m] {
			low = max(low, (s.y-y0)/(s.x-x0))
		}
		if low > high {
			return
		}
		dx := float64(g.at[m]) - x0
		step := 14 + price(g.at[m]-g.at[k])
		for e := first[m]; e < first[m+1]; e++ {
			up := float64(nodes[e].y) - y0
			if up < low*dx || up > high*dx {
				continue
			}
			if c := nodes[n].cost + step + price(nodes[e].y-nodes[n].y); c < nodes[e].cost {
				nodes[e].cost, nodes[e].from = c, n
			}
		}
	}
}

// price is about how many bits a step takes.
func price(d int) float64 {
	if d < 0 {
		d = -d
	}
	return float64(bits.Len(uint(d)))
}

// walked is a polyline on the grid that passes all samples within tolerance,
// from point to point as far as one line goes. It finds its way where there is
// none over stations: among noise as large as the tolerance, and along jumps. A
// jump within one step of the grid stands at the step's start.
func walked(list []sample, tolerance float64) []vertex {
	if len(list) == 0 {
		return nil
	}
	at := vertex{int(list[0].x), int(math.Round(list[0].y))}
	out := []vertex{at}
	for k := 0; k < len(list); {
		next, to := reach(list, k, at, tolerance)
		if next == k && to == at {
			if k++; math.Abs(list[k-1].y-float64(at.y)) <= tolerance && list[k-1].x == float64(at.x) {
				continue
			}
			to.y = int(math.Round(list[k-1].y))
		} else {
			k = next
		}
		at = to
		out = append(out, at)
	}
	return out
}

// height is a curve's at x, which lies at or before sample j and after the one
// before it.
func height(list []sample, j int, x float64) float64 {
	if j == len(list) {
		return list[j-1].y
	}
	b := list[j]
	if j == 0 || !(list[j-1].x < b.x) {
		return b.y
	}
	a := list[j-1]
	return a.y + float64((b.y-a.y)*((x-a.x)/(b.x-a.x)))
}

const farthestLook = 4096 // samples past the last point that a line could end at

// reach is the farthest point that a line from at can end at, past the samples
// from k to next; at itself where there is none.
func reach(list []sample, k int, at vertex, tolerance float64) (next int, to vertex) {
	next, to = k, at
	low, high := math.Inf(-1), math.Inf(1)
	x0, y0 := float64(at.x), float64(at.y)
	for j := k; j-next <= farthestLook; j++ {
		x := 0
		if j < len(list) {
			x = int(math.Ceil(list[j].x)) - 1
		} else {
			x = int(math.Ceil(list[j-1].x))
		}
		if x > at.x && (j == k || list[j-1].x <= float64(x)) {
			dx := float64(x) - x0
			least, most := float64(low*dx), float64(high*dx)
			// As near the curve as the cone lets it; a line between two samples could
			// end anywhere else.
			mid := height(list, j, float64(x)) - y0
			y := min(max(math.Round(mid), math.Ceil(least)), math.Floor(most))
			if math.Abs(y-mid) <= max(tolerance, 1) && y >= least && y <= most {
				next, to = j, vertex{x, at.y + int(y)}
			}
		}
		if j == len(list) {
			break
		}
		s := list[j]
		dx := s.x - x0
		if dx == 0 {
			if math.Abs(s.y-y0) > tolerance {
				break
			}
			continue
		}
		low, high = max(low, (s.y-tolerance-y0)/dx), min(high, (s.y+tolerance-y0)/dx)
		if low > high {
			break
		}
	}
	return next, to
}
