package demo

// Heat capacities from about 70 g and 145 g at 1 J/(g·K); cooling from the
// surface of the cylinder at about 12 W/(m²·K) and the holder's contacts.
// Both are guesses of the usual size, no source.

// alder is a 21700 of the 5.0 Ah class, made for energy.
var alder = cell{
	name:     "Alder",
	capacity: 5.01,
	ocv: newCurve(
		point{0, 4.188}, point{0.02, 4.148}, point{0.05, 4.104}, point{0.10, 4.058},
		point{0.20, 3.962}, point{0.30, 3.868}, point{0.40, 3.778}, point{0.50, 3.694},
		point{0.60, 3.622}, point{0.70, 3.553}, point{0.80, 3.457}, point{0.85, 3.395},
		point{0.90, 3.310}, point{0.94, 3.200}, point{0.97, 3.045}, point{0.985, 2.890},
		point{1.00, 2.600}, point{1.01, 2.270}, point{1.02, 1.800},
	),
	series: resistor{0.024, 0.4, 900}, polar: resistor{0.015, 6, 2400}, tau: 48,
	heat: 70, cooling: 0.085,
}

// birch is a 21700 of the 4.0 Ah class, made for power.
var birch = cell{
	name:     "Birch",
	capacity: 4.07,
	ocv: newCurve(
		point{0, 4.186}, point{0.02, 4.142}, point{0.05, 4.092}, point{0.10, 4.040},
		point{0.20, 3.944}, point{0.30, 3.852}, point{0.40, 3.764}, point{0.50, 3.684},
		point{0.60, 3.626}, point{0.70, 3.570}, point{0.80, 3.482}, point{0.85, 3.420},
		point{0.90, 3.332}, point{0.94, 3.215}, point{0.97, 3.050}, point{0.985, 2.890},
		point{1.00, 2.600}, point{1.01, 2.270}, point{1.02, 1.800},
	),
	series: resistor{0.0105, 0.35, 800}, polar: resistor{0.0075, 4, 2200}, tau: 36,
	heat: 70, cooling: 0.090,
}

// cedar is a 21700 claimed to hold 4.8 Ah, and short of it.
var cedar = cell{
	name:     "Cedar",
	capacity: 4.645,
	ocv: newCurve(
		point{0, 4.188}, point{0.02, 4.150}, point{0.05, 4.108}, point{0.10, 4.060},
		point{0.20, 3.958}, point{0.30, 3.858}, point{0.40, 3.764}, point{0.50, 3.678},
		point{0.60, 3.608}, point{0.70, 3.540}, point{0.80, 3.440}, point{0.85, 3.375},
		point{0.90, 3.290}, point{0.94, 3.185}, point{0.97, 3.040}, point{0.985, 2.890},
		point{1.00, 2.600}, point{1.01, 2.270}, point{1.02, 1.800},
	),
	series: resistor{0.031, 0.5, 900}, polar: resistor{0.019, 6, 2400}, tau: 55,
	heat: 69, cooling: 0.085,
}

// dogwood is a 32700 of iron phosphate, 6.0 Ah, with the flat plateau and the
// small step in it that the graphite side gives.
var dogwood = cell{
	name:     "Dogwood",
	capacity: 6.015,
	ocv: newCurve(
		point{0, 3.420}, point{0.005, 3.375}, point{0.02, 3.348}, point{0.05, 3.338},
		point{0.10, 3.334}, point{0.20, 3.331}, point{0.27, 3.327}, point{0.31, 3.312},
		point{0.35, 3.299}, point{0.45, 3.294}, point{0.55, 3.290}, point{0.63, 3.281},
		point{0.70, 3.263}, point{0.78, 3.237}, point{0.85, 3.207}, point{0.90, 3.175},
		point{0.94, 3.122}, point{0.97, 3.020}, point{0.985, 2.860}, point{1.00, 2.420},
		point{1.01, 1.900}, point{1.02, 1.300},
	),
	series: resistor{0.0095, 0.4, 900}, polar: resistor{0.0085, 8, 2600}, tau: 60,
	heat: 145, cooling: 0.135,
}
