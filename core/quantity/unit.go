// Package quantity knows the numbers and units of battery testing as people
// write them, and turns them into SI (s, V, A, W, Ω, °C; charge in Ah and
// energy in Wh, as the trade does) and back into words.
package quantity

import "strings"

// Kind is what a number measures.
type Kind uint8

// The kinds that a bench log holds.
const (
	None Kind = iota
	Time
	Voltage
	Current
	Charge
	Energy
	Power
	Resistance
	Temperature
)

// Unit turns a number as written into the kind's base unit:
// base = written·Factor + Offset. Base units are s, V, A, Ah, Wh, W, Ω, °C.
type Unit struct {
	Kind   Kind
	Symbol string // as the trade writes it: "mV"
	Factor float64
	Offset float64
	// Clock says that the "unit" is a form such as h:mm:ss and that the
	// values are to be read as such.
	Clock bool
}

// units maps spellings, folded by [fold], to what they can mean. A spelling
// with two meanings ("C": °C or coulomb) lists the likelier first; the words
// beside it decide. Common practice, no source; symbols after the SI brochure.
var units = map[string][]Unit{}

func init() {
	add := func(u Unit, spellings ...string) {
		for _, s := range append(spellings, u.Symbol) {
			s = fold(s)
			units[s] = append(units[s], u)
		}
	}
	add(Unit{Time, "s", 1, 0, false}, "sec", "secs", "second", "seconds", "с", "сек", "sek", "秒")
	add(Unit{Time, "ms", 1e-3, 0, false}, "msec", "millisecond", "milliseconds", "мс", "毫秒")
	add(Unit{Time, "min", 60, 0, false}, "mins", "minute", "minutes", "мин", "分", "分钟")
	add(Unit{Time, "h", 3600, 0, false}, "hr", "hrs", "hour", "hours", "std", "ч", "час", "小时")
	add(Unit{Time, "h:mm:ss", 1, 0, true}, "hh:mm:ss", "hhh:mm:ss", "hms", "h:m:s", "hh:mm:ss.sss",
		"hh:mm:ss.ms", "h:min:s", "dd:hh:mm:ss")
	add(Unit{Voltage, "V", 1, 0, false}, "volt", "volts", "в", "伏")
	add(Unit{Voltage, "mV", 1e-3, 0, false}, "millivolt", "millivolts", "мв", "毫伏")
	add(Unit{Voltage, "µV", 1e-6, 0, false}, "uv", "μv", "microvolt", "microvolts")
	add(Unit{Current, "A", 1, 0, false}, "amp", "amps", "ampere", "amperes", "а", "安")
	add(Unit{Current, "mA", 1e-3, 0, false}, "milliamp", "milliamps", "milliampere", "ма", "毫安")
	add(Unit{Current, "µA", 1e-6, 0, false}, "ua", "μa", "microamp", "microamps")
	add(Unit{Charge, "Ah", 1, 0, false}, "ahr", "amp hours", "ampere hours", "amphours", "ач", "安时")
	add(Unit{Charge, "mAh", 1e-3, 0, false}, "mahr", "мач", "毫安时")
	add(Unit{Charge, "As", 1.0 / 3600, 0, false}, "coulomb", "coulombs")
	add(Unit{Energy, "Wh", 1, 0, false}, "whr", "watt hours", "watthours", "втч", "瓦时")
	add(Unit{Energy, "mWh", 1e-3, 0, false}, "мвтч", "毫瓦时")
	add(Unit{Energy, "kWh", 1e3, 0, false}, "квтч")
	add(Unit{Energy, "J", 1.0 / 3600, 0, false}, "ws", "joule", "joules")
	add(Unit{Power, "W", 1, 0, false}, "watt", "watts", "вт", "瓦")
	add(Unit{Power, "mW", 1e-3, 0, false}, "milliwatt", "milliwatts", "мвт")
	add(Unit{Resistance, "Ω", 1, 0, false}, "ohm", "ohms", "ом")
	add(Unit{Resistance, "mΩ", 1e-3, 0, false}, "mohm", "mohms", "milliohm", "milliohms", "мом")
	add(Unit{Temperature, "°C", 1, 0, false}, "c", "degc", "celsius", "℃", "грс", "deg")
	add(Unit{Temperature, "K", 1, -273.15, false}, "kelvin")
	add(Unit{Temperature, "°F", 5.0 / 9, -160.0 / 9, false}, "f", "degf", "fahrenheit", "℉")
	add(Unit{Charge, "C", 1.0 / 3600, 0, false})
}

var unitFolder = strings.NewReplacer(
	" ", "", "\u00a0", "", "·", "", "⋅", "", "*", "", "×", "", ".", "", "º", "°", "˚", "°",
)

// fold brings the spellings of one unit together: "A·h", "A h" and "AH" are
// "ah". Case is dropped too, since no bench log is in megavolts.
func fold(s string) string {
	s = strings.ToLower(unitFolder.Replace(strings.TrimSpace(s)))
	s = strings.ReplaceAll(s, "-", "")
	if r := strings.TrimPrefix(s, "deg"); r == "c" || r == "f" {
		return "deg" + r
	}
	return s
}

// Units lists what a unit as written can mean, likeliest first; nil where it
// is no unit known here.
func Units(s string) []Unit {
	if len(s) > 24 {
		return nil
	}
	return units[fold(s)]
}

// UnitOf is the meaning of s that measures k.
func UnitOf(s string, k Kind) (Unit, bool) {
	for _, u := range Units(s) {
		if u.Kind == k {
			return u, true
		}
	}
	return Unit{}, false
}
