package compare

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// Run is one run as far as its rate goes.
type Run struct {
	Cell string
	Amps float64 // mean current
	It   float64 // the current as a multiple of the cell's It (IEC 61434); 0 where not known
}

// Rate is runs of one cell or of several that stand beside each other.
type Rate struct {
	Amps float64 // median of the runs
	// It is the multiple of It that all runs have in common, 0 where they have
	// none.
	It   float64
	ByIt bool  // joined by that multiple, and not by their current
	Runs []int // in the order given
}

// Group is the runs of one cell at one rate: what should repeat.
type Group struct {
	Cell     string
	Amps, It float64 // medians; It as in [Rate]
	Runs     []int   // in the order given
}

const (
	// sameRate is how far apart two currents of one rate may lie, as a share of
	// the larger: set-points bend to a tester's steps. Common practice, no source.
	sameRate = 0.03
	rounding = 1e-9 // that 0.97 A and 1 A are as close as they look
)

// Groups gathers the runs of each cell by current, cells in the order in which
// they come first and their currents rising. A run without a current is in none.
func Groups(runs []Run) (groups []Group) {
	var cells []string
	members := map[string][]int{}
	for k, r := range runs {
		if members[r.Cell] == nil && placed(r.Amps) {
			cells = append(cells, r.Cell)
		}
		if placed(r.Amps) {
			members[r.Cell] = append(members[r.Cell], k)
		}
	}
	for _, c := range cells {
		for _, g := range gather(members[c], func(k int) float64 { return runs[k].Amps }) {
			groups = append(groups, Group{c, median(g, func(k int) float64 { return runs[k].Amps }), commonIt(runs, g), g})
		}
	}
	return groups
}

// Rates gathers runs over all cells: by equal current, and by equal multiples of
// It where that joins runs of two cells or more that their currents do not join
// (0.2 It is another current for each size of cell). Currents rise. Every run
// that has a current is in a rate, if of its cell alone; a current that one cell
// alone was run at is not listed where a multiple of It holds all its runs.
func Rates(runs []Run) []Rate {
	var known, multiples []int
	for k, r := range runs {
		if placed(r.Amps) {
			known = append(known, k)
			if placed(r.It) {
				multiples = append(multiples, k)
			}
		}
	}
	amps := func(k int) float64 { return runs[k].Amps }
	it := func(k int) float64 { return runs[k].It }
	var rates []Rate
	in := make([]int, len(runs)) // the current that a run is gathered by
	for n, g := range gather(known, amps) {
		rates = append(rates, Rate{Amps: median(g, amps), It: commonIt(runs, g), Runs: g})
		for _, k := range g {
			in[k] = n
		}
	}
	covered := make([]bool, len(runs))
	for _, g := range gather(multiples, it) {
		if !slices.ContainsFunc(g, func(k int) bool { return joins(runs, in, g, k) }) {
			continue
		}
		rates = append(rates, Rate{Amps: median(g, amps), It: median(g, it), ByIt: true, Runs: g})
		for _, k := range g {
			covered[k] = true
		}
	}
	rates = slices.DeleteFunc(rates, func(r Rate) bool {
		return !r.ByIt && !slices.ContainsFunc(r.Runs, func(k int) bool { return !covered[k] || runs[k].Cell != runs[r.Runs[0]].Cell })
	})
	sort.SliceStable(rates, func(i, j int) bool { return cmp.Less(rates[i].Amps, rates[j].Amps) })
	return rates
}

// joins tells whether g holds a run of another cell and another current than k's.
func joins(runs []Run, in, g []int, k int) bool {
	return slices.ContainsFunc(g, func(j int) bool { return runs[j].Cell != runs[k].Cell && in[j] != in[k] })
}

func placed(x float64) bool { return x > 0 && !math.IsInf(x, 0) }

// gather clusters runs by a value above zero: the most that lie within sameRate
// of each other, then the most of the rest, and so on; of several as many those
// that lie closest, then the lowest. Any two of a cluster are within sameRate, so
// that no chain of small steps joins what is far apart. Clusters rise, and hold
// their runs in the order given.
func gather(runs []int, of func(k int) float64) (clusters [][]int) {
	rest := slices.Clone(runs)
	sort.SliceStable(rest, func(i, j int) bool { return cmp.Less(of(rest[i]), of(rest[j])) })
	for len(rest) > 0 {
		from, to, closest := 0, 0, 0.0
		high := 0
		for low := range rest {
			x := of(rest[low])
			for high < len(rest) && x >= of(rest[high])*(1-sameRate)*(1-rounding) {
				high++
			}
			spread := 1 - x/of(rest[high-1])
			if high-low > to-from || high-low == to-from && spread < closest-rounding {
				from, to, closest = low, high, spread
			}
		}
		g := slices.Clone(rest[from:to])
		sort.SliceStable(g, func(i, j int) bool { return g[i] < g[j] })
		clusters = append(clusters, g)
		rest = slices.Delete(rest, from, to)
	}
	sort.SliceStable(clusters, func(i, j int) bool { return cmp.Less(of(clusters[i][0]), of(clusters[j][0])) })
	return clusters
}

func median(g []int, of func(k int) float64) float64 {
	var all []float64
	for _, k := range g {
		all = append(all, of(k))
	}
	slices.Sort(all)
	n := len(all)
	return all[(n-1)/2] + (all[n/2]-all[(n-1)/2])/2
}

// commonIt is the multiple of It of runs that all have nearly the same, else 0.
func commonIt(runs []Run, g []int) float64 {
	it := func(k int) float64 { return runs[k].It }
	for _, k := range g {
		if !placed(runs[k].It) {
			return 0
		}
	}
	m := median(g, it)
	for _, k := range g {
		if math.Abs(it(k)-m) > sameRate*m*(1+rounding) {
			return 0
		}
	}
	return m
}
