package inspect

import (
	"plateau/core/measure"
	"plateau/core/say"
)

// remark is what there can be to say of a sample, in English. A fault says not to
// charge it.
type remark struct {
	severity               measure.Severity
	text, do, rule, source string
}

// Where rules are from, and what several remarks have.
const (
	practice    = say.Later("common practice, no source")
	datasheet   = say.Later("the cell’s datasheet, as entered")
	designation = say.Later("IEC 61960-3 clause 5.1 (cited at second hand)")
	overCutoff  = say.Later("no cell arrives below its cut-off")
	weight      = say.Later("a cell weighs what its datasheet says, within 3 %")
	sizeNominal = say.Later("cells of the size %s measure %s × %s")
	sizeMost    = say.Later("cells of the size %s measure %s × %s at most")
	again       = say.Later("Measure it again, and look whether the size is right. It may be another cell under this wrapper.")
	fourLeads   = say.Later("Measure it again with four leads on clean terminals, at 20 °C to 25 °C. If it stays so, the cell is aged, or not what it is sold for.")
)

// Of the open-circuit voltage.
var (
	noCell   = remark{measure.Caution, say.Later("%s is no voltage of one cell."), say.Later("Look at the unit, and enter how many cells are in series."), say.Later("one cell reads less than 5 V"), practice}
	negative = remark{measure.Fault, say.Later("The open-circuit voltage is negative, %s."),
		say.Later("Look whether the meter’s leads are swapped. If they are not, the cell is reversed: do not charge it."), overCutoff, practice}
	nothing = remark{measure.Fault, say.Later("The open-circuit voltage is %s, next to nothing."),
		say.Later("Do not charge it. A protection circuit that has cut off reads 0 V as well; a cell without one is damaged, and copper dissolved in it can short it inside (cited from memory)."), overCutoff, practice}
	below = remark{measure.Fault, say.Later("It arrived at %s, below its cut-off of %s."),
		say.Later("Do not charge it: a cell that was too low is damaged, and copper dissolved in it can short it inside (cited from memory)."), overCutoff, practice}
	above = remark{measure.Fault, say.Later("It arrived at %s, above its charge voltage of %s."),
		say.Later("Do not charge it: an overcharged cell can burn. Look at the meter, and at the datasheet’s charge voltage."), say.Later("no cell arrives above its charge voltage"), datasheet}
	nearlyFull = remark{measure.Note, say.Later("It arrived at %s, nearly full."), say.Later("Ask where it was kept and whether it was used before: its maker does not ship it so by air."),
		say.Later("by air, cells that are packed alone (UN 3480) are charged to 30 % at most"), say.Later("IATA packing instruction 965, since 2016 (cited from memory)")}
	nearlyEmpty = remark{measure.Note, say.Later("It arrived at %s, nearly empty."), say.Later("Charge it soon, let it rest for two weeks, and read its voltage again: one that falls discharges itself."),
		say.Later("cells arrive partly charged"), practice}
	offLot = remark{measure.Caution, say.Later("Its voltage of %s lies %s from the median of its lot, %s over %s samples."),
		say.Later("Read all of them again after two weeks: one that falls faster discharges itself, and belongs into no pack."), say.Later("samples of one lot arrive within 20 mV of each other"), practice}
)

// Of the mass.
var (
	light = remark{measure.Caution, say.Later("It weighs %s, which is %s less than the %s of its datasheet."),
		say.Later("Look whether the datasheet gives the most that it may weigh, and weigh something known on the same balance. A cell that is too light is often another one under a false wrapper."), weight, practice}
	heavy = remark{measure.Caution, say.Later("It weighs %s, which is %s more than the %s of its datasheet."),
		say.Later("Take off what is not the cell’s, such as tabs or a second sleeve, and weigh it again."), weight, practice}
	tooDense = remark{measure.Caution, say.Later("A rated capacity of %s at this mass would be %s, which hardly any cell holds."),
		say.Later("Doubt the claim: look at the wrapper and where the cell was bought, and weigh it again."), say.Later("good cells hold 150 Wh/kg to 300 Wh/kg"), practice}
)

// Of the size.
var (
	thick = remark{measure.Fault, say.Later("It is %s thick, more than its size allows."),
		say.Later("Look whether a second sleeve makes it so. If not, it is swollen: do not charge it, and keep it away from what burns."), "", practice}
	thin = remark{measure.Caution, say.Later("It is %s thick, less than its size has."), again, "", practice}
	long = remark{measure.Note, say.Later("It is %s long, more than a bare cell of its size."),
		say.Later("Look whether it has a raised top or a protection circuit: a circuit adds to the resistance, and can end a discharge."), "", practice}
	small = remark{measure.Caution, say.Later("It is %s long, less than its size has."), again, "", practice}
)

// Of the a.c. resistance.
var (
	overSheet = remark{measure.Caution, say.Later("Its a.c. resistance of %s is over the datasheet’s %s."), fourLeads,
		say.Later("a new cell’s a.c. resistance at 1 kHz is no more than its datasheet says"), datasheet}
	overLoaded = remark{measure.Caution, say.Later("Its a.c. resistance of %s is above the d.c. resistance of %s that its discharges show."),
		say.Later("One of the two is wrong: measure the a.c. resistance again with four leads on the terminals themselves, and look at its unit."),
		say.Later("the d.c. resistance holds slower losses too, and is the higher one"), say.Later("IEC 61960-3 clause 7.7 has both (cited from memory)")}
	offModel = remark{measure.Caution, say.Later("Its a.c. resistance of %s is %s off the median of %s over %s samples."), fourLeads,
		say.Later("samples of one model have the same a.c. resistance within 20 %"), practice}
)
