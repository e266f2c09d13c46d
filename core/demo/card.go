package demo

import (
	sheet "plateau/core/cell"
	"plateau/core/tester"
)

// Cells are the invented cells as their invented datasheets have them. Cedar is
// claimed to hold more than it does, and its run at 12 A is over what it may
// give.
func Cells() []sheet.Cell {
	return []sheet.Cell{
		{Name: "Alder", Sample: "1", Chemistry: sheet.Ion, Size: "21700", Mass: 69.2, Price: 5.40, Currency: "EUR",
			SheetMass: 70, MaxResistance: 25e-3, Rated: 4.9, Minimum: 4.85, Typical: 5.0, Cutoff: 2.5, Nominal: 3.6, ChargeVoltage: 4.2, ChargeCurrent: 2.5, MaxCharge: 5, ChargeEnd: 0.25,
			MaxCurrent: 15, MinTemp: -20, HasMinTemp: true, MaxTemp: 60, Bought: "from the crew’s usual shop", Lot: "A-117"},
		{Name: "Birch", Sample: "1", Chemistry: sheet.Ion, Size: "21700", Mass: 68.5, Price: 6.10, Currency: "EUR",
			SheetMass: 69, MaxResistance: 12e-3, Rated: 4.0, Minimum: 3.95, Typical: 4.05, Cutoff: 2.65, Nominal: 3.6, ChargeVoltage: 4.2, ChargeCurrent: 2, MaxCharge: 6, ChargeEnd: 0.2,
			MaxCurrent: 35, MinTemp: -20, HasMinTemp: true, MaxTemp: 75, Bought: "from the crew’s usual shop", Lot: "B-052"},
		{Name: "Cedar", Sample: "1", Chemistry: sheet.Ion, Size: "21700", Mass: 65.8, Price: 3.20, Currency: "EUR",
			SheetMass: 69.5, MaxResistance: 30e-3, Rated: 4.8, Typical: 4.9, TypicalAt: sheet.Condition{Current: 0.96, Cutoff: 2.8}, Cutoff: 2.8, Nominal: 3.6, ChargeVoltage: 4.2, ChargeCurrent: 2.4, ChargeEnd: 0.24,
			MaxCurrent: 10, MaxTemp: 60, Bought: "at a market stall", Wrapper: "the print is smeared and carries no date code"},
		{Name: "Dogwood", Sample: "1", Chemistry: sheet.Phosphate, Size: "32700", Mass: 143, Price: 4.80, Currency: "EUR",
			SheetMass: 145, MaxResistance: 10e-3, Rated: 6.0, Minimum: 5.9, Cutoff: 2.0, Nominal: 3.2, ChargeVoltage: 3.65, ChargeCurrent: 3, MaxCharge: 6, ChargeEnd: 0.3,
			MaxCurrent: 18, MinTemp: -10, HasMinTemp: true, MaxTemp: 60, Bought: "from the crew’s usual shop", Lot: "D-009"},
	}
}

// Tester is the invented tester of the demo: 20 A, in steps of 0.01 A.
func Tester() tester.Spec {
	return tester.Spec{
		Name:     "Demo bench",
		Voltage:  []tester.Range{{UpTo: 5, Gain: 0.0005, Offset: 2e-3, Resolution: 1e-3}},
		Current:  []tester.Range{{UpTo: 20, Gain: 0.001, Offset: 5e-3, Resolution: 10e-3}},
		TimeBase: 1e-4, Temperature: 1, MaxCurrent: 20, MaxPower: 100,
		Checked: "2026-01-30", Means: "a 10 mΩ reference resistor and a calibrated meter",
	}
}
