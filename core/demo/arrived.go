package demo

import sheet "plateau/core/cell"

// Arrival is what the crew measured of a sample before its first charge.
type Arrival struct {
	sheet.Arrived
	Day, Remark string
}

// Arrived is the incoming inspection of a cell: invented readings, at the voltage
// of the model at 30 % charge but for Cedar's, which was lying about for long. Its
// mass is too low for its datasheet.
func Arrived(name string) (a Arrival) {
	r := func(volts, diameter, length, milliohm float64) sheet.Arrived {
		return sheet.Arrived{HasVoltage: true, Voltage: volts, Diameter: diameter, Length: length, Resistance: milliohm / 1000}
	}
	switch name {
	case "Alder":
		a = Arrival{r(3.556, 21.2, 70.2, 18.4), "2026-01-12", ""}
	case "Birch":
		a = Arrival{r(3.571, 21.2, 70.1, 8.6), "2026-01-12", ""}
	case "Cedar":
		a = Arrival{r(3.402, 21.3, 70.4, 25.7), "2026-01-14", "dusty, one dent in the sleeve"}
	case "Dogwood":
		a = Arrival{r(3.264, 32.2, 70.3, 7.3), "2026-01-12", ""}
	}
	return a
}
