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
		{Name: "Alder", Rated: 4.9, Cutoff: 2.5, ChargeVoltage: 4.2, ChargeEnd: 0.25, MaxCurrent: 15, MaxTemp: 60, Nominal: 3.6, Size: "21700"},
		{Name: "Birch", Rated: 4.0, Cutoff: 2.65, ChargeVoltage: 4.2, ChargeEnd: 0.2, MaxCurrent: 35, MaxTemp: 75, Nominal: 3.6, Size: "21700"},
		{Name: "Cedar", Rated: 4.8, Cutoff: 2.8, ChargeVoltage: 4.2, ChargeEnd: 0.24, MaxCurrent: 10, MaxTemp: 60, Nominal: 3.6, Size: "21700"},
		{Name: "Dogwood", Rated: 6.0, Cutoff: 2.0, ChargeVoltage: 3.65, ChargeEnd: 0.3, MaxCurrent: 18, MaxTemp: 60, Nominal: 3.2, Size: "32700"},
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
