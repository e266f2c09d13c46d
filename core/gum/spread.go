package gum

import "math"

// spread is the distribution of a sum of one normal value and several
// rectangular ones, all centred on zero.
type spread struct {
	sigma float64   // of the normal part
	half  []float64 // half widths of the rectangular ones
	ends  float64   // beyond ±ends there is nothing
	// coef is the Fourier series that the distribution function is read from
	// where there are two rectangles or more.
	coef []float64
}

const (
	// A normal value is taken to end here, in standard deviations: what is
	// beyond is 1.2e-15.
	normalEnd = 8
	// Terms of the series at most. The rest of it falls as the square of their
	// number at least: below 1e-6 with this many.
	maxTerms = 4000
	// The series ends early where the characteristic function stays below this;
	// the terms left are then less than that together.
	seriesEnd = 1e-9
	// A rectangle smaller than this share of the whole goes into the normal part.
	smallShare = 1e-3
)

// newSpread gives the distribution of a budget whose normal part is widened by
// the factor widen.
func (b Budget) newSpread(widen float64) spread {
	var s spread
	normal := Term{U: widen * b.normal().Combined()}
	var rectangular []Term
	for _, t := range b.Terms {
		if t.Shape == Rectangular {
			rectangular = append(rectangular, t)
		}
	}
	limit := smallShare * Budget{append(rectangular, normal)}.Combined()
	small := Budget{[]Term{normal}}
	for _, t := range rectangular {
		if u := math.Abs(t.U); u >= limit {
			s.half = append(s.half, u*math.Sqrt(3))
		} else {
			small.Terms = append(small.Terms, t)
		}
	}
	s.sigma = small.Combined()
	s.ends = normalEnd * s.sigma
	for _, a := range s.half {
		s.ends += a
	}
	if len(s.half) > 1 {
		s.series()
	}
	return s
}

// series works out the distribution function's Fourier series over −ends to
// ends from the characteristic function, the product of exp(−σ²t²/2) for the
// normal part and sin(at)/(at) for each rectangle.
func (s *spread) series() {
	step := math.Pi / s.ends
	for k := 1; k <= maxTerms; k++ {
		t := float64(k) * step
		x := s.sigma * t
		top := math.Exp(-x * x / 2)
		c := top / (s.ends * t)
		for _, a := range s.half {
			c *= math.Sin(a*t) / (a * t)
			top /= max(1, a*t)
		}
		if top < seriesEnd {
			break
		}
		s.coef = append(s.coef, c)
	}
}

// above is the share that lies above x.
func (s *spread) above(x float64) float64 {
	switch {
	case x < 0:
		return 1 - s.above(-x)
	case x >= s.ends:
		return 0
	}
	switch len(s.half) {
	case 0:
		return phi(-x / s.sigma)
	case 1:
		// The mean of Φ((r − x)/σ) over r from −a to a.
		a := s.half[0]
		if s.sigma == 0 {
			return (a - x) / (2 * a)
		}
		return (s.lift(a-x) - s.lift(-a-x)) / (2 * a)
	}
	sum := 0.5 - x/(2*s.ends)
	// Σ c_k·sin(kθ) by Clenshaw's recurrence.
	sin, cos := math.Sincos(math.Pi * x / s.ends)
	var b, next float64
	for k := len(s.coef) - 1; k >= 0; k-- {
		b, next = s.coef[k]+float64(2*cos*b)-next, b
	}
	return min(max(sum-float64(b*sin), 0), 0.5)
}

// lift is the integral of Φ(z/σ) from −∞ to z.
func (s *spread) lift(z float64) float64 {
	r := z / s.sigma
	return float64(z*phi(r)) + float64(s.sigma*math.Exp(-r*r/2)/math.Sqrt(2*math.Pi))
}

// normal is the part of the budget that is not rectangular.
func (b Budget) normal() Budget {
	var n Budget
	for _, t := range b.Terms {
		if t.Shape != Rectangular {
			n.Terms = append(n.Terms, t)
		}
	}
	return n
}

// Interval is the half width of the interval about the figure that holds a
// share p of what it may be, as much above as below, in the figure's unit. The
// terms' distributions are convolved as JCGM 101 would do it by simulation:
// exactly where all degrees of freedom are infinite. Normal terms with few of
// them act as one Student's t with those of Welch and Satterthwaite; beside
// rectangular terms that t is taken for a normal as wide as the t is at p,
// which simulation shows to be 1 % too narrow to 7 % too wide for two degrees
// of freedom, 2 % too wide at most for eight.
// NaN where a term is, or p is not between 0 and 1.
func (b Budget) Interval(p float64) float64 {
	uc := b.Combined()
	if !(p > 0 && p < 1) || math.IsNaN(uc) || math.IsInf(uc, 0) {
		return math.NaN()
	}
	if uc == 0 {
		return 0
	}
	tail := (1 - p) / 2
	s := b.newSpread(widening(tail, b.normal().DF()))
	return round(s.from(tail, 2*uc), fineBits)
}

// from is beyond which x the share tail lies, 0 to 0.5: by the Illinois kind of
// regula falsi, begun at a guess.
func (s *spread) from(tail, guess float64) float64 {
	lo, hi, atLo, atHi := 0.0, s.ends, 0.5-tail, -tail
	x, side := guess, 0
	for range 100 {
		if !(x > lo && x < hi) {
			x = (lo + hi) / 2
		}
		at := s.above(x) - tail
		was := lo
		if at > 0 {
			if lo, atLo = x, at; side > 0 {
				atHi /= 2
			}
			side = 1
		} else {
			if was = hi; side < 0 {
				atLo /= 2
			}
			hi, atHi, side = x, at, -1
		}
		next := lo + float64((hi-lo)*(atLo/(atLo-atHi)))
		if at == 0 || math.Abs(x-was) <= 1e-15*x || math.Abs(next-x) <= 1e-15*x {
			return next
		}
		x = next
	}
	return (lo + hi) / 2
}

// widening is how many times as far out Student's t with df degrees of freedom
// is as the normal distribution, where a share tail lies beyond.
func widening(tail, df float64) float64 {
	if !(df <= manyDF) {
		return 1
	}
	return upperT(tail, df) / upperT(tail, math.Inf(1))
}

// Above is the chance, 0 to 1, that a value distributed about zero as the
// budget says exceeds x, in the figure's unit. It is good to 1e-6, and the
// inverse of [Budget.Interval], whose words on degrees of freedom hold here.
func (b Budget) Above(x float64) float64 {
	uc := b.Combined()
	switch {
	case math.IsNaN(uc+x) || math.IsInf(uc, 0):
		return math.NaN()
	case x < 0:
		return 1 - b.Above(-x)
	case uc == 0 && x > 0:
		return 0
	case x == 0:
		return 0.5
	}
	df := b.normal().DF()
	if !(df <= manyDF) {
		s := b.newSpread(1)
		return round(s.above(x), fineBits)
	}
	if len(b.normal().Terms) == len(b.Terms) {
		return round(tailT(x/uc, df), fineBits)
	}
	// The tail at which the interval's end is x, found by its place z in the
	// normal distribution: the further out, the less is left beyond z and the
	// more beyond x. Beyond 8 there is nothing that counts.
	lo, hi := 1e-6, 8.0
	for range 45 {
		z := (lo + hi) / 2
		s := b.newSpread(widening(phi(-z), df))
		if s.above(x) < phi(-z) {
			lo = z
		} else {
			hi = z
		}
	}
	return round(phi(-(lo+hi)/2), fineBits)
}
