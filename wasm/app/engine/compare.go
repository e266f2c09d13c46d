package engine

import (
	"math"
	"slices"
	"sort"

	"plateau/core/cell"
	"plateau/core/compare"
	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// compared is a quantity that is drawn over the current.
type compared struct {
	figured
	label string
	// per divides by something of the cell; nil for the quantity itself. lack
	// says that it is missing, of the cell at hand and of those named.
	per          func(cell.Cell) float64
	lack, lackOf string
}

var (
	noMass    = say.Later("Its mass was not entered.")
	noMassOf  = say.Later("No mass was entered for %s.")
	noSize    = say.Later("Its size was not entered.")
	noSizeOf  = say.Later("No size was entered for %s.")
	noPrice   = say.Later("Its price was not entered.")
	noPriceOf = say.Later("No price was entered for %s.")
)

var comparedBy = []compared{
	{rankedBy[0], say.Later("Capacity / Ah"), nil, "", ""},
	{rankedBy[1], say.Later("Energy / Wh"), nil, "", ""},
	{rankedBy[2], say.Later("Average voltage / V"), nil, "", ""},
	{figured{"rise", say.Later("Temperature rise"), "°C", measure.TempRise, decimals(1), true, ""}, say.Later("Temperature rise / °C"), nil, "", ""},
	{figured{"mass", say.Later("Specific energy"), "Wh/kg", measure.Energy, decimals(1), false, ""}, say.Later("Specific energy / Wh/kg"), func(c cell.Cell) float64 { return c.Mass / 1000 }, noMass, noMassOf},
	{figured{"volume", say.Later("Energy density"), "Wh/l", measure.Energy, decimals(1), false, ""}, say.Later("Energy density / Wh/l"), cell.Cell.Volume, noSize, noSizeOf},
	{figured{"price", say.Later("Energy for the price"), "Wh", measure.Energy, decimals(2), false, ""}, say.Later("Energy per unit of money / Wh"), func(c cell.Cell) float64 { return c.Price }, noPrice, noPriceOf},
	{figured{"ragone", say.Later("Specific energy against specific power"), "Wh/kg", measure.Energy, decimals(1), false, ""}, say.Later("Specific energy / Wh/kg"), func(c cell.Cell) float64 { return c.Mass / 1000 }, noMass, noMassOf},
}

// ownCutoff is the cut-off in V at which a cell's runs are compared among
// themselves: the person's, else the highest that they have in common.
func (e *Engine) ownCutoff(list []entry) float64 {
	if e.cutoff > 0 {
		return e.cutoff
	}
	var reaches []compare.Reach
	for _, x := range list {
		if r := e.reachOf(x); !r.Void && x.out() == "" {
			reaches = append(reaches, r)
		}
	}
	if v := commonOf(reaches); !math.IsInf(v, 1) {
		return v
	}
	return 0
}

// perCell are a cell's means at its rates, by rising current.
type perCell struct {
	cell   cell.Cell
	cutoff float64
	points []mean
	left   []left
}

func (e *Engine) perCell(q measure.Quantity) []perCell {
	list := e.entries()
	by := map[string][]entry{}
	for _, x := range list {
		by[x.cell] = append(by[x.cell], x)
	}
	cuts := map[string]float64{}
	for name, of := range by {
		cuts[name] = e.ownCutoff(of)
	}
	pooled := e.pooledOver(list, q, func(x entry) float64 { return cuts[x.cell] })
	var out []perCell
	for _, name := range e.cellNames() {
		of := by[name]
		if len(of) == 0 {
			continue
		}
		p := perCell{cell: e.cellNamed(name), cutoff: cuts[name]}
		for _, g := range groupsOf(of, e) {
			var runs []entry
			for _, k := range g.Runs {
				runs = append(runs, of[k])
			}
			m, left := e.mean(runs, q, p.cutoff, pooled)
			p.left = append(p.left, left...)
			if m.N > 0 {
				p.points = append(p.points, m)
			}
		}
		sort.SliceStable(p.points, func(i, j int) bool { return p.points[i].amps < p.points[j].amps })
		out = append(out, p)
	}
	return out
}

// compare draws all cells over the current.
func (e *Engine) compare(c wire.Command) (*wire.Compared, [][]float64) {
	what := comparedBy[0]
	for _, x := range comparedBy {
		if x.key == c.Figure {
			what = x
		}
	}
	byRate, name, label := c.Axis == "rate", say.Text(what.name), say.Text(what.label)
	out := &wire.Compared{Title: say.With("%s over the current", name), XLabel: say.Text("Current / A"), YLabel: label, Series: []wire.Series{},
		Table: wire.Table{Heads: []string{}, Rows: []wire.TableRow{}}, Summary: wire.Table{Heads: []string{}, Rows: []wire.TableRow{}}}
	if byRate {
		out.XLabel = say.Text("Rate / It")
	}
	ragone := what.key == "ragone"
	if ragone {
		out.Title, out.XLabel, out.Log = name, say.Text("Specific power / W/kg"), true
	}
	list := e.perCell(what.q)
	if len(list) == 0 {
		out.Why = say.Text("There is no discharge to compare.")
		return out, nil
	}
	colours := e.colours()
	hidden := map[string]bool{}
	for _, id := range c.Hidden {
		hidden[id] = true
	}
	out.Table.Heads = []string{say.Text("Cell and rate"), label}
	share := what.q == measure.Capacity || what.q == measure.Energy
	if share {
		out.Table.Heads = append(out.Table.Heads, say.Text("Share of the reference / %"))
	}
	if ragone {
		out.Table.Heads = append(out.Table.Heads, say.Text("Specific power / W/kg"))
	}
	var data [][]float64
	var lacking, gone []string
	for _, p := range list {
		by := 1.0
		if what.per != nil {
			if by = what.per(p.cell); !(by > 0) {
				lacking = append(lacking, p.cell.Name)
				continue
			}
		}
		ratios := e.ratios(p)
		var xyu []float64
		for k, m := range p.points {
			m.Budget = divided(m.Budget, by)
			m.Mean /= by
			row := wire.TableRow{Cell: p.cell.Name, Colour: colours[p.cell.Name], Head: e.pointWords(m), Note: discharges(m.N),
				Fields: []wire.Figure{e.meanFigure(m, what.decimals(e.columns()))}}
			if e.over(m.runs[0]) {
				row.Mark = say.Text("over the permitted current")
			}
			if share {
				row.Fields = append(row.Fields, e.shareFigure(ratios[k]))
			}
			x := m.amps
			if byRate {
				x = m.it
			}
			if ragone {
				x = power(m) / (p.cell.Mass / 1000)
				row.Fields = append(row.Fields, wire.Figure{Value: e.significant(x, 3)})
			}
			out.Table.Rows = append(out.Table.Rows, row)
			if x > 0 {
				xyu = append(xyu, x, m.Mean, measure.MeanExpanded(m.Budget))
			}
		}
		for _, l := range p.left {
			gone = append(gone, l.name)
		}
		id := "cell " + p.cell.Name
		if len(xyu) > 0 && !hidden[id] {
			out.Series = append(out.Series, wire.Series{Run: id, Name: p.cell.Name, Colour: colours[p.cell.Name]})
			data = append(data, xyu)
		}
	}
	e.summary(out, colours)
	out.Note = e.compareNote(what, list, lacking, gone, byRate)
	if len(out.Table.Rows) == 0 {
		out.Why = say.With("%s: nothing to show.", name)
		if len(lacking) > 0 {
			out.Why += " " + say.With(what.lackOf, join(lacking))
		}
	}
	return out, data
}

func divided(b gum.Budget, by float64) gum.Budget {
	b.Terms = slices.Clone(b.Terms)
	for k := range b.Terms {
		b.Terms[k].U /= by
	}
	return b
}

// power is a mean's average power in W: energy over duration.
func power(m mean) float64 {
	var sum float64
	for _, l := range m.levels {
		sum += l.res.Energy / l.res.Duration * 3600 / float64(len(m.levels))
	}
	return sum
}

// pointWords are a mean's current and rate.
func (e *Engine) pointWords(m mean) string {
	s := e.words.Fixed(m.amps, 2) + " A"
	if rate := e.rate(e.cellNamed(m.Cell), m.amps); rate != "" {
		s += ", " + rate
	}
	return s
}

func (e *Engine) shareFigure(r compare.Ratio) wire.Figure {
	if math.IsNaN(r.Value) {
		return wire.Figure{Why: say.Text("There is no reference.")}
	}
	return wire.Figure{Value: e.words.Fixed(100*r.Value, 1), U: e.uncertain(100*measure.MeanExpanded(r.Budget), 1)}
}

func (e *Engine) ratios(p perCell) []compare.Ratio {
	r, _, _ := compare.Capability(pointsOf(p))
	return r
}

func pointsOf(p perCell) []compare.Point {
	var points []compare.Point
	for _, m := range p.points {
		points = append(points, compare.Point{Amps: m.amps, It: m.it, Mean: m.Mean, Budget: m.Budget, Setup: m.Setup})
	}
	return points
}

// summary has a row for each cell: how it holds up, its exponent, and its energy
// for what it weighs, takes up and costs, at its reference rate.
func (e *Engine) summary(out *wire.Compared, colours map[string]int) {
	out.Summary.Heads = []string{say.Text("Cell"), say.Text("Down to / V"), say.Text("Reference / A"), say.Text("Capacity kept / %"), say.Text("Energy kept / %"), say.Text("Peukert’s exponent"), say.Text("Specific energy / Wh/kg"), say.Text("Energy density / Wh/l"), say.Text("Energy for the price / Wh per unit")}
	charges, energies := e.perCell(measure.Capacity), e.perCell(measure.Energy)
	for k, p := range charges {
		row := wire.TableRow{Cell: p.cell.Name, Colour: colours[p.cell.Name], Head: p.cell.Name}
		ratios, ref, atIt := compare.Capability(pointsOf(p))
		if ref < 0 || len(energies[k].points) == 0 {
			row.Fields = make([]wire.Figure, len(out.Summary.Heads)-1)
			for i := range row.Fields {
				row.Fields[i].Why = say.Text("No discharge counts.")
			}
			out.Summary.Rows = append(out.Summary.Rows, row)
			continue
		}
		last := len(ratios) - 1
		kept := func(q []compare.Ratio) wire.Figure {
			if len(q) < 2 {
				return wire.Figure{Why: say.Text("It takes two rates.")}
			}
			return e.shareFigure(q[len(q)-1])
		}
		er, eref, _ := compare.Capability(pointsOf(energies[k]))
		top := e.words.Fixed(p.points[last].amps, 2)
		row.Note = say.With("from the lowest rate to %s A", top)
		if atIt {
			row.Note = say.With("from 0.2 It to %s A", top)
		}
		ref2 := e.words.Fixed(p.points[ref].amps, 2)
		row.Fields = append(row.Fields, wire.Figure{Value: e.words.Fixed(p.cutoff, 2)}, wire.Figure{Value: ref2}, kept(ratios), kept(er), e.exponent(p))
		energy := energies[k].points[max(eref, 0)]
		for _, what := range comparedBy[4:7] {
			by := what.per(p.cell)
			if !(by > 0) {
				row.Fields = append(row.Fields, wire.Figure{Why: say.Text(what.lack)})
				continue
			}
			m := energy
			m.Mean, m.Budget = m.Mean/by, divided(m.Budget, by)
			f := e.meanFigure(m, what.decimals(e.columns()))
			if what.key == "price" && p.cell.Currency != "" {
				row.Note += ", " + say.With("price in %s", p.cell.Currency)
			}
			row.Fields = append(row.Fields, f)
		}
		out.Summary.Rows = append(out.Summary.Rows, row)
	}
}

func (e *Engine) exponent(p perCell) wire.Figure {
	var amps, ah []float64
	for _, m := range p.points {
		amps, ah = append(amps, m.amps), append(ah, m.Mean)
	}
	x, why := compare.Peukert(amps, ah)
	if why != "" {
		return wire.Figure{Why: sentence(why)}
	}
	return wire.Figure{Value: e.words.Fixed(x.K, 3), U: e.uncertain(x.SE, 3)}
}

func (e *Engine) compareNote(what compared, list []perCell, lacking, gone []string, byRate bool) string {
	s := say.Text("Each cell down to the highest cut-off that its own discharges have in common; means of repeats, ± the expanded uncertainty (k = 2).")
	if e.cutoff > 0 {
		s = say.Text("All down to your cut-off; means of repeats, ± the expanded uncertainty (k = 2).")
	}
	if what.q == measure.Capacity || what.q == measure.Energy {
		s += " " + say.Text("The reference is 0.2 It, or the lowest rate where there is none; in a share the tester’s gain cancels. ± of Peukert’s exponent is its standard error, over the measured currents alone: fast runs are warmer, which spoils it, and below 1 it tells of heating.")
	}
	if what.key == "volume" {
		s += " " + say.Text("By the size’s designation: the standard’s is the largest that the cell may be.")
	}
	if len(lacking) > 0 {
		s += " " + say.With(what.lackOf, join(lacking))
	}
	if len(gone) > 0 {
		s += " " + say.With("Left out, since they do not count, were cut short or did not start full: %s.", join(gone))
	}
	if byRate && slices.ContainsFunc(list, func(p perCell) bool { return p.cell.Rated == 0 }) {
		s += " " + say.Text("Cells without a rated capacity have no rate, and are in the table alone.")
	}
	return s
}
