package logfile

import (
	"math"
	"slices"
	"strings"

	"plateau/core/quantity"
	"plateau/core/trace"
)

// isCounter: a count that the log keeps itself. A sample counts without it.
func (r role) isCounter() bool { return r == roleCharge || r == roleEnergy }

// counters picks the columns in which the log counts charge and energy itself:
// of those with a unit, that of the discharge, else one that counts anything
// taken in or out, never one of the charge alone. It asks nothing and notes
// nothing: a log that has no such column, or one that cannot be told, is read
// without.
func (ch *chooser) counters() {
	lay, p := ch.lay, ch.p
	for _, r := range []role{roleCharge, roleEnergy} {
		best := math.MinInt
		for k := range lay.Columns {
			c := &lay.Columns[k]
			if c.Kind != roleKinds[r] || lay.forms[c.Index] != number {
				continue
			}
			factor := c.Unit.Factor
			if !c.Stated {
				u, ok := ch.unitInCells(c)
				if !ok {
					continue
				}
				c.Unit, factor = u, math.NaN() // a cell without unit says nothing
			}
			rank, ok := rankCounter(c.Head, c.Kind)
			if c.ruled {
				rank, ok = 1000, true
			}
			if ok && rank > best {
				best = rank
				p.has[r], p.column[r], p.factor[r] = true, c.Index, factor
			}
		}
	}
}

// unitInCells is the unit that the cells of a column have, all of them.
func (ch *chooser) unitInCells(c *Column) (u quantity.Unit, ok bool) {
	for _, row := range ch.sample {
		if isBlank(row[c.Index]) {
			continue
		}
		_, unit, isNumber := ch.lay.syntax.number(row[c.Index])
		if u, ok = quantity.UnitOf(unit, c.Kind.of()); !isNumber || !ok {
			return u, false
		}
	}
	return u, ok
}

// columnFor finds a counter again in a header that comes later: a column with
// the same name and a unit. Another count would not go on from this one.
func (r *rows) columnFor(role role, cells []string) (Column, bool) {
	for k, cell := range cells {
		if c := readHead(cell, ""); c.Kind == roleKinds[role] && c.Stated && phrase(c.Head) == r.counted[role] {
			c.Index = k
			return c, true
		}
	}
	return Column{}, false
}

// rankCounter says how well a column with this name counts what a discharge
// gives; false where it does not.
func rankCounter(name string, kind Kind) (rank int, ok bool) {
	text := phrase(name)
	all := strings.Fields(text)
	has := func(words []string) bool {
		return slices.ContainsFunc(all, func(w string) bool { return slices.Contains(words, w) })
	}
	if qualify(name) <= -6 || has(noCounts) || strings.HasPrefix(text, "d q") { // "dQ"
		return 0, false
	}
	rank = qualify(name)
	for _, w := range all {
		rank += countQualifiers[w]
	}
	if containsAny(text, dischargeParts) || has(dischargeShort) {
		return rank + 100, true
	}
	if containsAny(text, chargingParts) || has(chargingShort) {
		return 0, false
	}
	// "charge" alone is what is counted, "charge capacity" the way it flows.
	if has(chargeNouns) {
		rest := strings.Join(slices.DeleteFunc(slices.Clone(all), func(w string) bool { return slices.Contains(chargeNouns, w) }), " ")
		counts, _ := readName(rest)
		if kind == Energy || counts == Charge || counts == Energy || has([]string{"q", "cap"}) {
			return 0, false
		}
	}
	return rank, true
}

func containsAny(s string, parts []string) bool {
	return slices.ContainsFunc(parts, func(p string) bool { return strings.Contains(s, p) })
}

// counterOf is the trace's counter for a role.
func counterOf(r role) trace.Counter {
	if r == roleEnergy {
		return trace.CounterEnergy
	}
	return trace.CounterCharge
}
