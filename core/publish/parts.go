package publish

import (
	"strings"

	"plateau/core/say"
)

// figures is the table of runs.
func (o *Options) figures(p *Post) []block {
	t, f := &table{name: say.Text("Figures of each discharge")}, &footnotes{}
	t.columns("->>>>>>>-", say.Later("Discharge"), say.Later("Current / A"), say.Later("Rate / It"), say.Later("Cut-off / V"), say.Later("Capacity / Ah"), say.Later("Energy / Wh"),
		say.Later("Average / V"), say.Later("Highest temp. / °C"), say.Later("Remark"))
	typed, over := false, false
	for k := range p.Runs {
		r := &p.Runs[k]
		cutoff := o.amount(r.Cutoff, 3)
		if cutoff == "" {
			cutoff = say.Text("own end")
		}
		t.add(label(r), o.amount(r.Current, 3), o.short(r.Rate, 2), cutoff,
			o.cell(&r.Capacity, -4, f), o.cell(&r.Energy, -4, f), o.cell(&r.Average, 3, f), o.cell(&r.TempMax, 1, f), remark(r, f))
		typed, over = typed || r.Typed, over || r.Over
	}
	out := tabled(t, f)
	if over {
		out = para(out, say.Text("Over"), say.Text("the current is over the one that the cell is permitted."))
	}
	if typed {
		out = para(out, say.Text("Typed"), say.Text("read off the tester’s display, not worked out from a log."))
	}
	return out
}

// remark marks a run.
func remark(r *Run, f *footnotes) string {
	var s []string
	if line(r.Void) != "" {
		s = append(s, say.Text("void")+" "+f.mark(say.With("Void, does not count: %s", r.Void)))
	}
	if r.Over {
		s = append(s, say.Text("over"))
	}
	if r.Typed {
		s = append(s, say.Text("typed"))
	}
	return strings.Join(s, "; ")
}

// details is the table of what more there is of runs.
func (o *Options) details(p *Post) []block {
	t, f := &table{name: say.Text("Voltages, duration and resistance of each discharge")}, &footnotes{}
	at, same := "", true // when the resistances were taken
	for k := range p.Runs {
		r := &p.Runs[k]
		if known(r.Resistance.Value) {
			s := o.short(r.ResistanceAt, 3)
			same, at = same && (at == "" || at == s), s
		}
	}
	if !same {
		at = ""
	}
	head := say.Text("D.c. resistance / mΩ")
	if at != "" {
		head = say.With("D.c. resistance %s s after the load step / mΩ", at)
	}
	t.columns("->>>>>>>", say.Later("Discharge"), say.Later("Duration / h:mm:ss"), say.Later("Start / V"), say.Later("Mid-point / V"), say.Later("End / V"), say.Later("Temp. rise / °C"), head, say.Later("Its time after the load step / s"))
	for k := range p.Runs {
		r := &p.Runs[k]
		ohm, when := r.Resistance, ""
		ohm.Value, ohm.U = 1000*ohm.Value, 1000*ohm.U
		if known(ohm.Value) && at == "" {
			when = o.short(r.ResistanceAt, 3)
		}
		t.add(label(r), o.clock(&r.Duration, f), o.cell(&r.Start, 3, f), o.cell(&r.MidPoint, 3, f), o.cell(&r.End, 3, f),
			o.cell(&r.TempRise, 1, f), o.cell(&ohm, -3, f), when)
	}
	return tabled(t, f)
}

// verdicts is the table of claims and a sentence on each.
func (o *Options) verdicts(p *Post) []block {
	t, f := &table{name: say.Text("Each datasheet claim, what became of it, and the chance that the sample meets it")}, &footnotes{}
	t.columns("--->>>>", say.Later("Cell"), say.Later("Claim"), say.Later("Verdict"), say.Later("Best / Ah"), say.Later("of"), say.Later("Margin / Ah"), say.Later("Chance"))
	var list []item
	for k := range p.Verdicts {
		v := &p.Verdicts[k]
		of := ""
		if known(v.Best.Value) {
			of = o.short(float64(v.BestOf), 6)
		}
		t.add(v.Cell, v.Claim, say.Text(v.Word), o.cell(&v.Best, -4, f), of, o.signed(&v.Margin, f), o.chance(&v.Chance, f))
		if line(v.Sentence) != "" {
			list = add(list, v.Cell, v.Sentence)
		}
	}
	return append(tabled(t, f), listed(list)...)
}

// measured is the head of what is ranked by.
func measured(k *Ranking) string {
	switch k.Figure {
	case "capacity":
		return say.Text("Capacity")
	case "energy":
		return say.Text("Energy")
	case "average":
		return say.Text("Average voltage")
	case "temperature":
		return say.Text("End temperature")
	}
	return k.Figure
}

// ranking is a table for each figure: a row for each rate, the places beside it.
func (o *Options) ranking(p *Post) []block {
	var out []block
	said := map[string]bool{}
	var basis []item
	shared := false
	for at := 0; at < len(p.Rankings); {
		first, end := &p.Rankings[at], at
		for end < len(p.Rankings) && p.Rankings[end].Figure == first.Figure && p.Rankings[end].Unit == first.Unit {
			end++
		}
		out = append(out, o.order(p.Rankings[at:end], said)...)
		for n := at; n < end; n++ {
			k := &p.Rankings[n]
			for _, s := range k.Basis {
				if s = line(s); !said[s] {
					said[s], basis = true, append(basis, item{text: s})
				}
			}
			shared = shared || len(k.Places) > 1
		}
		at = end
	}
	if shared {
		out = para(out, "", say.Text("Cells of one row that share a letter are not told apart."))
	}
	return append(out, listed(basis)...)
}

// order is the table of one figure. What was said before is not said again.
func (o *Options) order(list []Ranking, said map[string]bool) []block {
	places := 0
	for k := range list {
		places = max(places, len(list[k].Places))
	}
	head := measured(&list[0])
	if line(list[0].Unit) != "" {
		head += " / " + list[0].Unit
	}
	t, f := &table{name: say.With("Ranking by %s", head)}, &footnotes{}
	t.columns("-", say.With("%s, at", head))
	if places > mostPlaces {
		places = mostPlaces
		f.mark(say.Text("Further places are left out."))
	}
	for n := range places {
		t.columns("-", say.With("Place %s", o.fixed(float64(n+1), 0)))
	}
	var left []item
	for n := range list {
		k := &list[n]
		row := []string{k.Rate}
		if m := f.mark(k.Why); m != "" {
			row[0] += " " + m
		}
		for n := range places {
			if n >= len(k.Places) {
				row = append(row, "")
				continue
			}
			x := &k.Places[n]
			s := x.Cell + " " + o.cell(&x.Mean, -4, f)
			if x.N > 1 {
				s += " " + say.With("(mean of %s)", o.fixed(float64(x.N), 0))
			}
			if line(x.Letters) != "" {
				s += " " + x.Letters
			}
			if m := f.mark(x.Mark); m != "" {
				s += " " + m
			}
			row = append(row, s)
		}
		t.add(row...)
		if text := line(strings.Join(k.Out, " ")); text != "" && !said[k.Rate+text] {
			said[k.Rate+text] = true
			left = add(left, say.With("Without a rank at %s", k.Rate), text)
		}
	}
	return append(tabled(t, f), listed(left)...)
}

// mostPlaces is how many places a table has: link and forum would burst before.
const mostPlaces = 40

// datasheets is the table of cells.
func (o *Options) datasheets(p *Post) []block {
	t := &table{name: say.Text("Cells as their datasheets have them")}
	t.columns("------>->->>>", say.Later("Cell"), say.Later("Model"), say.Later("Sample"), say.Later("Chemistry"), say.Later("Size"), say.Later("Marking"), say.Later("Mass / g"),
		say.Later("Claims"), say.Later("Cut-off / V"), say.Later("Charge"), say.Later("Max. current / A"), say.Later("In series"), say.Later("Price"))
	for k := range p.Cells {
		c := &p.Cells[k]
		var claims, charge []string
		for _, x := range c.Claims {
			ah := o.amount(x.Capacity, 4)
			s := strings.TrimSpace(x.What + " " + ah + " Ah")
			switch x.What {
			case "rated":
				s = say.With("rated %s Ah", ah)
			case "minimum":
				s = say.With("minimum %s Ah", ah)
			case "typical":
				s = say.With("typical %s Ah", ah)
			}
			if a := o.amount(x.Current, 3); a != "" {
				s = say.With("%s at %s", s, a+" A")
			}
			if v := o.amount(x.Cutoff, 3); v != "" {
				s = say.With("%s to %s", s, v+" V")
			}
			claims = append(claims, s)
		}
		for _, x := range [...]struct{ how, number, unit string }{{say.Later("to %s"), o.amount(c.ChargeVoltage, 3), " V"},
			{say.Later("at %s"), o.amount(c.ChargeCurrent, 3), " A"}, {say.Later("ending at %s"), o.amount(c.ChargeEnd, 2), " A"}} {
			if x.number != "" {
				charge = append(charge, say.With(x.how, x.number+x.unit))
			}
		}
		mass, series, price := "", "", ""
		if c.Mass > 0 && known(c.Mass) {
			mass = o.fixed(c.Mass, 1)
		}
		if c.Series > 1 {
			series = o.fixed(float64(c.Series), 0)
		}
		if c.Price > 0 && known(c.Price) {
			price = o.fixed(c.Price, 2) + " " + c.Currency
		}
		t.add(c.Name, c.Model, c.Sample, say.Text(c.Chemistry), c.Size, c.Marking, mass, strings.Join(claims, "; "),
			o.amount(c.Cutoff, 3), strings.Join(charge, ", "), o.amount(c.MaxCurrent, 3), series, price)
	}
	return tabled(t, &footnotes{})
}

// logs is the table of files.
func (o *Options) logs(p *Post) []block {
	t := &table{name: say.Text("Logs that the figures come from"), half: true}
	t.columns("->-", say.Later("Log"), say.Later("Size"), "SHA-256")
	for _, l := range p.Logs {
		size := ""
		if l.Bytes > 0 {
			size = o.Words.Bytes(l.Bytes)
		}
		hash := l.SHA256
		if line(hash) == "" {
			hash = dash
		}
		t.add(l.Name, size, hash)
	}
	return tabled(t, &footnotes{})
}
