package claim

import (
	"strings"
	"testing"

	"plateau/core/quantity"
)

func TestSentences(t *testing.T) {
	run := func(amps, q, u float64) Run {
		r := at(rated, q, u)
		r.Current = amps
		return r
	}
	typical := Claim{Typical, 5, 0.98, 2.5}
	not := run(0.98, 4.81, 0.007)
	not.Lower = []string{"it was not full", "it was at 12 °C"}
	void := Run{Void: "the contacts slipped."}
	for _, tt := range []struct {
		claim Claim
		comma bool
		runs  []Run
		want  string
	}{
		{rated, false, []Run{run(0.98, 4.962, 0.007)},
			"4.962 ± 0.014 Ah at 0.98 A to 2.500 V: 0.062 Ah (1.3 %) above the rated 4.900 Ah, more than the uncertainty."},
		{rated, true, []Run{run(0.98, 4.962, 0.007), void},
			"4,962 ± 0,014 Ah at 0,98 A to 2,500 V: 0,062 Ah (1,3 %) above the rated 4,900 Ah, more than the uncertainty."},
		{rated, false, []Run{run(0.98, 4.8, 0.06), run(0.98, 4.853, 0.06), run(0.98, 4.7, 0.06)},
			"4.85 ± 0.12 Ah at 0.98 A to 2.500 V: 0.05 Ah (0.96 %) below the rated 4.900 Ah, within the uncertainty. Best of 3; the mean is 4.78 ± 0.12 Ah."},
		{rated, false, []Run{run(3, 4.95, 0.007), run(0.98, 4.85, 0.007)},
			"4.950 ± 0.014 Ah at 3.00 A to 2.500 V: 0.050 Ah (1.0 %) above the rated 4.900 Ah, more than the uncertainty. That is so although it ran at 3.00 A, above the claim’s 0.98 A. Under the claim’s conditions it was 4.850 ± 0.014 Ah at 0.98 A to 2.500 V, 0.050 Ah (1.0 %) below the rated 4.900 Ah."},
		{rated, false, []Run{not},
			"4.810 ± 0.014 Ah at 0.98 A to 2.500 V: 0.090 Ah (1.8 %) below the rated 4.900 Ah, more than the uncertainty. That proves nothing, since it was not full and it was at 12 °C. It takes a run at 0.98 A to 2.500 V."},
		{rated, false, []Run{run(0.98, 4.95, 0.007), run(0.5, 4.8, 0.007)},
			"4.950 ± 0.014 Ah at 0.98 A to 2.500 V: 0.050 Ah (1.0 %) above the rated 4.900 Ah, more than the uncertainty. But 4.800 ± 0.014 Ah at 0.50 A to 2.500 V is 0.100 Ah (2.0 %) below the rated 4.900 Ah, although it ran at 0.50 A, below the claim’s 0.98 A: the runs contradict each other."},
		{rated, false, []Run{run(0.98, 4.9002, 0.007)},
			"4.900 ± 0.014 Ah at 0.98 A to 2.500 V: less than 0.001 Ah above the rated 4.900 Ah, within the uncertainty."},
		{rated, false, []Run{run(0.98, 4.9, 0.007)},
			"4.900 ± 0.014 Ah at 0.98 A to 2.500 V: equal to the rated 4.900 Ah, within the uncertainty."},
		{typical, false, []Run{run(0.98, 4.96, 0.007), run(0.98, 4.94, 0.007)},
			"4.950 ± 0.014 Ah, the mean of 2, at 0.98 A: 0.050 Ah (1.0 %) below the typical 5.000 Ah, more than the uncertainty."},
		{Claim{Minimum, 0.0455, 0.0091, 3}, false, []Run{{Current: 0.0091, Reached: 3, Capacity: 0.04612, Budget: normal(1e-6)}},
			"0.0461 ± 0.0001 Ah at 0.0091 A to 3.000 V: 0.0006 Ah (1.4 %) above the minimum 0.0455 Ah, more than the uncertainty."},
		{rated, false, []Run{void, {}}, "No run tells: of 2, 1 void, 1 that can prove nothing. It takes a run at 0.98 A to 2.500 V."},
		{rated, false, nil, "No run tells. It takes a run at 0.98 A to 2.500 V."},
		{Claim{Rated, 4.9, 0.98, 0}, false, []Run{not}, "The cut-off of the claim is not known, so that no run can be set against it: enter it."},
	} {
		if got := Judge(tt.claim, tt.runs, quantity.Words{Comma: tt.comma}).Sentence; got != tt.want {
			t.Errorf("\n got %s\nwant %s", got, tt.want)
		}
	}
	six := make([]Run, 6)
	for i := range six {
		six[i] = run(0.98, 4.962, 0.007)
	}
	v := Judge(rated, six, quantity.Words{})
	if !strings.HasSuffix(v.Sentence, " Best of 5; the mean of all 6 is 4.962 ± 0.014 Ah.") {
		t.Error(v.Sentence)
	}
	if !strings.Contains(v.Evidence[5].Says, "this is run 6") || strings.Contains(v.Evidence[4].Says, "this is run") {
		t.Errorf("%q, %q", v.Evidence[4].Says, v.Evidence[5].Says)
	}
}

func TestEvidenceSays(t *testing.T) {
	fast := at(rated, 4.8, 0.007)
	fast.Current, fast.Reached, fast.Higher = 3, 2.8, []string{"it was hot"}
	v := Judge(rated, []Run{{Void: "the contacts slipped."}, fast, at(rated, 4.8, 0.007)}, quantity.Words{Comma: true})
	for i, want := range []string{
		"No attempt: the contacts slipped.",
		"Proves nothing: the cell gave less (it ran at 3,00 A, above the claim’s 0,98 A; its figure ends at 2,800 V, above the claim’s 2,500 V), but also more (it was hot).",
		"Counts both ways: at the claim’s current, to its cut-off.",
	} {
		if v.Evidence[i].Says != want {
			t.Errorf("\n got %s\nwant %s", v.Evidence[i].Says, want)
		}
	}
}

func TestRule(t *testing.T) {
	all := strings.Join(Rule(quantity.Words{Comma: true}), "\n")
	// Φ(−2), and 1 − Φ(2)⁵ by hand.
	for _, part := range []string{"2,3 %", "10,9 %", "typical", "first five", "4.2.3", "sample"} {
		if !strings.Contains(all, part) {
			t.Errorf("%q is not in the rule:\n%s", part, all)
		}
	}
	if s := strings.Join(Rule(quantity.Words{}, Rated, Minimum), "\n"); strings.Contains(s, "typical") || !strings.Contains(s, "2.3 %") {
		t.Error(s)
	}
	if s := strings.Join(Rule(quantity.Words{}, Typical), "\n"); !strings.Contains(s, "typical") || strings.Contains(s, "lower limit") {
		t.Error(s)
	}
}
