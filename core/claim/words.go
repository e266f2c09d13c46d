package claim

import (
	"math"
	"strconv"
	"strings"

	"plateau/core/gum"
	"plateau/core/quantity"
)

const finest = 4 // decimals of Ah

func amps(w quantity.Words, x float64) string {
	return w.Fixed(x, max(2, min(quantity.Decimals(x, 2), finest))) + " A"
}

func volts(w quantity.Words, x float64) string { return w.Fixed(x, 3) + " V" }

// with is a capacity with its uncertainty of two significant digits (GUM 7.2.6),
// and the decimals that both have.
func (j *judge) with(x, u float64) (string, int) {
	d := min(quantity.Decimals(u, 2), finest)
	if !positive(u) {
		return j.w.Fixed(x, 3) + " Ah", 3
	}
	u = max(u, math.Pow10(-d)) // never nought
	return j.w.Fixed(x, d) + " ± " + j.w.Fixed(u, d) + " Ah", d
}

// claimed is the claim as it was made, with three decimals or as many as it has.
func (j *judge) claimed() string {
	d := 3
	for d < 6 && math.Abs(math.Round(j.Capacity*math.Pow10(d))-j.Capacity*math.Pow10(d)) > 1e-6 {
		d++
	}
	return j.Kind.String() + " " + j.w.Fixed(j.Capacity, d) + " Ah"
}

// apart says how far a capacity is from the claim, with so many decimals.
func (j *judge) apart(margin float64, decimals int) string {
	way := " above the "
	if margin < 0 {
		way = " below the "
	}
	by := math.Abs(margin)
	switch least := math.Pow10(-decimals); {
	case math.Round(by*1e9) == 0:
		return "equal to the " + j.claimed()
	case by < least/2:
		return "less than " + j.w.Fixed(least, decimals) + " Ah" + way + j.claimed()
	}
	share := 100 * by / j.Capacity
	return j.w.Fixed(by, decimals) + " Ah (" + j.w.Fixed(share, min(quantity.Decimals(share, 2), 2)) + " %)" + way + j.claimed()
}

// figure is a group's deciding figure and where it was taken: "4.962 ± 0.014 Ah
// at 0.98 A to 2.500 V", with the decimals.
func (j *judge) figure(g *group) (string, int) {
	text, d := j.with(g.value, g.u)
	if r := j.runs[g.best]; j.Kind != Typical || g.of == 1 {
		return text + " at " + amps(j.w, r.Current) + " to " + volts(j.w, r.Reached), d
	}
	return text + ", the mean of " + strconv.Itoa(g.of) + ", at " + amps(j.w, g.current), d
}

// sentence is the verdict in words and numbers.
func (j *judge) sentence(v Verdict, own, decides, shown, against *group) string {
	var b strings.Builder
	text, d := j.figure(shown)
	b.WriteString(text + ": " + j.apart(shown.value-j.Capacity, d))
	if shown.grade == Pass || shown.grade == Below {
		b.WriteString(", more than the uncertainty.")
	} else {
		b.WriteString(", within the uncertainty.")
	}
	if j.Kind != Typical && v.BestOf > 1 {
		b.WriteString(" Best of " + strconv.Itoa(v.BestOf))
		if shown == own || own == nil {
			b.WriteString("; the mean ")
			if v.N > v.BestOf {
				b.WriteString("of all " + strconv.Itoa(v.N) + " ")
			}
			mean, _ := j.with(v.Mean, v.MeanU)
			b.WriteString("is " + mean)
		}
		b.WriteString(".")
	}
	why := strings.Join(j.why[shown.best], " and ")
	switch {
	case decides == nil:
		b.WriteString(" That proves nothing, since " + why + "." + j.takes())
	case decides != own:
		b.WriteString(" That although " + why + ".")
		if own != nil {
			text, d := j.figure(own)
			b.WriteString(" Under the claim’s conditions it was " + text + ", " + j.apart(own.value-j.Capacity, d) + ".")
		}
	}
	if against != nil {
		text, d := j.figure(against)
		b.WriteString(" But " + text + " is " + j.apart(against.value-j.Capacity, d) + ", although " +
			strings.Join(j.why[against.best], " and ") + ": the runs contradict each other.")
	}
	return b.String()
}

// takes says which run would settle it.
func (j *judge) takes() string {
	return " It takes a run at " + amps(j.w, j.Current) + " to " + volts(j.w, j.Cutoff) + "."
}

// nothing says why no run has a figure to show.
func (j *judge) nothing(all []Evidence) string {
	if why := j.unknown(); why != "" {
		return why
	}
	void := 0
	for _, e := range all {
		if e.Side == Void {
			void++
		}
	}
	text := "No run tells"
	if len(all) > 0 {
		text += ": of " + strconv.Itoa(len(all)) + ", " + strconv.Itoa(void) + " void, " + strconv.Itoa(len(all)-void) + " that can prove nothing"
	}
	return text + "." + j.takes()
}

// Rule is the decision rule in sentences, for claims of these kinds, to be shown
// before any number (ISO/IEC 17025:2017 7.1.3).
func Rule(w quantity.Words, kinds ...Kind) []string {
	limit, centre := len(kinds) == 0, len(kinds) == 0
	for _, k := range kinds {
		limit, centre = limit || k != Typical, centre || k == Typical
	}
	percent := func(share float64) string { return w.Fixed(100*share, 1) + " %" }
	rule := []string{"U is the expanded uncertainty of what was measured, for a level of confidence of about 95 %."}
	if limit {
		once := gum.Phi(-2)
		rule = append(rule,
			"A rated or minimum capacity is a lower limit. Pass: measured at least the claim plus U. Pass, within uncertainty: at least the claim, by less than U. Below, within uncertainty: under the claim, by less than U. Below: under the claim by U or more. (ILAC-G8:09/2019, 4.2.3, with a guard band of U; JCGM 106:2012.)",
			"A sample that gives exactly its claim is called a pass by one run in "+percent(once)+" of cases where errors are normal, and by the best of five in up to "+percent(1-math.Pow(1-once, attempts))+".",
			"The best of the first five attempts decides (IEC 61960-3, 7.3.1). A run whose procedure had a fault is void: it is no attempt, and stays listed with its reason.",
			"The chance that the sample meets the claim comes from the mean of all valid attempts with its uncertainty, not from the best.")
	}
	if centre {
		rule = append(rule, "A typical capacity is a centre, not a limit: the mean of the runs is above or below it, and that is never a failure.")
	}
	return append(rule,
		"A run at a higher current than the claim’s, that ended above its cut-off, after a short charge or in the cold can prove that the claim is met, never that it is missed. One at a lower current, in the heat or charged too far can prove that it is missed, never that it is met. One with both kinds of fault proves nothing.",
		"A run that went below the claim’s cut-off counts down to that cut-off only; where no curve tells how much that is, it can prove only that the claim is missed. Nothing is ever extrapolated to a lower one.",
		"Currents within 3 % of the claim’s, and ends within 5 mV of its cut-off, count as the same (common practice, no source).",
		"The verdict is on this sample, not on all cells of its model.")
}
