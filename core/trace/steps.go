package trace

import "math"

// StepKind is what the tester did with the cell.
type StepKind uint8

// The kinds of step.
const (
	Rest StepKind = iota
	Charge
	Discharge
)

// String is the trade's word.
func (k StepKind) String() string { return [...]string{"rest", "charge", "discharge"}[k] }

// Step is a stretch of samples, From (included) to To (left out), in which the
// tester did one thing.
type Step struct {
	Kind     StepKind
	From, To int
}

const (
	// restShare of the log's largest current still counts as rest: above the
	// offset error of the usual instruments, below the lowest test current.
	// Common practice, no source.
	restShare = 0.005
	// restFloor is the same as a current in A.
	restFloor = 0.5e-3
	// A new level of current is held for levelRun samples within levelFlat of
	// their mean, and differs from the old level by more than levelJump.
	levelRun  = 5
	levelFlat = 0.02
	levelJump = 0.05
	// chargeRise in V is how far the voltage must climb over a stretch for it
	// to be a charge when the log gives the current no sign.
	chargeRise = 0.15
)

// restLimit is the largest current in A that counts as rest.
func (tr *Trace) restLimit() float64 {
	var top float64
	for start := 0; start < tr.n; start += SegmentLen {
		s := tr.sum(start)
		top = max(top, s.high, -s.low)
	}
	return max(restFloor, float64(restShare*top))
}

// Sign says how the log signs its current.
type Sign struct {
	// NegativeDischarge: the log writes discharge currents below zero.
	NegativeDischarge bool
	// Unsigned: charge and discharge are both written with the same sign and
	// were told apart by the way the voltage went.
	Unsigned bool
}

// SettleSign makes discharge currents positive and charge currents negative,
// whichever way the log has them. A current of one sign goes with a falling
// voltage (discharge) or a rising one (charge): the sum of sgn(I)·ΔV over all
// loaded intervals tells which.
func (tr *Trace) SettleSign() Sign {
	limit := tr.restLimit()
	var drift float64
	var pos, neg bool
	var lastI, lastV float64
	for w := range tr.Windows(0, tr.n) {
		if s, n := tr.sum(w.Start), len(w.I); s.low > limit || s.high < -limit {
			way := w.V[n-1] - w.V[0]
			if lastI > limit == (s.low > limit) && math.Abs(lastI) > limit {
				way += w.V[0] - lastV
			}
			pos, neg = pos || s.low > limit, neg || s.low <= limit
			if s.low <= limit {
				way = -way
			}
			drift += way
			lastI, lastV = w.I[n-1], w.V[n-1]
			continue
		}
		for j, i := range w.I {
			switch {
			case i > limit:
				pos = true
				if lastI > limit {
					drift += w.V[j] - lastV
				}
			case i < -limit:
				neg = true
				if lastI < -limit {
					drift -= w.V[j] - lastV
				}
			}
			lastI, lastV = i, w.V[j]
		}
	}
	sign := Sign{NegativeDischarge: drift > 0}
	if pos != neg {
		sign.Unsigned, drift = tr.signByVoltage(limit)
		if sign.Unsigned {
			sign.NegativeDischarge = neg
			return sign
		}
		sign.NegativeDischarge = neg && drift < 0
		if pos == (drift < 0) {
			return sign // discharge above zero, or charge below it
		}
		tr.negate(0, tr.n)
		return sign
	}
	if sign.NegativeDischarge {
		tr.negate(0, tr.n)
	}
	return sign
}

// ScaleCurrent multiplies every current by a factor above zero.
func (tr *Trace) ScaleCurrent(factor float64) {
	for w := range tr.Windows(0, tr.n) {
		for j := range w.I {
			w.I[j] *= factor
		}
		tr.segs[w.Start/SegmentLen].sum = nil
	}
}

// Negate changes the sign of every current.
func (tr *Trace) Negate() { tr.negate(0, tr.n) }

func (tr *Trace) negate(from, to int) {
	for w := range tr.Windows(from, to) {
		for j := range w.I {
			w.I[j] = -w.I[j]
		}
		seg := w.Start / SegmentLen
		if s := tr.segs[seg].sum; from == 0 && to == tr.n && s != nil {
			s.low, s.high, s.q, s.e = -s.high, -s.low, -s.q, -s.e
			continue
		}
		for k := seg; k <= seg+1 && k < len(tr.segs); k++ {
			tr.segs[k].sum = nil // the jump into the next one changes too
		}
	}
}

// signByVoltage looks at a trace whose loaded samples are all of one sign.
// Where it has stretches of rising and of falling voltage it signs each by
// that and returns true; else it returns the voltage's total way in V.
func (tr *Trace) signByVoltage(limit float64) (signed bool, way float64) {
	type stretch struct {
		Step
		rise float64
	}
	var all []stretch
	var up, down bool
	for _, s := range tr.split(limit, true) {
		if s.Kind == Rest {
			continue
		}
		rise := tr.Voltage(s.To-1) - tr.Voltage(s.From)
		all = append(all, stretch{s, rise})
		way += rise
		up = up || rise > chargeRise
		down = down || rise < -chargeRise
	}
	if !up || !down {
		return false, way
	}
	for _, s := range all {
		charge := s.rise > chargeRise
		if charge == (tr.Current(s.From) > 0) {
			tr.negate(s.From, s.To)
		}
	}
	return true, way
}

// Steps divides the trace by its current: at rest, charging, discharging. One
// odd sample inside a step does not end it. A discharge goes on as a new step
// where the current settles at another level, so that charge taken out at a
// lower current is never added to what came before.
func (tr *Trace) Steps() []Step { return tr.split(tr.restLimit(), false) }

// split divides the trace at a change of kind, and discharges at a change of
// level; charges too where the sign does not tell which they are.
func (tr *Trace) split(limit float64, unsigned bool) []Step {
	kind := func(i float64) StepKind {
		switch {
		case i > limit:
			return Discharge
		case i < -limit:
			return Charge
		}
		return Rest
	}
	var steps []Step
	add := func(k StepKind, at, n int) {
		if last := len(steps) - 1; last >= 0 && steps[last].Kind == k {
			steps[last].To += n
		} else {
			steps = append(steps, Step{k, at, at + n})
		}
	}
	for w := range tr.Windows(0, tr.n) {
		if s := tr.sum(w.Start); kind(s.low) == kind(s.high) {
			add(kind(s.low), w.Start, len(w.I))
			continue
		}
		for j, i := range w.I {
			add(kind(i), w.Start+j, 1)
		}
	}
	var out []Step
	for _, s := range heal(steps) {
		if s.Kind == Rest || s.Kind == Charge && !unsigned {
			out = append(out, s)
			continue
		}
		for _, cut := range tr.levels(s) {
			out = append(out, Step{s.Kind, s.From, cut})
			s.From = cut
		}
		out = append(out, s)
	}
	return out
}

// heal joins a step that one odd sample had broken in two.
func heal(steps []Step) []Step {
	out := steps[:0:0]
	for k := 0; k < len(steps); k++ {
		s := steps[k]
		for k+2 < len(steps) && steps[k+1].To-steps[k+1].From == 1 &&
			steps[k+2].Kind == s.Kind && s.To-s.From > 1 && steps[k+2].To-steps[k+2].From > 1 {
			s.To = steps[k+2].To
			k += 2
		}
		out = append(out, s)
	}
	return out
}

// levels lists the samples at which the current of step s settles at another
// level. The sample of a change itself may lie between the two.
func (tr *Trace) levels(s Step) []int {
	var cuts []int
	from := s.From
	last := math.NaN()
	for w := range tr.Windows(s.From, s.To) {
		if tr.whole(w) {
			if sum := tr.sum(w.Start); sum.jump <= levelJump/2*min(math.Abs(sum.low), math.Abs(sum.high)) {
				last = w.I[len(w.I)-1]
				continue
			}
		}
		for j, i := range w.I {
			k := w.Start + j
			// NaN compares false: the first sample is no jump.
			if jump := math.Abs(i - last); jump > levelJump/2*math.Abs(last) &&
				k-from >= levelRun && s.To-k > levelRun {
				if at, ok := tr.newLevel(from, k, s.To); ok {
					cuts = append(cuts, at)
					from = at
				}
			}
			last = i
		}
	}
	return cuts
}

// newLevel tells whether the current holds one level up to sample k and
// another from it, or from the sample after it, on.
func (tr *Trace) newLevel(from, k, to int) (at int, ok bool) {
	before, flat := tr.level(max(from, k-levelRun), k)
	if !flat {
		return 0, false
	}
	for at = k; at <= k+1 && at+levelRun <= to; at++ {
		after, flat := tr.level(at, at+levelRun)
		if flat && math.Abs(after-before) > levelJump*max(math.Abs(before), math.Abs(after)) {
			return at, true
		}
	}
	return 0, false
}

// level is the mean current of a few samples in A, and whether all lie close
// to it.
func (tr *Trace) level(from, to int) (mean float64, flat bool) {
	for k := from; k < to; k++ {
		mean += tr.Current(k)
	}
	mean /= float64(to - from)
	for k := from; k < to; k++ {
		if math.Abs(tr.Current(k)-mean) > levelFlat*math.Abs(mean) {
			return mean, false
		}
	}
	return mean, to-from >= levelRun
}
