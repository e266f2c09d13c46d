package compare

import (
	"math"
	"slices"
)

// contactLimit in Ω is how far the d.c. resistances of one cell, read at one
// time after the step, may lie apart before a contact is suspected: re-seating
// a cell in its holder moves it by 5 mΩ to 20 mΩ. Common practice, no source.
const contactLimit = 5e-3

// Contacts compares what one cell's runs read as resistance, in Ω, at the same
// time after the load step, and gives those that lie off the median of all by
// more than contacts should move: the first thing to look at where one run
// falls out. NaN stands for a run without a reading. Nil for fewer than two.
func Contacts(ohms []float64) (off []int, median float64) {
	var known []float64
	for _, x := range ohms {
		if !math.IsNaN(x) {
			known = append(known, x)
		}
	}
	if len(known) < 2 {
		return nil, math.NaN()
	}
	slices.Sort(known)
	// Of two the lower stands: a bad contact only adds.
	median = known[(len(known)-1)/2]
	for k, x := range ohms {
		if x-median > contactLimit {
			off = append(off, k)
		}
	}
	return off, median
}
