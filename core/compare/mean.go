package compare

import (
	"math"

	"plateau/core/gum"
	"plateau/core/say"
)

// oneInput are the sources of error that are one input in all runs on one range
// of one tester; by their names in a run's budget.
var oneInput = [...]string{"current gain", "current offset", "time base", "voltage gain", "voltage offset"}

const repeatability = say.Later("repeatability")

func inputOf(name string) int {
	for k, s := range oneInput {
		if s == name {
			return k
		}
	}
	return -1
}

// anew tells sources that are drawn anew in each run.
func anew(name string) bool {
	switch name {
	case "first interval", "last interval", "scatter of the current", "scatter of the voltage", "scatter of the temperature":
		return true
	}
	return false
}

// Mean is the mean of a figure over the repeats of one cell at one rate on one
// range of one tester, and its budget; values and budgets are of the runs, one
// each, in the figure's unit.
//
// An input that is one in all runs (gain, offset, time base) is averaged with
// its sign, and does not fall. What is drawn anew in each run falls with √n.
// Everything else may err the same way each time or not: the resolution of a
// current that stands still, a curve that bends between two samples, the leads.
// It is taken not to fall. The repeatability comes on top: a share of the mean,
// as the standard deviation of one run, with df degrees of freedom.
//
// NaN where values and budgets are none or not of one length.
func Mean(values []float64, budgets []gum.Budget, relative, df float64) (mean float64, b gum.Budget) {
	n := float64(len(values))
	if n == 0 || len(budgets) != len(values) {
		return math.NaN(), b
	}
	for _, v := range values {
		mean += v / n
	}
	for k, one := range budgets {
		for _, t := range one.Terms {
			shared := inputOf(t.Name) >= 0
			at := -1
			for i, u := range b.Terms {
				if u.Name == t.Name && u.Shape == t.Shape && u.DF == t.DF && (!shared || u.Input == t.Input) {
					at = i
				}
			}
			if at < 0 {
				at = len(b.Terms)
				t := t
				t.U = math.Copysign(0, t.U)
				b.Terms = append(b.Terms, t)
			}
			u := &b.Terms[at]
			switch {
			case shared:
				u.U += t.U / n
			case anew(t.Name):
				u.U = math.Copysign(quadrature(u.U, t.U/n), u.U)
			default:
				u.U += math.Copysign(t.U/n, u.U)
			}
			if k > 0 && u.Input != t.Input {
				u.Input = say.With("from %d runs", len(values))
			}
		}
	}
	b.Terms = append(b.Terms, gum.Term{Name: repeatability, Input: say.With("standard deviation of one run %.2g %%", 100*relative),
		U: mean * relative / math.Sqrt(n), DF: df, Shape: gum.Normal})
	return mean, b
}

// quadrature is math.Hypot with the same bits on every machine.
func quadrature(a, b float64) float64 { return math.Sqrt(float64(a*a) + float64(b*b)) }
