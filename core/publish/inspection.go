package publish

import "plateau/core/say"

// inspected tells whether a cell was looked at before its first charge.
func (c *Cell) inspected() bool {
	i := &c.Inspection
	return i.HasVoltage || i.Diameter > 0 || i.Length > 0 || i.Resistance > 0
}

// inspection is the table of cells as they came, and what was found.
func (o *Options) inspection(p *Post) []block {
	t := &table{name: say.Text("Cells as they came, before their first charge")}
	t.columns("-->>>>>", say.Later("Cell"), say.Later("Day"), say.Later("Open-circuit voltage / V"), say.Later("Mass / g"), say.Later("Diameter / mm"),
		say.Later("Length / mm"), say.Later("A.c. resistance / mΩ"))
	var list []item
	for k := range p.Cells {
		c := &p.Cells[k]
		i := &c.Inspection
		if c.inspected() {
			volts := ""
			if i.HasVoltage && known(i.Voltage) {
				volts = o.fixed(i.Voltage, 3)
			}
			t.add(c.Name, i.Day, volts)
			for _, x := range [...]float64{c.Mass, i.Diameter, i.Length, 1000 * i.Resistance} {
				t.more(o.amount(x, 3))
			}
		}
		list = o.remarks(list, c.Name, i.Checks)
	}
	return append(tabled(t, &footnotes{}), listed(list)...)
}

// remarks adds the checks that are asked for to a list.
func (o *Options) remarks(list []item, of string, checks []Check) []item {
	for _, c := range checks {
		if line(c.Text) != "" && !(o.Brief && c.Severity == "note" && !c.Safety) {
			list = add(list, of, say.Text(c.Severity)+": "+c.Text)
		}
	}
	return list
}

func (j *object) inspection(p *Post, findings, brief bool) {
	j.open("inspection", '[')
	for k := range p.Cells {
		c := &p.Cells[k]
		i := &c.Inspection
		if !c.inspected() {
			continue
		}
		j.open("", '{')
		j.members("cell", c.Name, "day", i.Day)
		if i.HasVoltage {
			j.number("open_circuit_V", i.Voltage)
		}
		j.amounts(named{"diameter_mm", i.Diameter}, named{"length_mm", i.Length}, named{"ac_resistance_ohm", i.Resistance})
		if findings {
			j.findings(i.Checks, brief)
		}
		j.close('}')
	}
	j.close(']')
}
