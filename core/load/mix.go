package load

import "math"

// kind is a way to interpolate between two measured currents.
type kind uint8

// The ways. A line in the current is the answer: it is exact where the cell is
// a resistance behind a voltage, and lies between the two ways in which
// real cells depart from that. Their charge goes about as c − b·I^p: p is near 0
// (a logarithm) where the loss is one of diffusion or heat makes up for it at
// high currents, and 2 and over where a cell gives almost all of its charge up
// to a current and falls short from there on.
const (
	line   kind = iota
	log         // p = 0
	square      // p = 2
	lower       // the parabola through the next lower current as well
	higher      // and through the next higher one
)

// farther is by what factor the third current of a parabola differs from its
// neighbour: beside a near one the scatter of the runs makes the bend.
const farther = 1.2

// enough is from how many rates on their own bends tell how far the line is off.
const enough = 4

// mix is what share of each of up to three rates makes the answer.
type mix struct {
	n  int
	at [3]int
	w  [3]float64
}

// place is the number of the rate below a current in A that has one above, and
// the current held within the measured ones.
func (s *slice) place(amps float64) (j int, held float64) {
	n := len(s.rates)
	held = math.Min(math.Max(amps, s.rates[0].current), s.rates[n-1].current)
	for j+2 < n && held >= s.rates[j+1].current {
		j++
	}
	return j, held
}

// mixed is the mixture at a current in A.
func (t *table) mixed(amps float64, k kind) mix {
	s := t.s
	if len(s.rates) == 1 {
		return mix{n: 1, w: [3]float64{1}}
	}
	// A trial voltage may take more than the load does.
	j, x := s.place(math.Min(math.Max(amps, s.rates[t.from].current), s.rates[t.to].current))
	if j == t.to {
		j--
	}
	a, b := s.rates[j].current, s.rates[j+1].current
	w := (x - a) / (b - a)
	switch k {
	case log:
		w = rounded(math.Log(x/a) / math.Log(b/a))
	case square:
		w = (float64(x*x) - float64(a*a)) / (float64(b*b) - float64(a*a))
	case lower, higher:
		if c := t.third(j, k); c >= 0 {
			z := s.rates[c].current
			return mix{3, [3]int{j, j + 1, c}, [3]float64{
				(x - b) * (x - z) / ((a - b) * (a - z)),
				(x - a) * (x - z) / ((b - a) * (b - z)),
				(x - a) * (x - b) / ((z - a) * (z - b)),
			}}
		}
	}
	return mix{2, [3]int{j, j + 1}, [3]float64{1 - w, w}}
}

// rounded keeps what native code and WebAssembly agree on of a share that came
// out of logarithms.
func rounded(w float64) float64 { return math.Round(w*(1<<36)) / (1 << 36) }

// third is the rate beside j and j+1 for a parabola; −1 for none.
func (t *table) third(j int, k kind) int {
	rates := t.s.rates
	if k == lower {
		for c := j - 1; c >= 0; c-- {
			if rates[c].current*farther <= rates[j].current && t.v[c] != nil {
				return c
			}
		}
		return -1
	}
	for c := j + 2; c < len(rates); c++ {
		if rates[c].current >= rates[j+1].current*farther && t.v[c] != nil {
			return c
		}
	}
	return -1
}

// others are the ways that tell how far the line may be off between rates from
// and from + 1, to those between to and to + 1. The parabola
// through a third current differs from the line by what that line misses of
// the middle one of the three when it is left out, carried to the current
// asked as the error of a line goes (NIST DLMF 3.3.4).
func (t *table) others(from, to int) []kind {
	if len(t.s.rates) < 2 {
		return nil
	}
	if len(t.s.rates) < enough {
		return []kind{log, square}
	}
	var ways []kind
	for _, k := range [...]kind{lower, higher} {
		some := false
		for j := from; j <= to; j++ {
			some = some || t.third(j, k) >= 0
		}
		if some {
			ways = append(ways, k)
		}
	}
	if len(ways) == 0 {
		return []kind{log, square}
	}
	return ways
}
