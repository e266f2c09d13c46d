package load

import (
	"math"

	"plateau/core/measure"
	"plateau/core/say"
)

// slice is the map down to one cut-off.
type slice struct {
	cutoff float64
	rates  []rate // that reached the cut-off, by rising current
	// ends are all rates that tell something of the cut-off: these, and the ones
	// that are below it from their first sample.
	ends  []end
	short string // what was left out, and why
	// The lowest and the highest current in A of ends.
	low, high float64
}

// rate is the runs at one current that reach the cut-off.
type rate struct {
	current float64 // A
	runs    []results
}

// results are a run's figures down to a voltage.
type results struct {
	*curve
	measure.Results
}

// end is a rate, or a run that lies below the cut-off.
type end struct {
	current float64
	run     results
	below   bool
}

// at works out all runs down to a cut-off in V.
func (m *Map) at(cutoff float64) (*slice, error) {
	s := &slice{cutoff: cutoff}
	reached := math.Inf(1)
	for _, g := range m.rates {
		r := rate{}
		var below *results
		for _, c := range g.curves {
			res, err := measure.Discharge(c.Run, cutoff)
			reached = math.Min(reached, res.Lowest)
			switch {
			case res.Ending == measure.AllBelow:
				below = &results{c, res}
			case res.Ending == measure.NotReached:
				s.short = say.With("the discharge at %.3g A ended at %.3f V, above the cut-off", c.Current, res.Lowest)
			case err == nil && sound(res.Capacity, res.Energy, res.Duration):
				r.runs = append(r.runs, results{c, res})
			}
		}
		if len(r.runs) > 0 {
			r.current = meanOf(r.runs, func(x results) float64 { return x.curve.Current })
			s.rates = append(s.rates, r)
			s.ends = append(s.ends, end{r.current, r.runs[0], false})
		} else if below != nil {
			s.ends = append(s.ends, end{below.curve.Current, *below, true})
		}
	}
	if len(s.ends) == 0 {
		return nil, TooLow{Reached: reached, Cutoff: cutoff}
	}
	s.low, s.high = s.ends[0].current, s.ends[len(s.ends)-1].current
	return s, nil
}

// admit says whether currents from to to A (to at the cut-off) can be answered.
func (s *slice) admit(from, to float64) error {
	out := Outside{Low: s.low, High: s.high, From: from, To: to, Why: s.short}
	if to > s.high*(1+sameCurrent) {
		out.Above = true
		return out
	}
	if from < s.low*(1-sameCurrent) {
		return out
	}
	if err := s.dip(to); err != nil {
		return err
	}
	// A rate that lies below the cut-off has no charge to interpolate.
	if n := len(s.rates); n == 0 || to > s.rates[n-1].current*(1+sameCurrent) {
		out.Above = true
		out.Low, out.High = 0, 0
		if n > 0 {
			out.Low, out.High = s.rates[0].current, s.rates[n-1].current
		}
		out.Why = say.With("at %.3g A the cell is below the cut-off from the start", s.high)
		return out
	}
	if from < s.rates[0].current*(1-sameCurrent) {
		out.Low, out.High = s.rates[0].current, s.rates[len(s.rates)-1].current
		return out
	}
	return nil
}

// sound says that figures are numbers above zero.
func sound(all ...float64) bool {
	for _, x := range all {
		if !(x > 0) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
