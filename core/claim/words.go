package claim

import (
	"math"
	"strings"

	"plateau/core/gum"
	"plateau/core/quantity"
	"plateau/core/say"
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
	q := j.w.Fixed(j.Capacity, d)
	switch j.Kind {
	case Rated:
		return say.With("rated %s Ah", q)
	case Minimum:
		return say.With("minimum %s Ah", q)
	}
	return say.With("typical %s Ah", q)
}

// apart says how far a capacity is from the claim, with so many decimals.
func (j *judge) apart(margin float64, decimals int) string {
	by := math.Abs(margin)
	share := 100 * by / j.Capacity
	how := j.w.Fixed(by, decimals) + " Ah (" + j.w.Fixed(share, min(quantity.Decimals(share, 2), 2)) + " %)"
	switch least := math.Pow10(-decimals); {
	case math.Round(by*1e9) == 0:
		return say.With("equal to the %s", j.claimed())
	case by < least/2:
		how = say.With("less than %s Ah", j.w.Fixed(least, decimals))
	}
	if margin < 0 {
		return say.With("%s below the %s", how, j.claimed())
	}
	return say.With("%s above the %s", how, j.claimed())
}

// figure is a group's deciding figure and where it was taken: "4.962 ± 0.014 Ah
// at 0.98 A to 2.500 V", with the decimals.
func (j *judge) figure(g *group) (string, int) {
	text, d := j.with(g.value, g.u)
	if r := j.runs[g.best]; j.Kind != Typical || g.of == 1 {
		return say.With("%s at %s to %s", text, amps(j.w, r.Current), volts(j.w, r.Reached)), d
	}
	return say.With("%s, the mean of %d, at %s", text, g.of, amps(j.w, g.current)), d
}

// apartFrom is a group's figure and how far it is from the claim.
func (j *judge) apartFrom(g *group) (figure, apart string) {
	figure, d := j.figure(g)
	return figure, j.apart(g.value-j.Capacity, d)
}

// reasons are why a group's run is one-sided.
func (j *judge) reasons(g *group) string { return strings.Join(j.why[g.best], say.Text(" and ")) }

// sentence is the verdict in words and numbers.
func (j *judge) sentence(v Verdict, own, decides, shown, against *group) string {
	figure, apart := j.apartFrom(shown)
	all := say.With("%s: %s, within the uncertainty.", figure, apart)
	if shown.grade == Pass || shown.grade == Below {
		all = say.With("%s: %s, more than the uncertainty.", figure, apart)
	}
	add := func(text string) { all += " " + text }
	if j.Kind != Typical && v.BestOf > 1 {
		mean, _ := j.with(v.Mean, v.MeanU)
		switch {
		case shown != own && own != nil:
			add(say.With("Best of %d.", v.BestOf))
		case v.N > v.BestOf:
			add(say.With("Best of %d; the mean of all %d is %s.", v.BestOf, v.N, mean))
		default:
			add(say.With("Best of %d; the mean is %s.", v.BestOf, mean))
		}
	}
	switch {
	case decides == nil:
		add(say.With("That proves nothing, since %s.", j.reasons(shown)))
		add(j.takes())
	case decides != own:
		add(say.With("That is so although %s.", j.reasons(shown)))
		if own != nil {
			figure, apart := j.apartFrom(own)
			add(say.With("Under the claim’s conditions it was %s, %s.", figure, apart))
		}
	}
	if against != nil {
		figure, apart := j.apartFrom(against)
		add(say.With("But %s is %s, although %s: the runs contradict each other.", figure, apart, j.reasons(against)))
	}
	return all
}

// takes says which run would settle it.
func (j *judge) takes() string {
	return say.With("It takes a run at %s to %s.", amps(j.w, j.Current), volts(j.w, j.Cutoff))
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
	text := say.Text("No run tells.")
	if len(all) > 0 {
		text = say.With("No run tells: of %d, %d void, %d that can prove nothing.", len(all), void, len(all)-void)
	}
	return text + " " + j.takes()
}

// Rule is the decision rule in sentences, for claims of these kinds, to be shown
// before any number (ISO/IEC 17025:2017 7.1.3).
func Rule(w quantity.Words, kinds ...Kind) []string {
	limit, centre := len(kinds) == 0, len(kinds) == 0
	for _, k := range kinds {
		limit, centre = limit || k != Typical, centre || k == Typical
	}
	percent := func(share float64) string { return w.Fixed(100*share, 1) + " %" }
	rule := []string{say.Later("U is the expanded uncertainty of what was measured, for a level of confidence of about 95 %.")}
	if limit {
		once := gum.Phi(-2)
		rule = append(rule,
			say.Later("A rated or minimum capacity is a lower limit. Pass: measured at least the claim plus U. Pass, within uncertainty: at least the claim, by less than U. Below, within uncertainty: under the claim, by less than U. Below: under the claim by U or more. (ILAC-G8:09/2019, 4.2.3, with a guard band of U; JCGM 106:2012.)"),
			say.With("A sample that gives exactly its claim is called a pass by one run in %s of cases where errors are normal, and by the best of five in up to %s.", percent(once), percent(1-math.Pow(1-once, attempts))),
			say.Later("The best of the first five attempts decides (IEC 61960-3, 7.3.1). A run whose procedure had a fault is void: it is no attempt, and stays listed with its reason."),
			say.Later("The chance that the sample meets the claim comes from the mean of all valid attempts with its uncertainty, not from the best."))
	}
	if centre {
		rule = append(rule, say.Later("A typical capacity is a centre, not a limit: the mean of the runs is above or below it, and that is never a failure."))
	}
	rule = append(rule,
		say.Later("A run at a higher current than the claim’s, that ended above its cut-off, after a short charge or in the cold can prove that the claim is met, never that it is missed. One at a lower current, in the heat or charged too far can prove that it is missed, never that it is met. One with both kinds of fault proves nothing."),
		say.Later("A run that went below the claim’s cut-off counts down to that cut-off only; where no curve tells how much that is, it can prove only that the claim is missed. Nothing is ever extrapolated to a lower one."),
		say.Later("Currents within 3 % of the claim’s, and ends within 5 mV of its cut-off, count as the same (common practice, no source)."),
		say.Later("The verdict is on this sample, not on all cells of its model."))
	for i := range rule {
		rule[i] = say.Text(rule[i])
	}
	return rule
}
