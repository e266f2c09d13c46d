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
			volts := dash
			if i.HasVoltage && known(i.Voltage) {
				volts = o.fixed(i.Voltage, 3)
			}
			t.add(c.Name, i.Day, volts, o.amount(c.Mass, 3), o.amount(i.Diameter, 3), o.amount(i.Length, 3), o.amount(1000*i.Resistance, 3))
		}
		for _, x := range i.Checks {
			if o.told(x) {
				list = add(list, c.Name, say.Text(x.Severity)+": "+x.Text)
			}
		}
	}
	return append(tabled(t, &footnotes{}), listed(list)...)
}

// told tells whether a check is among those that are asked for.
func (o *Options) told(c Check) bool {
	return line(c.Text) != "" && !(o.Brief && c.Severity == "note" && !c.Safety)
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
