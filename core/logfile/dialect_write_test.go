package logfile

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// write writes the known discharge in the dialect, and works out what must be
// read; false where dialect and log do not go together.
func (d *dialect) write() bool {
	var heads, units, lines []string
	for _, k := range d.kinds {
		name, unit := d.title(k)
		heads, units = append(heads, d.quoted(name, false)), append(units, d.quoted(unit, false))
	}
	if d.delimiter == " " && strings.HasSuffix(d.head, "units row") {
		for k, u := range units {
			if strings.Trim(u, `"`) == "" {
				units[k] = "-"
			}
		}
	}
	var start float64
	for k, r := range knownDischarge() {
		var cells []string
		t, value, ok := d.time(k, r.t)
		if !ok {
			return false
		}
		if k == 0 {
			start = value
		}
		want := [4]float64{value - start}
		for _, kind := range d.kinds {
			var s string
			switch kind {
			case Time:
				s = t
			case Voltage:
				s, want[1] = d.quantity(kind, r.volt, 4)
			case Current:
				i := r.amp
				if d.negative {
					i = -i
				}
				s, want[2] = d.quantity(kind, i, 4)
				if d.negative {
					want[2] = 0 - want[2]
				}
			case Temperature:
				s, want[3] = d.quantity(kind, r.temp, 2)
			case Charge, Energy:
				s = d.mark0(decimal(r.t*3/2, 4))
			case Step:
				s = strconv.Itoa(1 + k/54)
			case Cycle:
				s = "1"
			case Record:
				s = strconv.Itoa(k + 1)
			case Unknown:
				s = []string{"ok", "on hold", "so"}[k%3]
			}
			cells = append(cells, d.quoted(s, kind != Unknown))
		}
		d.wantNumbers = append(d.wantNumbers, want)
		d.cells = append(d.cells, cells)
		lines = append(lines, d.join(cells))
	}
	above := d.preamble
	if d.declared {
		above = append([]string{"sep=" + d.delimiter}, above...)
	}
	above = append(append([]string(nil), above...), d.join(heads))
	if strings.HasSuffix(d.head, "units row") {
		above = append(above, d.join(units))
	}
	d.firstLine = len(above)
	d.text = strings.Join(append(above, lines...), d.end)
	if d.rng.IntN(5) > 0 {
		d.text += d.end
	}
	d.plainFloat = d.number != "minus sign" && (len(d.group) == 0 || utf8.RuneCountInString(d.group) == len(d.group))
	return true
}

func (d *dialect) join(cells []string) string {
	if d.padded {
		for k, c := range cells {
			cells[k] = strings.Repeat(" ", max(1, 14-utf8.RuneCountInString(c))) + c
		}
		return strings.Join(cells, " ")
	}
	s := strings.Join(cells, d.delimiter)
	if d.trailing {
		s += d.delimiter
	}
	return s
}

func (d *dialect) quoted(cell string, number bool) string {
	must := strings.Contains(cell, d.delimiter) || strings.Contains(cell, `"`)
	if d.quote == "all" || d.quote == "texts" && !number || must {
		return `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
	}
	return cell
}

// mark0 sets the dialect's decimal mark.
func (d *dialect) mark0(s string) string { return strings.Replace(s, ".", d.mark, 1) }

// quantity writes a value of so many places after the mark in base units, and
// gives what it is in those as the reader works it out.
func (d *dialect) quantity(kind Kind, x, places int) (string, float64) {
	u := d.unit[kind]
	if u.Factor == 1e-3 {
		places -= 3
	}
	if d.coarse && kind != Temperature {
		x, places = x/10, places-1
	}
	s := decimal(x, places)
	value, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return d.dress(s), float64(value*u.Factor) + u.Offset
}

// dress writes a number as the dialect does.
func (d *dialect) dress(s string) string {
	sign := ""
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		sign, s = "-", rest
	}
	if d.number == "exponent" && len(s) > 2 && s[1] == '.' {
		s += "E+00"
	}
	whole, _, _ := strings.Cut(s, ".")
	if d.group != "" && len(whole) > 3 {
		s = s[:len(whole)-3] + "\x00" + s[len(whole)-3:]
	}
	s = strings.Replace(d.mark0(s), "\x00", d.group, 1)
	switch {
	case d.number == "plus" && sign == "":
		sign = "+"
	case d.number == "minus sign" && sign == "-":
		sign = "\u2212"
	}
	s = sign + s
	if d.number == "padded" && d.delimiter != " " {
		s = strings.Repeat(" ", max(0, 9-utf8.RuneCountInString(s))) + s
	}
	return s
}

// time writes the time of row k, s after the start, and gives it in s as the
// reader works it out; false for a form that does not go with the delimiter.
func (d *dialect) time(k, s int) (string, float64, bool) {
	at := d.day.Add(time.Duration(s) * time.Second)
	since := s + 3570 // the clock of the test, which passes an hour
	blanks := d.delimiter == " " && d.quote == "needed"
	form := func(layout string) (string, float64, bool) {
		t := at.Format(layout)
		return t, float64(at.Unix()), !(blanks && strings.Contains(t, " ")) && !(d.delimiter == " " && d.quote == "texts" && strings.Contains(t, " "))
	}
	switch d.timeForm {
	case "number":
		u := d.unit[Time]
		text := map[float64]string{1: decimal(s*10, 1), 60: decimal(s*1000/60, 3), 3600: decimal(s*100_000/3600, 5), 1e-3: strconv.Itoa(s * 1000)}[u.Factor]
		if d.seed%2 == 0 && u.Factor == 1 {
			text = strconv.Itoa(s)
		}
		value, err := strconv.ParseFloat(text, 64)
		if err != nil {
			panic(err)
		}
		return d.mark0(text), float64(value * u.Factor), true
	case "epoch":
		return strconv.FormatInt(at.Unix(), 10), float64(at.Unix()), true
	case "epoch ms":
		return strconv.FormatInt(at.UnixMilli(), 10), float64(float64(at.UnixMilli()) * 1e-3), true
	case "h:mm:ss":
		return fmt.Sprintf("%d:%02d:%02d", since/3600, since/60%60, since%60), float64(since), true
	case "h:mm:ss.s":
		return fmt.Sprintf("%02d:%02d:%02d%s%d", since/3600, since/60%60, since%60, d.mark, k%2*5), float64(since) + float64(k%2)/2, true
	case "0d h:mm:ss":
		blank := " "
		if d.delimiter == " " {
			blank = ""
		}
		return fmt.Sprintf("%dd%s%02d:%02d:%02d", since/86400, blank, since/3600, since/60%60, since%60), float64(since), true
	case "m:ss":
		return fmt.Sprintf("%02d:%02d", since/60, since%60), float64(since), true
	case "ISO":
		return form("2006-01-02 15:04:05")
	case "ISO T":
		return form("2006-01-02T15:04:05Z")
	case "day first":
		return form("02.01.2006 15:04:05")
	case "month first":
		return form("01/02/2006 15:04:05")
	case "year/month/day":
		return form("2006/01/02 15:04:05")
	case "past midnight":
		return at.Format("15:04:05"), float64(at.Unix()), true
	case "AM PM":
		t, v, ok := form("3:04:05 PM")
		return t, v, ok
	}
	panic(d.timeForm)
}
