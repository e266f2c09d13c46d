package logfile

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/simplifiedchinese"
	utf "golang.org/x/text/encoding/unicode"

	"plateau/core/quantity"
)

// knownRow is one row of the known discharge, in whole tenths of a millivolt
// and of a milliampere, hundredths of a degree, and s from the start.
type knownRow struct{ volt, amp, temp, t int }

// knownDischarge is sixty rows: rest, a discharge at 3 A or so, rest.
func knownDischarge() []knownRow {
	rows := make([]knownRow, 60)
	for k := range rows {
		r := knownRow{volt: 41_870 + k%3, temp: 2250 + 7*k, t: 20 * k}
		switch {
		case k >= 54:
			r.volt = 31_200 + 150*(k-54)
		case k >= 6:
			r.volt, r.amp = 40_512-173*(k-6)-k*k/3+k%4, 30_000+13*(k%7)
		}
		rows[k] = r
	}
	return rows
}

// script is the letters a header is written in, with the encodings for them.
type script struct {
	fits      func(r rune) bool
	encodings []string
	units     map[Kind][]string
}

var encoders = map[string]encoding.Encoding{
	"UTF-8": utf.UTF8, "UTF-8 BOM": utf.UTF8BOM,
	"UTF-16LE": utf.UTF16(utf.LittleEndian, utf.IgnoreBOM), "UTF-16BE": utf.UTF16(utf.BigEndian, utf.IgnoreBOM),
	"UTF-16LE BOM": utf.UTF16(utf.LittleEndian, utf.UseBOM), "UTF-16BE BOM": utf.UTF16(utf.BigEndian, utf.UseBOM),
	"windows-1252": charmap.Windows1252, "windows-1250": charmap.Windows1250, "windows-1251": charmap.Windows1251,
	"GB18030": simplifiedchinese.GB18030, "Shift-JIS": japanese.ShiftJIS,
}

var wide = []string{"UTF-8", "UTF-8", "UTF-8 BOM", "UTF-16LE", "UTF-16BE", "UTF-16LE BOM", "UTF-16BE BOM"}

var scripts = []script{
	{func(r rune) bool { return r < 0x250 }, []string{"windows-1252", "windows-1252", "windows-1250"},
		map[Kind][]string{Time: {"s", "sec", "min", "h", "ms"}, Voltage: {"V", "mV"}, Current: {"A", "mA"}, Temperature: {"°C", "degC", "C"}}},
	{func(r rune) bool { return unicode.Is(unicode.Cyrillic, r) || r == ' ' }, []string{"windows-1251"},
		map[Kind][]string{Time: {"с", "сек", "мин", "ч", "мс"}, Voltage: {"В", "мВ"}, Current: {"А", "мА"}, Temperature: {"°C"}}},
	{func(r rune) bool { return r >= 0x3000 }, []string{"GB18030", "Shift-JIS"},
		map[Kind][]string{Time: {"s", "min", "h", "ms", "秒"}, Voltage: {"V", "mV"}, Current: {"A", "mA"}, Temperature: {"℃", "°C"}}},
}

// dialect is one way to write the known discharge.
type dialect struct {
	seed        uint64
	rng         *rand.Rand
	script      script
	encoding    string
	delimiter   string // " " may be written as a run
	padded      bool
	mark, group string
	quote       string // "none", "needed", "texts", "all"
	end         string
	head        string // how name and unit are put together
	timeForm    string
	negative    bool
	number      string // "plain", "plus", "exponent", "minus sign", "padded"
	preamble    []string
	declared    bool
	trailing    bool
	kinds       []Kind // of the columns, Unknown for one of text
	names       map[Kind]string
	unit        map[Kind]quantity.Unit
	unitName    map[Kind]string
	day         time.Time // of the first row
	coarse      bool      // whole millivolts and milliamperes
	firstLine   int       // of the rows, from 0
	text        string
	cells       [][]string // of each row, as written
	wantNumbers [][4]float64
	plainFloat  bool // the cells of V and I are what any reader can read
}

// pick is one of several, each as likely.
func pick[T any](rng *rand.Rand, from ...T) T { return from[rng.IntN(len(from))] }

// newDialect makes up a dialect that a person could read without a doubt.
func newDialect(seed uint64) *dialect {
	rng := rand.New(rand.NewPCG(seed, 42))
	d := &dialect{seed: seed, rng: rng, names: map[Kind]string{}, unit: map[Kind]quantity.Unit{}, unitName: map[Kind]string{}}
	d.script = pick(rng, scripts[0], scripts[0], scripts[1], scripts[2])
	d.encoding = pick(rng, append(append([]string(nil), d.script.encodings...), wide...)...)
	d.delimiter = pick(rng, ",", ",", ";", ";", "\t", "\t", "|", " ")
	d.padded = d.delimiter == " " && rng.IntN(2) == 0
	d.mark = pick(rng, ".", ".", ",")
	d.quote = pick(rng, "needed", "needed", "texts", "all")
	if d.mark == d.delimiter {
		d.quote = "all"
	}
	d.end = pick(rng, "\n", "\r\n", "\r\n", "\r")
	d.negative = rng.IntN(2) == 0
	d.number = pick(rng, "plain", "plain", "plain", "plain", "plus", "exponent", "minus sign", "padded")
	d.declared = d.quote != "all" && d.delimiter != " " && rng.IntN(12) == 0
	d.trailing = d.delimiter != " " && rng.IntN(10) == 0
	d.columns()
	d.timeForm = pick(rng, "number", "number", "number", "h:mm:ss", "h:mm:ss.s", "0d h:mm:ss", "m:ss", "ISO", "ISO T", "day first", "month first",
		"year/month/day", "epoch", "epoch ms", "past midnight", "AM PM")
	d.head = pick(rng, "name / unit", "name [unit]", "name (unit)", "name(unit)", "name in unit", "name_unit", "name, unit", "units row", "bracketed units row", "no units")
	if d.head == "name, unit" && d.delimiter == "," && d.quote == "needed" {
		d.quote = "texts"
	}
	d.units()
	d.group = ""
	if (d.unitName[Voltage] == "mV" || d.unitName[Voltage] == "мВ") && rng.IntN(2) == 0 && d.number != "exponent" {
		d.group = pick(rng, "'", "\u00a0", " ", ".", ",")
		if d.group == d.mark || d.delimiter == " " || d.group == d.delimiter && d.quote != "all" {
			d.group = ""
		}
	}
	d.preamble = [][]string{nil, nil, {"Discharge log"}, {"Cell: Alder 3", ""}, {"Cell" + d.delimiter + "Alder 3", "Made" + d.delimiter + "2026-02-14", "", ""},
		{"# by hand", "#"}}[rng.IntN(6)]
	d.coarse = rng.IntN(4) == 0
	d.day = time.Date(2026, time.Month(1+rng.IntN(12)), 1+rng.IntN(28), 23, 50, 10, 0, time.UTC)
	if !d.write() || !d.encodable() {
		return newDialect(seed + 1_000_003)
	}
	return d
}

// columns chooses what is in the log besides time, voltage and current, and in
// which order.
func (d *dialect) columns() {
	d.kinds = []Kind{Time, Voltage, Current}
	for _, k := range []Kind{Temperature, Temperature, Charge, Energy, Step, Cycle, Record, Unknown} {
		if d.rng.IntN(3) == 0 && (len(d.kinds) == 3 || d.kinds[len(d.kinds)-1] != k) {
			d.kinds = append(d.kinds, k)
		}
	}
	d.rng.Shuffle(len(d.kinds), func(i, j int) { d.kinds[i], d.kinds[j] = d.kinds[j], d.kinds[i] })
	for _, k := range d.kinds {
		var fit []string
		for _, w := range words[k] {
			if strings.IndexFunc(w, func(r rune) bool { return !d.script.fits(r) }) < 0 {
				fit = append(fit, w)
			}
		}
		name := map[Kind]string{Unknown: "Note", Temperature: "T", Step: "Step", Record: "No", Cycle: "Cycle", Charge: "Q", Energy: "W"}[k]
		if len(fit) > 0 {
			name = pick(d.rng, fit...)
		}
		switch d.rng.IntN(3) {
		case 0:
			r := []rune(name)
			name = strings.ToUpper(string(r[:1])) + string(r[1:])
		case 1:
			name = strings.ToUpper(name)
		}
		d.names[k] = name
	}
}

func (d *dialect) units() {
	for _, k := range []Kind{Voltage, Current, Temperature} {
		d.unitName[k] = pick(d.rng, d.script.units[k]...)
	}
	d.unitName[Time] = pick(d.rng, d.script.units[Time]...)
	d.unitName[Charge], d.unitName[Energy] = "Ah", "Wh"
	if d.head == "no units" { // only what their sizes tell
		d.unitName[Time], d.unitName[Temperature] = "s", "°C"
		for k, name := range d.names { // "Volts" and "Amps" are units themselves
			if len(quantity.Units(name)) > 0 && d.unitName[k] != "" {
				d.unitName[k] = baseUnit(k).Symbol
			}
		}
	}
	if d.timeForm == "epoch" {
		d.unitName[Time] = "s"
	}
	if d.timeForm == "epoch ms" {
		d.unitName[Time] = "ms"
	}
	if d.timeForm != "number" && !strings.HasPrefix(d.timeForm, "epoch") {
		d.unitName[Time] = pick(d.rng, "", "h:mm:ss", "hh:mm:ss")
	}
	for k, name := range d.unitName {
		if name != "" {
			u, ok := quantity.UnitOf(name, k.of())
			if !ok {
				panic("unit " + name)
			}
			d.unit[k] = u
		}
	}
}

// title is the header cell of a column; and its cell in a units row.
func (d *dialect) title(k Kind) (name, unit string) {
	name, unit = d.names[k], d.unitName[k]
	if d.delimiter == " " && d.quote == "needed" {
		name = strings.ReplaceAll(name, " ", "_")
	}
	if k == Unknown || d.head == "no units" {
		return name, ""
	}
	switch d.head {
	case "units row":
		return name, unit
	case "bracketed units row":
		if unit != "" {
			unit = "[" + unit + "]"
		}
		return name, unit
	}
	if unit == "" {
		return name, ""
	}
	blank := " "
	if d.delimiter == " " && d.quote == "needed" {
		blank = ""
	}
	switch d.head {
	case "name / unit":
		return name + blank + "/" + blank + unit, ""
	case "name [unit]":
		return name + blank + "[" + unit + "]", ""
	case "name (unit)":
		return name + blank + "(" + unit + ")", ""
	case "name in unit":
		if blank != "" {
			return name + " in " + unit, ""
		}
	case "name_unit":
		return strings.ReplaceAll(name, " ", "_") + "_" + unit, ""
	case "name, unit":
		return name + "," + blank + unit, ""
	}
	return name + "(" + unit + ")", ""
}

// doubtful: "3.008" between "4,187" and "2,50" could be three or three thousand.
func (d *dialect) doubtful() bool { return d.coarse && d.group != "" }

// encode gives the file's bytes; false where the encoding lacks a letter.
func (d *dialect) encode() ([]byte, bool) {
	b, err := encoders[d.encoding].NewEncoder().String(d.text)
	return []byte(b), err == nil
}

func (d *dialect) encodable() bool {
	_, ok := d.encode()
	return ok
}

func (d *dialect) String() string {
	return fmt.Sprintf("seed %d: %s, delimiter %q (padded %v), mark %q, group %q, quotes %s, end %q, head %q, time %s, numbers %s, coarse %v, negative %v, declared %v, trailing %v",
		d.seed, d.encoding, d.delimiter, d.padded, d.mark, d.group, d.quote, d.end, d.head, d.timeForm, d.number, d.coarse, d.negative, d.declared, d.trailing)
}

// decimal writes a whole number of the given places after the mark.
func decimal(x, places int) string {
	s := strconv.Itoa(max(x, -x))
	for len(s) <= places {
		s = "0" + s
	}
	if places > 0 {
		s = s[:len(s)-places] + "." + s[len(s)-places:]
	}
	if x < 0 {
		s = "-" + s
	}
	return s
}
