package link

// words stand before a link's texts when they are deflated (the preset
// dictionary of RFC 1950), so that what Plateau often says costs little. What
// is said most stands last, where deflate names it in the fewest bits. They are
// a part of the format: a change of them is a new version.
const words = `The voltage is below the cut-off from the first sample on.` +
	`No charge was taken out.` +
	`Half the capacity lies before the log’s first sample.` +
	`The log does not tell it.` +
	`The log has no temperature.` +
	`The cell rested for min after its charge: shorter than 1 h.` +
	`: longer than 4 h.` +
	`The cell was at °C when the load came on, outside 15 °C to 25 °C.` +
	`The cell went from  °C to  while it rested: it was not at the temperature of its surroundings yet.` +
	`The charge ended at  A, above : the cell was not full.` +
	`The charge went to  V only; the datasheet has ` +
	`The current was not held: % to % about a mean of ` +
	`The cut-off asked for,  V, is below the datasheet’s ` +
	`The discharge follows on another load without a rest: it did not start from a full, rested cell.` +
	`The load took constant power,  W, and no constant current: it went from ` +
	`The log counts  Ah for this discharge; its samples add up to ` +
	`The log has a gap of  s, min after the start: what happened in it is drawn as a straight line.` +
	`The log has no sample at the moment when the load came on (a gap of ), went off: the capacity can be off by up to  mAh.` +
	`The log reads : this is a pack. Its figures are those of the whole pack.` +
	`The log’s clock begins anew once, in line : the parts were put one after the other.` +
	`Time goes back in rows of the log, first in line : left out.` +
	`The run gave % of the rated capacity.` +
	`The run has samples only: its figures and its end are coarse.` +
	`The run started at  V, more than 0.1 V below the charge voltage of 4.20 V: the cell was not full, or had rested for long.` +
	`The run went down to  V, below ` +
	`The average voltage is ` +
	`The resistance at 10 s after the step,  mΩ, is well above the  mΩ of other runs of this cell.` +
	`A rated capacity of  Ah in the size  would be  Wh/l, which no cell holds.` +
	`The voltage dips to  V, below the cut-off,  s after the load came on.` +
	`The run ended at  V, above the cut-off of  V: the cell gives at least these figures.` +
	`Discharge test of ` +
	`Charge and energy are added up by the trapezoidal rule over the log’s own samples, from the moment the load comes on until the voltage crosses the cut-off for good; the average voltage is energy over charge.` +
	`Uncertainties are expanded ones, k = 2, combined by the GUM (JCGM 100) from the tester’s errors, its resolution and clock, the sampling and the cut-off.` +
	`Last checked on 20 against a ` +
	`two wires; voltages are corrected for  mΩ of leads and contacts` +
	`Cell temperature when the load came on` + "\x00" +
	`Charged to` + "\x00" + `4.20 V, as far as logs tell: 1 of ` +
	`Rest between charge and discharge` + "\x00" +
	`Figures go down to` + "\x00" + `each discharge’s own end` + "\x00" + `Connection` + "\x00" + `four wires` + "\x00" +
	`The tester’s display does not tell it.` +
	`No discharge can tell. It takes a discharge at the claim’s own conditions.` +
	`A typical value is a centre, not a limit that is met or missed.` +
	`: It rested for less than 1 h after its charge.` +
	`: The log begins under load.` +
	`: It was not full.` +
	`: It takes two rates.` +
	`, not told apart` +
	`lithium iron phosphate` + "\x00" +
	`, Plateau 0. 2026-11- lithium ion iron phosphate 18650 21700 32700 26650 EUR USD GBP rated minimum typical .csv .xlsx .txt Wh/l mΩ ± 5 °C to ` +
	`Ambient four wires, Rest after the charge Cut-off each datasheet’s own Tester, resolution 1 mV. resolution 10 mA. Time base %, temperature ± 1 °C. Current ± (0.1 % + 5 mA), Voltage ± (0.05 % + 2 mV), ` +
	`Each chemistry goes to its own highest common cut-off: lithium ion down to 2.80 V and iron phosphate down to 2.00 V. Set your device’s cut-off above the curves to compare at one voltage.` +
	`Too few repeats for a spread of their own: 0.15 % at 0.2 It, 0.30 % at 1 It, 0.50 % at higher rates is assumed (common practice, no source).` +
	`All figures go down to  V, your cut-off.` +
	`All figures go down to  V, the highest cut-off that the discharges have in common.` +
	` A is over the  A that the cell may give: not for imitation, and not in the order.` +
	`Means of repeats are compared pair by pair; what two cells have in common on one range of one tester cancels. Holm’s step-down over all pairs at a rate keeps the chance of telling any equal cells apart at 5 %.` +
	` alone has a figure at this rate: there is nothing to compare it with.` +
	`No discharge at this rate can be ranked.` +
	`over the permitted current; down to ` +
	`U is the expanded uncertainty of what was measured, for a level of confidence of about 95 %.` +
	`A rated or minimum capacity is a lower limit. Pass: measured at least the claim plus U. Pass, within uncertainty: at least the claim, by less than U. Below, within uncertainty: under the claim, by less than U. Below: under the claim by U or more. (ILAC-G8:09/2019, 4.2.3, with a guard band of U; JCGM 106:2012.)` +
	`A sample that gives exactly its claim is called a pass by one run in 2.3 % of cases where errors are normal, and by the best of five in up to 10.9 %.` +
	`The best of the first five attempts decides (IEC 61960-3, 7.3.1). A run whose procedure had a fault is void: it is no attempt, and stays listed with its reason.` +
	`The chance that the sample meets the claim comes from the mean of all valid attempts with its uncertainty, not from the best.` +
	`A typical capacity is a centre, not a limit: the mean of the runs is above or below it, and that is never a failure.` +
	`A run at a higher current than the claim’s, that ended above its cut-off, after a short charge or in the cold can prove that the claim is met, never that it is missed. One at a lower current, in the heat or charged too far can prove that it is missed, never that it is met. One with both kinds of fault proves nothing.` +
	`A run that went below the claim’s cut-off counts down to that cut-off only; where no curve tells how much that is, it can prove only that the claim is missed. Nothing is ever extrapolated to a lower one.` +
	`Currents within 3 % of the claim’s, and ends within 5 mV of its cut-off, count as the same (common practice, no source).` +
	`The verdict is on this sample, not on all cells of its model.` +
	`The log has no rest before the load.` +
	`The log begins under load: what was taken out before its first row is not counted.` +
	` A is over the  A that the cell may give continuously.` +
	` A is over the 20.00 A that the tester can take.` +
	`The cell reached  °C, over 60 °C.` +
	`The last sample lies just above the cut-off: the figures are carried on to 2.500 V along the last slope.` +
	`It takes a run at . No run tells: of , void, that can prove nothing. That proves nothing, since it ran at  A, above the claim’s , and its figure ends at  V, below the claim’s . That although it was not full. Under the claim’s conditions it was  But  is : the runs contradict each other.` +
	`. Best of 2; the mean of all is , the mean of 2, at less than 0.001 Ah equal to the ` +
	`Pass, within uncertainty` + "\x00" + `below the typical value` + "\x00" + `above the typical value` + "\x00" +
	`typical 5.000 Ah at 1.00 A (0.2 It) to 2.500 V` + "\x00" +
	`Typical 5.000 Ah at 1.00 A, 0.2C (0.2 It), down to 2.50 V` + "\x00" +
	`Minimum 4.850 Ah at 0.98 A, 0.2C (0.2 It), down to 2.50 V` + "\x00" +
	`Rated 4.900 Ah at 0.98 A, 0.2C (0.2 It), down to 2.50 V` + "\x00pass\x00" +
	` and  are not told apart:  Ah lie between them, and this set-up can tell 0.0 Ah.` + "\x00" +
	` leads  by 0. Wh, more than the 0.0 Wh that this set-up can tell apart.` + "\x00" +
	` leads  by 0. Ah, more than the 0.0 Ah that this set-up can tell apart.` + "\x00" +
	` ± 0.05 Ah at 1.00 A to 2.500 V: 0. Ah ( %) below the typical 4.900 Ah, within the uncertainty.` + "\x00" +
	` ± 0.04 Ah at 1.00 A to 2.500 V: 0. Ah ( %) above the minimum 4.850 Ah, more than the uncertainty.` + "\x00" +
	` ± 0.04 Ah at 1.00 A to 2.500 V: 0. Ah ( %) below the rated 4.800 Ah, more than the uncertainty.` + "\x00" +
	` ± 0.04 Ah at 1.00 A to 2.500 V: 0. Ah ( %) above the rated 4.900 Ah, more than the uncertainty.` + "\x00"
