package compare

import "sort"

// Kind is a kind of chemistry, as far as cut-offs go.
type Kind uint8

// The kinds that a voltage at rest tells apart when full: iron phosphate rests
// below 3.65 V, the common lithium-ion kinds above. Common practice, no source.
const (
	UnknownKind Kind = iota
	IronPhosphate
	LithiumIon
	Titanate // which no voltage at rest tells for sure
)

// restingPhosphate in V is where they part.
const restingPhosphate = 3.65

// KindOf tells the kind of a cell from its charge voltage in V, or else from
// what it starts from at rest; zeros where they are not known.
func KindOf(chargeVoltage, start float64) Kind {
	switch {
	case chargeVoltage > 0 && chargeVoltage < 3.9 || chargeVoltage == 0 && start > 2.5 && start <= restingPhosphate:
		return IronPhosphate
	case chargeVoltage > 0 || start > restingPhosphate:
		return LithiumIon
	}
	return UnknownKind
}

// Reach is how far down one run went. Voltages are those of a single cell.
type Reach struct {
	Reached float64 // V, at its end
	Claimed float64 // V, its cell's cut-off; 0 where not known
	Kind    Kind
	Void    bool
}

const (
	// A run that ended this far above its cell's cut-off, or above where cells
	// of its kind end at the highest, was cut short. Common practice, no source.
	shortBy     = 0.15 // V
	endsLithium = 3.0  // V
	endsIron    = 2.5  // V
	endsTitan   = 1.8  // V
)

// Short tells whether a run was cut short: it gives "at least" its figures, and
// does not drag the others up.
func (r Reach) Short() bool {
	usual := endsLithium
	switch r.Kind {
	case IronPhosphate:
		usual = endsIron
	case Titanate:
		usual = endsTitan
	}
	return r.Reached > max(r.Claimed, usual)+shortBy
}

// Common is the highest common cut-off in V of the runs of one kind: the highest
// voltage that any of them ended at, those cut short and void ones left out.
// Across kinds a common cut-off means nothing: of several, the
// kind with the most runs counts. False where fewer than two runs are left.
func Common(runs []Reach) (v float64, kind Kind, ok bool) {
	count := map[Kind]int{}
	for _, r := range runs {
		if !r.Void && !r.Short() {
			count[r.Kind]++
		}
	}
	kinds := []Kind{LithiumIon, IronPhosphate, Titanate, UnknownKind}
	sort.SliceStable(kinds, func(i, j int) bool { return count[kinds[i]] > count[kinds[j]] })
	kind = kinds[0]
	if count[kind] < 2 {
		return 0, kind, false
	}
	for _, r := range runs {
		if !r.Void && !r.Short() && r.Kind == kind {
			v = max(v, r.Reached)
		}
	}
	return v, kind, true
}
