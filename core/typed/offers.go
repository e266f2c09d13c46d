package typed

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"plateau/core/say"
)

// Offer is another reading of a figure. Field is "capacity" or "energy".
type Offer struct{ Field, Text, Why string }

// mostOffers for a row.
const mostOffers = 3

// reading is a number that may have been meant.
type reading struct {
	text, how string
	cost      float64 // how unlikely the slip is, beside others
}

// readings are what one slip can have made of a number: two digits swapped, the
// mark misplaced, one digit changed, left out or put in.
func readings(n string) (list []reading) {
	seen := map[string]bool{n: true}
	add := func(text, how string, cost float64) {
		if text != "" && !seen[text] && strings.Trim(text, "0.,") != "" {
			seen[text] = true
			list = append(list, reading{text, how, cost})
		}
	}
	mark := strings.IndexAny(n, ".,")
	for k := range len(n) {
		next := k + 1
		if next == mark {
			next++
		}
		if k != mark && next < len(n) {
			b := []byte(n)
			b[k], b[next] = b[next], b[k]
			add(string(b), say.Later("two digits swapped"), 0)
		}
	}
	bare := noMark(n)
	sign := "."
	if mark >= 0 {
		sign = n[mark : mark+1]
	}
	for k := 1; k < len(bare); k++ {
		add(bare[:k]+sign+bare[k:], say.Later("the decimal mark misplaced"), 0)
	}
	for k := range len(n) {
		if k == mark {
			continue
		}
		for d := byte('0'); d <= '9'; d++ {
			add(n[:k]+string(d)+n[k+1:], say.Later("one digit mistyped"), 0.5)
		}
		add(n[:k]+n[k+1:], say.Later("one digit too many"), 0.5)
	}
	for k := 0; k <= len(n); k++ {
		for d := byte('0'); d <= '9'; d++ {
			add(n[:k]+string(d)+n[k:], say.Later("one digit left out"), 0.8)
		}
	}
	return list
}

// offers are the readings of a row's figures that would put it in line with the
// other discharges of its cell, the likeliest first. Without others, in the band
// where such cells mostly lie.
func (c *checker) offers(p *point, others []*point) []Offer {
	if c.offered++; c.offered > mostOffered {
		return nil
	}
	e := expect(p, others)
	if !e.ok {
		e = expectation{v: p.kind.Cells * (p.kind.Low + p.kind.High) / 2, tolerance: p.kind.Cells * (p.kind.High - p.kind.Low) / 2}
		if len(others) == 1 {
			o := others[0]
			e.charge = o.charge
			if o.amps > p.amps { // it lies above that at the higher current
				e.v, e.tolerance = o.v*1.03, o.v*0.04
			} else {
				e.v, e.tolerance = o.v*0.95, o.v*0.06
			}
		}
	}
	r := c.rows[p.row]
	type offer struct {
		Offer
		cost float64
	}
	var found []offer
	try := func(field, text string, value float64, how string, cost, charge, v float64) {
		off := math.Abs(v-e.v) / e.tolerance
		if off > 1 || v < p.low || v > p.high {
			return
		}
		if e.charge > 0 {
			apart := math.Abs(charge-e.charge) / e.charge
			if apart > 0.3 {
				return
			}
			cost += apart * 8
		}
		was := map[bool]string{true: r.CapacityText, false: r.EnergyText}[field == "capacity"]
		why := say.With("%s for %s, %s: then %s.", text, was, say.Text(how), c.volts(v))
		if len(others) > 1 {
			why = say.With("%s for %s, %s: then %s, where about %s is expected.", text, was, say.Text(how), c.volts(v), c.volts(e.v))
		}
		found = append(found, offer{Offer{field, text, why}, cost + off})
	}
	each := func(field, text string, value float64, take func(x float64) (charge, v float64)) {
		n, unit := number(text)
		x, err := strconv.ParseFloat(strings.Replace(n, ",", ".", 1), 64)
		if err != nil || !(x > 0) {
			return
		}
		for _, m := range readings(n) {
			y, err := strconv.ParseFloat(strings.Replace(m.text, ",", ".", 1), 64)
			if err != nil || !(y > 0) {
				continue
			}
			charge, v := take(value * y / x)
			try(field, m.text+unit, y, m.how, m.cost, charge, v)
		}
		if milli := map[string]string{"capacity": " mAh", "energy": " mWh"}[field]; unit == "" {
			charge, v := take(value / 1000)
			try(field, n+milli, value/1000, say.Later("the unit"), 0, charge, v)
		}
	}
	each("capacity", r.CapacityText, r.Capacity, func(q float64) (float64, float64) { return q, r.Energy / q })
	each("energy", r.EnergyText, r.Energy, func(w float64) (float64, float64) { return r.Capacity, w / r.Capacity })
	slices.SortStableFunc(found, func(a, b offer) int { return cmp.Compare(a.cost, b.cost) })
	var out []Offer
	for _, f := range found[:min(len(found), mostOffers)] {
		out = append(out, f.Offer)
	}
	return out
}
