package card

import (
	"image/color"
	"strconv"
	"strings"

	"plateau/core/publish"
)

const (
	begin  = 172 // of the part between head and foot
	side   = 806 // where the figures begin beside a chart
	high   = 29  // of a line of figures
	most   = 12  // lines
	few    = 4   // discharges that have a block each
	block  = 96
	swatch = 44
)

// figures are the discharges with what they gave: a few with all that counts,
// more in a line each, the rest as a number.
func (d *drawn) figures(curves []line) {
	runs := d.post.Runs
	switch {
	case len(runs) == 0:
		d.text.write(d.on, "This link holds no discharge.", margin, begin+40, quiet, false)
	case len(curves) == 0:
		d.table(runs)
	case len(runs) <= few:
		d.blocks(runs, curves)
	default:
		d.rows(runs, curves)
	}
}

// swatches are the curves by their discharge.
func swatches(curves []line) map[int]line {
	own := map[int]line{}
	for _, l := range curves {
		if _, ok := own[l.run]; !ok {
			l.wide = 5
			own[l.run] = l
		}
	}
	return own
}

func (d *drawn) swatch(own map[int]line, run int, y float64) {
	if l, ok := own[run]; ok {
		d.line([]float64{side, side + swatch}, []float64{y, y}, l)
	}
}

const right = Width - margin

func (d *drawn) blocks(runs []publish.Run, curves []line) {
	own := swatches(curves)
	for k := range runs {
		g, y := words.Glance(&runs[k]), float64(begin-16+k*block)
		d.swatch(own, k, y+15)
		end := float64(right)
		if tag, c := remark(&runs[k]); tag != "" {
			end -= d.small.write(d.on, tag, end, y+23, c, true) + 12
		}
		const x = side + swatch + 12
		d.bold.write(d.on, d.bold.fit(g.Name, end-x), x, y+23, tone(g), false)
		d.big.write(d.on, d.big.fit(unit(g.Capacity, "Ah"), right-side), side, y+54, tone(g), false)
		average := unit(bare(g.Average), "V")
		if average != "" {
			average = "avg " + average
		}
		rest := strings.Join(present(unit(bare(g.Energy), "Wh"), average, strings.Replace(g.To, "its own end, ", "", 1)), " · ")
		d.small.write(d.on, d.small.fit(rest, right-side), side, y+81, quiet, false)
	}
}

// remark is a discharge's rate, or what is to be said of it before that.
func remark(r *publish.Run) (string, color.Color) {
	switch g := words.Glance(r); {
	case g.Void:
		return "does not count", caution
	case r.Over:
		return "over its limit", failed
	default:
		return g.Rate, quiet
	}
}

func (d *drawn) rows(runs []publish.Run, curves []line) {
	own := swatches(curves)
	d.small.write(d.on, "Capacity / Ah", right, begin-17, quiet, true)
	y := float64(begin)
	for k := range shown(runs) {
		g := words.Glance(&runs[k])
		d.swatch(own, k, y+9)
		const x = side + swatch + 12
		end := right - d.small.write(d.on, d.small.fit(least(g.Capacity), right-x), right, y+16, tone(g), true) - 12
		d.small.write(d.on, d.small.fit(g.Name, end-x), x, y+16, tone(g), false)
		y += high
	}
	d.rest(runs, side, y+16)
}

// shown are the discharges for which there are lines.
func shown(runs []publish.Run) []publish.Run {
	if len(runs) > most {
		return runs[:most-1]
	}
	return runs
}

func (d *drawn) rest(runs []publish.Run, x, y float64) {
	if n := len(runs) - len(shown(runs)); n > 0 {
		d.small.write(d.on, "and "+strconv.Itoa(n)+" more", x, y, quiet, false)
	}
}

// table has the figures over the whole width, where there are no curves.
func (d *drawn) table(runs []publish.Run) {
	ends := [...]float64{630, 840, 1000, right}
	for k, head := range [...]string{"Cut-off", "Capacity / Ah", "Energy / Wh", "Average / V"} {
		d.small.write(d.on, head, ends[k], begin-17, quiet, true)
	}
	y, step := float64(begin), float64(high)
	if len(runs) <= most/2 {
		y, step = y+14, 2*high
	}
	for k := range shown(runs) {
		r := &runs[k]
		g := words.Glance(r)
		tag, c := remark(r)
		to := strings.TrimPrefix(strings.Replace(g.To, "its own end, ", "", 1), "to ")
		for k, s := range [...]string{to, least(g.Capacity), bare(g.Energy), bare(g.Average)} {
			if k > 0 {
				s = least(s)
			}
			at := d.text
			if k == 1 {
				at = d.bold
			}
			at.write(d.on, at.fit(s, 190), ends[k], y+17, tone(g), true)
		}
		end := 535 - d.small.write(d.on, tag, 520, y+17, c, true)
		d.text.write(d.on, d.text.fit(g.Name, end-margin-15), margin, y+17, tone(g), false)
		y += step
	}
	d.rest(runs, margin, y+17)
}

// tone is the colour of a discharge: one that does not count steps back.
func tone(g publish.Glance) color.Color {
	if g.Void {
		return quiet
	}
	return ink
}

func bare(figure string) string {
	value, _, _ := strings.Cut(figure, " ± ")
	return value
}

func least(figure string) string { return strings.Replace(figure, "at least ", "≥ ", 1) }

func unit(figure, unit string) string {
	if figure == "" {
		return ""
	}
	return least(figure) + " " + unit
}

func present(list ...string) []string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}
