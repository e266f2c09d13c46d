package plan

import (
	"math"
	"strings"

	"plateau/core/quantity"
	"plateau/core/say"
)

// Done is a run that was made.
type Done struct {
	Cell string
	Amps float64 // mean current
	// End is the voltage in V down to which there are figures, of the cells in
	// series together; 0 or NaN where that is not known.
	End  float64
	Void string // why it does not count
}

// Off is a run that is not in the plan, or does not fulfil it.
type Off struct {
	Done int // in the list given
	Why  string
}

// Ticked is how far a plan is done.
type Ticked struct {
	Done []int // for each run of the plan, the run that fulfils it; −1 for none
	Off  []Off
	// Count and Missing are how many runs of the plan are done, and are not.
	Count, Missing int
	Next           int   // the first that is missing, by its start; −1 for none
	NextOn         []int // the same for each of the plan's Channels
}

// Fulfilled tells whether the plan's k-th run is done.
func (t *Ticked) Fulfilled(k int) bool { return k < len(t.Done) && t.Done[k] >= 0 }

// endSlack is how far above its cut-off a run may have ended: the ±1 % that IEC
// 61960-3 clause 4 allows for voltages (cited from memory).
const endSlack = 0.01

// Tick sets runs that were made against a plan. A run fulfils the planned one of
// the same cell whose set-point is nearest to its current, if the two differ by
// 3 % of the larger at most, by which package compare takes runs to be at one
// rate, or by one step of the tester; and if it came within 1 % of the cut-off.
// Each run fulfils one planned run at most. Void runs fulfil none.
func Tick(p Plan, runs []Done) Ticked {
	out := Ticked{Done: make([]int, len(p.Runs)), Next: -1}
	of := map[string][]int{}
	for k := range p.Runs {
		out.Done[k] = -1
		of[key(p.Runs[k].Cell)] = append(of[key(p.Runs[k].Cell)], k)
	}
	for n, d := range runs {
		k, why := p.meant(of[key(d.Cell)], d, out.Done)
		if why != "" {
			out.Off = append(out.Off, Off{n, why})
			continue
		}
		out.Done[k] = n
		out.Count++
	}
	out.Missing = len(p.Runs) - out.Count
	out.NextOn = make([]int, len(p.Channels))
	for c := range p.Channels {
		out.NextOn[c] = -1
		for k := range p.Runs {
			if out.Done[k] < 0 && p.Runs[k].Channel == p.Channels[c].Number {
				out.NextOn[c] = k
				break
			}
		}
	}
	for k, n := range out.Done {
		if n < 0 {
			out.Next = k
			break
		}
	}
	return out
}

func key(cell string) string { return strings.TrimSpace(cell) }

// meant is the planned run that a run fulfils, or why there is none.
func (p *Plan) meant(planned []int, d Done, done []int) (k int, why string) {
	switch {
	case strings.TrimSpace(d.Void) != "":
		return -1, say.With("It does not count: %s.", strings.TrimSuffix(strings.TrimSpace(d.Void), "."))
	case len(planned) == 0:
		return -1, say.Text("No run of this cell is planned.")
	case !(d.Amps > 0) || math.IsInf(d.Amps, 0):
		return -1, say.Text("Its current is not known.")
	}
	k = -1
	open, nearest := false, planned[0]
	for _, n := range planned {
		off := math.Abs(d.Amps - p.Runs[n].Set)
		if off < math.Abs(d.Amps-p.Runs[nearest].Set) {
			nearest = n
		}
		if off > max(sameRate*max(d.Amps, p.Runs[n].Set), p.Runs[n].SetStep)*(1+rounding) {
			continue
		}
		open = true
		if done[n] < 0 && (k < 0 || off < math.Abs(d.Amps-p.Runs[k].Set)) {
			k = n
		}
	}
	switch {
	case !open:
		return -1, say.With("No run at %s is planned; the nearest is at %s.", plain(p.words, d.Amps, quantity.Decimals(d.Amps, 5))+" A", p.amps(p.Runs[nearest].Set))
	case k < 0:
		return -1, say.With("All planned runs at %s are done already.", p.amps(p.Runs[nearest].Set))
	case d.End > p.Runs[k].Cutoff*(1+endSlack):
		return -1, say.With("It ended at %s, above the cut-off of %s.", p.volts(d.End), p.volts(p.Runs[k].Cutoff))
	}
	return k, ""
}
