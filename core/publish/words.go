package publish

import (
	"math"
	"strconv"
	"strings"

	"plateau/core/quantity"
	"plateau/core/say"
)

// uDigits is how many significant digits an uncertainty has: GUM 7.2.6. The
// figure is rounded to its last one.
const uDigits = 2

// known tells a number that can be written.
func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// fixed is a number with so many decimals and a true minus sign; with an
// exponent where that would be a long row of digits.
func (o *Options) fixed(x float64, decimals int) string {
	s := o.Words.Fixed(x, decimals)
	if math.Abs(x) >= 1e9 {
		s = strconv.FormatFloat(x, 'e', 3, 64)
		if o.Words.Comma {
			s = strings.Replace(s, ".", ",", 1)
		}
	}
	return strings.Replace(s, "-", "−", 1)
}

// amount is a number that has no uncertainty, with so many significant
// digits; empty where it is not above zero.
func (o *Options) amount(x float64, digits int) string {
	if !(x > 0) || !known(x) {
		return ""
	}
	return o.fixed(x, quantity.Decimals(x, digits))
}

// short is an amount without the noughts at its end.
func (o *Options) short(x float64, digits int) string {
	s := o.amount(x, digits)
	if strings.ContainsAny(s, ".,") && !strings.Contains(s, "e") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".,")
	}
	return s
}

// figure is a figure with its uncertainty; empty where there is none. So many
// decimals where it has no uncertainty; below zero, as many significant digits.
func (o *Options) figure(n *Number, decimals int) string {
	if !known(n.Value) {
		return ""
	}
	if decimals < 0 {
		decimals = quantity.Decimals(n.Value, -decimals)
	}
	if !(n.U > 0) || !known(n.U) {
		return least(n, o.fixed(n.Value, decimals))
	}
	decimals = quantity.Decimals(n.U, uDigits)
	u := max(n.U, math.Pow(10, -float64(decimals))) // never nought
	return least(n, o.fixed(n.Value, decimals)+" ± "+o.fixed(u, decimals))
}

// least says that a figure as written is no more than a bound, where it is one.
func least(n *Number, s string) string {
	if n.AtLeast {
		return say.With("at least %s", s)
	}
	return s
}

// cell is a figure in a table: where there is none a dash, and why below.
func (o *Options) cell(n *Number, decimals int, f *footnotes) string {
	if s := o.figure(n, decimals); s != "" {
		return s
	}
	return missing(n, f)
}

func missing(n *Number, f *footnotes) string {
	if m := f.mark(say.Text(n.Why)); m != "" {
		return dash + " " + m
	}
	return dash
}

// clock is a duration.
func (o *Options) clock(n *Number, f *footnotes) string {
	if !known(n.Value) || math.Abs(n.Value) >= 1e9 {
		return missing(n, f)
	}
	s := least(n, quantity.Clock(n.Value))
	if n.U > 0 && known(n.U) {
		s += " ± " + o.fixed(max(n.U, 1), 0) + " s"
	}
	return s
}

// signed is a difference.
func (o *Options) signed(n *Number, f *footnotes) string {
	s := o.cell(n, -4, f)
	if n.Value > 0 && !n.AtLeast {
		s = "+" + s
	}
	return s
}

// chance is a share of 1 in per cent. Near its ends it says no more than that.
func (o *Options) chance(n *Number, f *footnotes) string {
	switch p := n.Value; {
	case !known(p):
		return missing(n, f)
	case p <= 0.0005:
		return say.With("under %s %%", o.fixed(0.1, 1))
	case p >= 0.9995:
		return say.With("over %s %%", o.fixed(99.9, 1))
	case p > 0.1 && p < 0.9:
		return o.fixed(100*p, 0) + " %"
	default:
		return o.fixed(100*p, 1) + " %"
	}
}

// mark is what the decimal mark is, in a name for machines.
func (o *Options) mark() string {
	if o.Words.Comma {
		return "comma"
	}
	return "point"
}
