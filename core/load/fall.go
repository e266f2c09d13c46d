package load

import (
	"math"

	"plateau/core/trace"
)

// levels are what a volt is divided into: charges are known every 2 mV.
const levels = 500

// most is the highest level: no cell has more than 10 V.
const most = 10 * levels

// fall is the charge in Ah at which a run's voltage falls through each level k,
// of k/levels V, for good: q[k-low].
type fall struct {
	low int
	q   []float64
}

// top is the highest level that the run falls through under load.
func (f fall) top() int { return f.low + len(f.q) - 1 }

// fallOf goes over a run's samples once. A later fall through a level replaces
// an earlier one, so that the last one stays.
func fallOf(r *trace.Run) fall {
	tr := r.Trace()
	f := faller{sum: r.Before.Charge, t: tr.Time(r.From), v: tr.Voltage(r.From), i: tr.Current(r.From)}
	f.above = level(f.v * levels)
	f.q = make([]float64, f.above+1)
	for w := range tr.Windows(r.From, r.To) {
		f.window(w)
	}
	low := min(level(f.v*levels), f.top)
	q := f.q[low:f.top]
	for k := len(q) - 2; k >= 0; k-- {
		if !(q[k] >= q[k+1]) {
			q[k] = q[k+1] // a current that turns back takes no charge out
		}
	}
	return fall{low, q}
}

// level is the level at or above x, in levels.
func level(x float64) int {
	if !(x > 0) {
		return 0
	}
	k := int(math.Min(x, most))
	if float64(k) < x && k < most {
		k++
	}
	return k
}

// faller is on its way through a run: its last sample, and the charge in Ah so
// far and at each level from 0 on.
type faller struct {
	t, v, i, sum float64
	above        int // the level at or above the voltage
	q            []float64
	top          int // one above the highest level fallen through
}

func (f *faller) window(w trace.Window) {
	// Variables of its own, since those of a struct go through memory.
	lastT, lastV, lastI, sum, above := f.t, f.v, f.i, f.sum, f.above
	vs, is := w.V[:len(w.T)], w.I[:len(w.T)]
	for j, t := range w.T {
		v, i := vs[j], is[j]
		dq := float64((lastI + i) * (t - lastT) / 7200)
		// Nothing to do while the voltage stays between two levels.
		if x := v * levels; !(x > float64(above-1) && x <= float64(above)) {
			to := level(x)
			if to < above {
				f.top = max(f.top, above)
				lastX := lastV * levels
				each := dq / (lastX - x)
				for k := to; k < above; k++ {
					f.q[k] = sum + float64(each*(lastX-float64(k)))
				}
			} else if to >= len(f.q) {
				f.q = append(f.q, make([]float64, to+1-len(f.q))...)
			}
			above = to
		}
		sum += dq
		lastT, lastV, lastI = t, v, i
	}
	f.t, f.v, f.i, f.sum, f.above = lastT, lastV, lastI, sum, above
}
