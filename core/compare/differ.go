package compare

import "plateau/core/gum"

// Contender is the mean figure of one cell at one rate.
type Contender struct {
	Cell   string
	Mean   float64
	N      int // runs in it
	Budget gum.Budget
	// Setup names the tester, its channel and its range. Of unlike set-ups no
	// error is the same; where it is alike, "" too, gains and offsets are.
	Setup string
}

// parts is a budget by how its terms behave in a difference.
type parts struct {
	one [len(oneInput)]gum.Term // by input
	own []gum.Term
	rep gum.Term // U is 0 where there is none
}

func splitBudget(b gum.Budget) (p parts) {
	for _, t := range b.Terms {
		switch k := inputOf(t.Name); {
		case t.U == 0:
		case k >= 0 && p.one[k].U == 0:
			p.one[k] = t
		case t.Name == repeatability && p.rep.U == 0:
			p.rep = t
		default:
			p.own = append(p.own, t)
		}
	}
	return p
}

// sameInput tells whether two terms come of one input in one set-up.
func sameInput(a, b gum.Term) bool {
	return a.U != 0 && b.U != 0 && a.Shape == b.Shape && a.DF == b.DF && a.Input == b.Input
}

// repeats is the repeatability of a difference. One estimate, pooled or assumed,
// stands behind that of both, so that its degrees of freedom do not add up as
// those of two would; of unlike ones the fewer count.
func repeats(a, b gum.Term) gum.Term {
	t := a
	if a.U == 0 {
		t = b
	}
	t.U = quadrature(a.U, b.U)
	if a.U != 0 && b.U != 0 && b.DF > 0 && !(a.DF > 0 && a.DF <= b.DF) {
		t.DF = b.DF
	}
	return t
}

// Difference is the budget of a's mean less b's, by JCGM 100:2008 5.2 and F.1.2:
// in one set-up an input of both (gain, offset, time base) acts on the
// difference by what it does to the one less what it does to the other, so that
// a gain cancels as far as the means are equal. Nothing else cancels: contacts
// are seated and sensors attached anew for each run, and of another range,
// channel or tester every error is another.
func Difference(a, b Contender) gum.Budget {
	return less(splitBudget(a.Budget), splitBudget(b.Budget), a.Setup == b.Setup)
}

func less(a, b parts, oneSetup bool) gum.Budget {
	terms := append(append(make([]gum.Term, 0, 2*len(oneInput)+1+len(a.own)+len(b.own)), a.own...), b.own...)
	together(&a, &b, oneSetup, func(t gum.Term) { terms = append(terms, t) })
	return gum.Budget{Terms: terms}
}

// together gives what is left of the inputs of both, and the repeatability.
func together(a, b *parts, oneSetup bool, add func(gum.Term)) {
	some := func(t gum.Term) {
		if t.U != 0 {
			add(t)
		}
	}
	for k := range oneInput {
		t, u := a.one[k], b.one[k]
		if oneSetup && sameInput(t, u) {
			t.U -= u.U
			some(t)
			continue
		}
		some(t)
		some(u)
	}
	some(repeats(a.rep, b.rep))
}
