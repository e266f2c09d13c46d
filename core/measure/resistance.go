package measure

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"plateau/core/fit"
	"plateau/core/say"
	"plateau/core/trace"
)

// ResistanceKind is how a d.c. resistance was come by.
type ResistanceKind uint8

// The kinds of d.c. resistance.
const (
	// LoadStep: from the voltage at rest to that under load.
	LoadStep ResistanceKind = iota
	// Recovery: from the voltage under load to that after the load went off.
	Recovery
	// TwoPulse: from a pulse at 0.2 It to one at 1.0 It.
	TwoPulse
)

// Resistance is one reading of the d.c. resistance, (V0 − V1)/(I1 − I0). It
// grows with the time after the step: only readings at one time compare.
type Resistance struct {
	Kind ResistanceKind
	Ohm  float64
	// Time in s after the step is what the reading is named by. The step
	// itself lies somewhere in the interval before the first sample after it,
	// so that the time is between Earliest and Latest; the three are one where
	// the log fixes the instant.
	Time, Earliest, Latest float64
	V0, V1                 float64 // V before and after
	I0, I1                 float64 // A before and after, positive on discharge
	// Slope in V/s is how fast V1 moves at that time: Slope·(Latest −
	// Earliest)/√12 is what the step's instant adds to the uncertainty of V1.
	Slope float64
	SE    float64 // ohm, standard error of the fit; 0 where none was made
	// Between in V is how far apart the two samples are that the voltage was
	// read between; 0 where it was not.
	Between float64
	K       int // the sample read, or the one before it
	// Fitted: read off the fit V = V0 − I·R − a·√t through three or more
	// samples to both sides of the time, not off one sample or between two.
	Fitted bool
	// Standard: by the two pulses of IEC 61960-3 7.7.3 (cited from memory) in
	// its times and currents. No other reading may be called by its name.
	Standard bool
}

// usualTimes in s after the step are those that a reading is asked at where
// nobody says. Common practice, no source.
var usualTimes = []float64{1, 10, 60}

const (
	// sameTime is how far, as a share of the time asked for, a sample may lie
	// from it and still be read as it is.
	sameTime = 0.01
	// around is the factor in time to each side of the time asked for within
	// which samples make the fit: √t is close to straight over so little.
	around = 1.5
	// held is how far, as a share of the step, the current may stray between
	// the step and the reading. Common practice, no source.
	held = 0.1
	// restAfter is the share of the load that still counts as rest behind it.
	restAfter = 0.02
	// cadence is the factor by which two sampling intervals differ for sure.
	cadence = 1.5
)

// change is a step of the current between the samples before and from.
type change struct {
	tr       *trace.Trace
	before   int     // the last sample before the step
	from, to int     // the samples after it, to left out
	lo, hi   float64 // s of the trace, between which the step lies
	fixed    bool    // the sample before was written at the step itself
	kind     ResistanceKind
}

// StepResistance is the d.c. resistance from the load step, read at times in s
// after it; nil for 1, 10 and 60 s. It is interpolated only. What could not be
// read, and why, is said in words.
func StepResistance(r *trace.Run, times []float64) (all []Resistance, why string) {
	switch {
	case r.From == 0:
		return nil, say.Text("the log begins under load, without a rest before it")
	case !r.Before.Rest:
		return nil, say.Text("no rest before the load")
	}
	c := change{tr: r.Trace(), before: r.From - 1, from: r.From, to: r.To, kind: LoadStep}
	return c.at(times)
}

// RecoveryResistance is the d.c. resistance from the recovery after the load
// went off, as [StepResistance]. The voltage before is that of the last loaded
// sample: where the run ended on the knee between two samples, it was lower.
func RecoveryResistance(r *trace.Run, times []float64) (all []Resistance, why string) {
	tr := r.Trace()
	switch {
	case r.To >= tr.Len():
		return nil, say.Text("the log ends under load, without a rest after it")
	case !r.After.Rest:
		return nil, say.Text("no rest after the load")
	}
	if times == nil {
		times = usualTimes
	}
	var longest float64
	for _, t := range times {
		longest = max(longest, t)
	}
	c := change{tr: tr, before: r.To - 1, from: r.To, to: r.To + 1, kind: Recovery, fixed: r.IsOffGrid()}
	limit := restAfter * math.Abs(tr.Current(r.To-1))
	until := tr.Time(r.To) + float64(around*longest)
	// The first sample past the time closes the interval that it lies in.
	for c.to < tr.Len() && math.Abs(tr.Current(c.to)) <= limit {
		c.to++
		if tr.Time(c.to-1) > until {
			break
		}
	}
	return c.at(times)
}

// instant is between which times, in s of the trace, the current changed from
// that of sample k-1 to that of sample k.
//
// As a rule it is the interval between the two. A tester that starts its
// logging clock anew with each step shows it: the rows come at another pace
// before the last row at rest, or that row lies off their grid, and the first
// loaded row follows it by just the pace of those after. The last row at rest
// was then logged at the step itself.
func instant(tr *trace.Trace, k int) (lo, hi float64) {
	lo, hi = tr.Time(k-1), tr.Time(k)
	if k < 3 || k+2 >= tr.Len() {
		return lo, hi
	}
	width := hi - lo
	alike := func(dt float64) bool { return math.Abs(dt-width) <= 0.05*width }
	other := func(dt float64) bool { return dt > cadence*width || dt < width/cadence }
	if alike(tr.Time(k+1)-hi) && alike(tr.Time(k+2)-tr.Time(k+1)) &&
		other(lo-tr.Time(k-2)) && other(tr.Time(k-2)-tr.Time(k-3)) {
		hi = lo
	}
	return lo, hi
}

// at reads the resistance at each of the times.
func (c change) at(times []float64) (all []Resistance, why string) {
	if times == nil {
		times = usualTimes
	}
	if c.lo, c.hi = instant(c.tr, c.from); c.fixed {
		c.hi = c.lo
	}
	// A first sample that caught the current on its way says nothing.
	if c.kind == LoadStep && c.from+1 < c.to {
		i0, i1, i2 := c.tr.Current(c.before), c.tr.Current(c.from), c.tr.Current(c.from+1)
		if math.Abs(i1-i2) > held*math.Abs(i2-i0) {
			c.from++
		}
	}
	var reasons, missing []string
	for _, t := range times {
		if !(t > 0) || math.IsInf(t, 0) {
			continue
		}
		res, reason := c.read(t)
		if reason == "" {
			all = append(all, res)
			continue
		}
		if n := len(reasons) - 1; n >= 0 && reasons[n] == reason {
			missing[n] += ", " + seconds(t)
			continue
		}
		reasons, missing = append(reasons, reason), append(missing, seconds(t))
	}
	for k := range reasons {
		missing[k] = say.With("nothing at %s s: %s", missing[k], reasons[k])
	}
	return all, strings.Join(missing, "; ")
}

// seconds writes a time with three digits at most.
func seconds(t float64) string {
	x, err := strconv.ParseFloat(strconv.FormatFloat(t, 'g', 3, 64), 64)
	if err != nil {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// read reads the resistance t s after the step, or says why not.
func (c change) read(t float64) (res Resistance, reason string) {
	tr := c.tr
	mid, half := c.lo+(c.hi-c.lo)/2, (c.hi-c.lo)/2
	after := func(k int) float64 { return tr.Time(k) - mid }
	low, high := t*(1-sameTime), t*(1+sameTime)
	switch {
	case half > t/2*(1+sameTime):
		return res, say.With("the step lies somewhere between two samples %s s apart", seconds(c.hi-c.lo))
	case after(c.from) > high:
		return res, say.With("the first sample is %s s after the step", seconds(after(c.from)))
	case after(c.to-1) < low:
		return res, say.With("the last sample is %s s after the step", seconds(after(c.to-1)))
	}
	// k is the last sample at or before the time, next the first after it.
	k := c.from + sort.Search(c.to-c.from, func(j int) bool { return after(c.from+j) > t }) - 1
	next := min(k+1, c.to-1)
	k = max(k, c.from)
	// The nearer of the two, where it is as good as at the time.
	if math.Abs(after(next)-t) < math.Abs(after(k)-t) && after(next) <= high {
		k = next
	}
	same := math.Abs(after(k)-t) <= t*sameTime
	if !same && after(next)-after(k) > t*(1+sameTime) {
		return res, say.With("the samples there are %s s apart", seconds(after(next)-after(k)))
	}
	res = Resistance{Kind: c.kind, Time: t, Earliest: max(t-half, 0), Latest: t + half, K: k,
		V0: tr.Voltage(c.before), I0: tr.Current(c.before)}
	res.V1, res.I1 = tr.Voltage(k), tr.Current(k)
	root := math.Sqrt(t)
	if p, q := c.slopePair(k); p != q {
		x, y := math.Sqrt(after(p)), math.Sqrt(after(q))
		perRoot := (tr.Voltage(q) - tr.Voltage(p)) / (y - x)
		res.Slope = perRoot / (2 * root)
		if !same {
			f := (root - x) / (y - x)
			res.V1 = tr.Voltage(p) + float64(perRoot*(root-x))
			res.Between = math.Abs(tr.Voltage(q) - tr.Voltage(p))
			res.I1 = tr.Current(p) + float64(f*(tr.Current(q)-tr.Current(p)))
		}
	}
	var se float64
	if v, i, slope, s, ok := c.fitted(t, mid); ok {
		res.V1, res.I1, res.Slope, res.Fitted, se = v, i, slope/(2*root), true, s
		res.Between = 0
	}
	res.I0, res.I1 = res.I0+0, res.I1+0 // no minus zero, as a turned sign leaves it
	step := res.I1 - res.I0
	for j := c.from; j <= k; j++ {
		if !(math.Abs(tr.Current(j)-res.I1) <= held*math.Abs(step)) {
			return res, say.Text("the current was not held from the step to then")
		}
	}
	res.Ohm = (res.V0 - res.V1) / step
	res.SE = math.Abs(se / step)
	switch {
	case math.IsNaN(res.Ohm) || math.IsInf(res.Ohm, 0):
		return res, say.Text("the current did not change")
	case !(res.Ohm > 0) && c.kind == Recovery:
		return res, say.Text("the voltage did not rise when the load went off")
	case !(res.Ohm > 0):
		return res, say.Text("the voltage did not fall under the load")
	}
	return res, ""
}

// slopePair is the two samples with k among them, of two times, that the
// voltage is read between: k and the next, or the one before where k is last.
func (c change) slopePair(k int) (p, q int) {
	for q = k + 1; q < c.to; q++ {
		if c.tr.Time(q) > c.tr.Time(k) {
			return k, q
		}
	}
	for p = k - 1; p >= c.from; p-- {
		if c.tr.Time(p) < c.tr.Time(k) {
			return p, k
		}
	}
	return k, k
}

// fitted is the voltage in V at time t on the line through the samples about
// it, against the root of the time after the step, and its standard error; the
// current is their mean. False where fewer than three lie about it, or all to
// one side.
func (c change) fitted(t, mid float64) (v, i, slope, se float64, ok bool) {
	find := func(at float64) int {
		return c.from + sort.Search(c.to-c.from, func(j int) bool { return c.tr.Time(c.from+j)-mid > at })
	}
	a, b := find(t/around*(1-1e-9)), find(t*around*(1+1e-9))
	if b-a < 3 || c.tr.Time(a)-mid > t*(1+sameTime) || c.tr.Time(b-1)-mid < t*(1-sameTime) {
		return 0, 0, 0, 0, false
	}
	var x, y []float64
	root := math.Sqrt(t)
	for w := range c.tr.Windows(a, b) {
		for j := range w.T {
			x = append(x, math.Sqrt(max(w.T[j]-mid, 0))-root)
			y = append(y, w.V[j])
			i += w.I[j]
		}
	}
	// Counted from the root of the time, the line's value there is its start.
	line, err := fit.Line(x, y)
	if err != nil {
		return 0, 0, 0, 0, false
	}
	return line.Coef[0], i / float64(b-a), line.Coef[1], line.SE[0], true
}
