package paste

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"plateau/core/say"
)

// field is one that a table may have: its JSON name on the wire, the unit its
// bare numbers are in, its name for people, and the words of a head that mean it,
// in the languages of the trade. Common practice, no source.
type field struct {
	name, unit, label string
	words             []string
}

var cellFields = []field{
	{"name", "", say.Later("cell"), []string{"cell", "name", "id", "zelle", "bezeichnung", "nom", "cellule", "celda", "nombre"}},
	{"model", "", say.Later("model"), []string{"model", "type", "modell", "typ", "zelltyp", "modèle", "modelo"}},
	{"sample", "", say.Later("sample"), []string{"sample", "no", "number", "specimen", "muster", "exemplar", "échantillon", "muestra"}},
	{"chemistry", "", say.Later("chemistry"), []string{"chemistry", "chemie", "zellchemie", "chimie", "química", "kind"}},
	{"size", "", say.Later("size"), []string{"size", "designation", "format", "größe", "baugröße", "baugroesse", "taille", "tamaño"}},
	{"mass", "g", say.Later("mass"), []string{"mass", "weight", "masse", "gewicht", "poids", "masa", "peso"}},
	{"marking", "", say.Later("marking"), []string{"marking", "print", "aufdruck", "kennzeichnung", "marquage", "marcado"}},
	{"price", "", say.Later("price"), []string{"price", "cost", "preis", "prix", "precio"}},
	{"currency", "", say.Later("currency"), []string{"currency", "währung", "devise", "moneda"}},
	{"notes", "", say.Later("notes"), []string{"notes", "note", "remark", "remarks", "notizen", "bemerkung", "remarque", "notas"}},
	{"rated", "ah", say.Later("rated capacity"), []string{"rated", "rated capacity", "capacity", "nominal capacity", "c5", "bemessungskapazität", "nennkapazität", "kapazität", "capacité", "capacité assignée", "capacidad", "capacidad asignada"}},
	{"ratedCurrent", "a", say.Later("current of the rated capacity"), []string{"rated current", "rated at", "nennstrom"}},
	{"ratedCutoff", "v", say.Later("cut-off of the rated capacity"), []string{"rated cut off", "rated cutoff", "rated down to"}},
	{"minimum", "ah", say.Later("minimum capacity"), []string{"minimum", "min", "minimum capacity", "min capacity", "mindestkapazität", "capacité minimale", "capacidad mínima"}},
	{"minimumCurrent", "a", say.Later("current of the minimum capacity"), []string{"minimum current", "minimum at"}},
	{"minimumCutoff", "v", say.Later("cut-off of the minimum capacity"), []string{"minimum cut off", "minimum cutoff", "minimum down to"}},
	{"typical", "ah", say.Later("typical capacity"), []string{"typical", "typ capacity", "typical capacity", "typische kapazität", "capacité typique", "capacidad típica"}},
	{"typicalCurrent", "a", say.Later("current of the typical capacity"), []string{"typical current", "typical at"}},
	{"typicalCutoff", "v", say.Later("cut-off of the typical capacity"), []string{"typical cut off", "typical cutoff", "typical down to"}},
	{"cutoff", "v", say.Later("cut-off"), []string{"cut off", "cutoff", "cut off voltage", "cutoff voltage", "end voltage", "end of discharge voltage", "entladeschlussspannung", "entladeschluss", "schlussspannung", "tension d arrêt", "tensión de corte"}},
	{"nominal", "v", say.Later("nominal voltage"), []string{"nominal", "nominal voltage", "nennspannung", "tension nominale", "tensión nominal"}},
	{"chargeVoltage", "v", say.Later("charge voltage"), []string{"charge voltage", "charge to", "ladespannung", "ladeschlussspannung", "tension de charge", "tensión de carga"}},
	{"chargeCurrent", "a", say.Later("standard charge current"), []string{"charge current", "standard charge", "standard charge current", "ladestrom", "courant de charge", "corriente de carga"}},
	{"maxCharge", "a", say.Later("maximum charge current"), []string{"max charge", "maximum charge", "max charge current", "maximum charge current", "maximaler ladestrom", "höchster ladestrom"}},
	{"chargeEnd", "a", say.Later("ending current"), []string{"charge end", "charge ends", "ending current", "end current", "charge end current", "abschaltstrom", "abbruchstrom"}},
	{"maxCurrent", "a", say.Later("maximum discharge current"), []string{"max current", "maximum current", "max discharge", "maximum discharge", "max discharge current", "maximum discharge current", "entladestrom", "maximaler entladestrom", "höchststrom", "höchster entladestrom", "courant maximal", "corriente máxima"}},
	{"minTemp", "°c", say.Later("lowest temperature"), []string{"min temperature", "minimum temperature", "min temp", "niedrigste temperatur"}},
	{"maxTemp", "°c", say.Later("highest temperature"), []string{"max temperature", "maximum temperature", "max temp", "höchste temperatur"}},
	{"series", "", say.Later("cells in series"), []string{"series", "in series", "cells in series", "in reihe", "zellen in reihe"}},
	{"bought", "", say.Later("bought from"), []string{"bought", "bought from", "source", "shop", "gekauft", "gekauft bei", "acheté", "comprado"}},
	{"lot", "", say.Later("lot"), []string{"lot", "batch", "charge nr", "los"}},
	{"dateCode", "", say.Later("date code"), []string{"date code", "datecode", "datumscode"}},
	{"wrapper", "", say.Later("doubts about the wrapper"), []string{"wrapper", "doubts", "hülle", "umhüllung"}},
}

var typedFields = []field{
	{"cell", "", say.Later("cell"), cellFields[0].words},
	{"current", "a", say.Later("current"), []string{"current", "discharge current", "load", "strom", "entladestrom", "courant", "corriente", "a", "i"}},
	{"capacity", "ah", say.Later("capacity"), []string{"capacity", "charge", "kapazität", "ladung", "capacité", "capacidad", "ah", "mah", "q"}},
	{"energy", "wh", say.Later("energy"), []string{"energy", "energie", "énergie", "energía", "wh", "mwh", "e"}},
	{"cutoff", "v", say.Later("cut-off"), append([]string{"v", "ended at", "down to"}, cellFields[19].words...)},
}

// Cells reads a table of cells: each row by the JSON names of wire's fields, as
// text with its unit where that is not the usual one. read says in sentences how
// the table was understood.
func Cells(text string) (rows []map[string]string, read []string, problems []Problem, err error) {
	rows, read, problems, err = take(text, cellFields, []string{"name", "rated", "minimum", "typical", "cutoff"})
	seen := map[string]int{}
	kept := rows[:0]
	if len(rows) > 0 && !slices.ContainsFunc(rows, func(r map[string]string) bool { return r["name"] != "" }) {
		put := false
		for _, r := range rows {
			if n := strings.TrimSpace(r["model"] + " " + r["sample"]); n != "" {
				r["name"], put = n, true
			}
		}
		if put {
			read = append(read, say.Text("There is no cell’s name: it is put together of model and sample."))
		}
	}
	for _, r := range rows {
		line := lineOf(r)
		switch at, twice := seen[r["name"]]; {
		case r["name"] == "":
			problems = append(problems, Problem{line, say.Text("The row has no cell’s name.")})
		case twice:
			problems = append(problems, Problem{line, say.With("Two cells of the name “%s”: it stands in line %d already.", r["name"], at)})
		default:
			seen[r["name"]] = line
			kept = append(kept, r)
		}
	}
	return finish(kept, read, problems, err)
}

// Typed reads a table of discharges: cell, current, Ah, Wh and cut-off. A row
// without a cell is of the cell of the row above.
func Typed(text string) (rows []map[string]string, read []string, problems []Problem, err error) {
	rows, read, problems, err = take(text, typedFields, []string{"cell", "current", "capacity", "energy", "cutoff"})
	above, filled := "", false
	for _, r := range rows {
		if r["cell"] == "" && above != "" {
			r["cell"], filled = above, true
		}
		above = r["cell"]
	}
	if filled {
		read = append(read, say.Text("Rows without a cell belong to the cell above."))
	}
	return finish(rows, read, problems, err)
}

const lineKey = "\x00line"

func lineOf(r map[string]string) int {
	n, _ := strconv.Atoi(r[lineKey])
	return n
}

func finish(rows []map[string]string, read []string, problems []Problem, err error) ([]map[string]string, []string, []Problem, error) {
	for _, r := range rows {
		delete(r, lineKey)
	}
	slices.SortStableFunc(problems, func(a, b Problem) int { return a.Line - b.Line })
	if err == nil && len(rows) == 0 {
		err = ErrNothing
	}
	return rows, read, problems, err
}

// column is one that is taken.
type column struct {
	at   int
	of   field
	unit string
}

// take reads the columns that it knows; without a row of heads, by order.
func take(text string, fields []field, order []string) (out []map[string]string, read []string, problems []Problem, err error) {
	rows, between, problems, err := divide(text)
	if err != nil {
		return nil, nil, problems, err
	}
	if between != "" {
		read = append(read, say.Text(between))
	}
	first := rows[0]
	columns, left, guessed := byHeads(first, fields, len(rows) > 1 && !digits(first.fields) && digits(rows[1].fields))
	heads := len(columns) > 0
	var names []string
	if heads {
		rows = rows[1:]
		for _, c := range columns {
			names = append(names, strings.TrimSpace(say.Text(c.of.label)+" "+bracketed(c.unit)))
		}
		read = append(append(read, say.With("Taken by the heads: %s.", strings.Join(names, ", "))), guessed...)
	} else {
		if len(left) > 0 {
			rows = rows[1:]
		}
		if number(rows[0].fields[0]) && order[0] == "cell" {
			order = order[1:]
		}
		for k, name := range order {
			f := fields[slices.IndexFunc(fields, func(f field) bool { return f.name == name })]
			names = append(names, say.Text(f.label))
			if k < len(rows[0].fields) {
				columns = append(columns, column{at: k, of: f})
			}
		}
		read = append(read, say.With("There is no header row that is known: taken in the order %s.", strings.Join(names, ", ")))
	}
	if len(left) > 0 {
		read = append(read, say.With("Left out, since the head says nothing known: %s.", strings.Join(left, ", ")))
	}
rows:
	for _, r := range rows {
		if n := filled(r.fields); between == byCommas && (n > len(first.fields) || !heads && len(r.fields) != len(first.fields)) {
			problems = append(problems, Problem{r.line, say.With("The row has %d columns, the first row %d: a decimal comma wants quotes, or another mark between the columns.", n, len(first.fields))})
			continue
		}
		m := map[string]string{lineKey: strconv.Itoa(r.line)}
		any := false
		for _, c := range columns {
			if c.at < len(r.fields) {
				v := r.fields[c.at]
				if doubtful(v, c) {
					problems = append(problems, Problem{r.line, say.With("“%s” in a column in %s may have a decimal mark or one between thousands: write it without a mark, or with its unit.", v, symbols[c.unit])})
					continue rows
				}
				if v = withUnit(v, c); v != "" {
					m[c.of.name], any = v, true
				}
			}
		}
		if !any {
			problems = append(problems, Problem{r.line, say.Text("The row has nothing in the columns that are taken.")})
			continue
		}
		out = append(out, m)
	}
	return out, read, problems, nil
}

// filled is the number of columns without empty ones at the end.
func filled(fields []string) int {
	n := len(fields)
	for n > 0 && fields[n-1] == "" {
		n--
	}
	return n
}

func digits(fields []string) bool {
	return slices.ContainsFunc(fields, func(s string) bool { return strings.ContainsAny(s, "0123456789") })
}

func bracketed(unit string) string {
	if unit == "" {
		return ""
	}
	if s := symbols[unit]; s != "" {
		unit = s
	}
	return "(" + unit + ")"
}

// byHeads finds the columns by the words of a first row. A row with fewer than
// two known heads is none, unless it is sure to be one.
func byHeads(r row, fields []field, sure bool) (columns []column, left, guessed []string) {
	taken := map[string]bool{}
	found := make([]int, len(r.fields))
	for _, known := range []func(words, unit string, f field) int{exactly, nearly} {
		for k, head := range r.fields {
			words, unit := headOf(head)
			if found[k] > 0 || words == "" {
				continue
			}
			best, length := -1, 0
			for i, f := range fields {
				if n := known(words, unit, f); n > length {
					best, length = i, n
				}
			}
			if length > 0 && length < sureLength {
				best = qualified(words, best, fields)
			}
			if best < 0 || taken[fields[best].name] {
				continue
			}
			if length < sureLength {
				guessed = append(guessed, say.With("“%s” is taken for %s.", head, say.Text(fields[best].label)))
			}
			taken[fields[best].name], found[k] = true, best+1
		}
	}
	for k, head := range r.fields {
		switch {
		case found[k] > 0:
			_, unit := headOf(head)
			columns = append(columns, column{k, fields[found[k]-1], unit})
		case head != "":
			left = append(left, head)
		}
	}
	if len(columns) < 2 && !(len(columns) == len(r.fields) && !number(r.fields[0])) && !sure {
		return nil, nil, nil
	}
	return columns, left, guessed
}

// sureLength is more than any word of a head has letters.
const sureLength = 1 << 20

func exactly(words, _ string, f field) int {
	if slices.Contains(f.words, words) || strings.EqualFold(f.name, strings.ReplaceAll(words, " ", "")) {
		return sureLength
	}
	return 0
}

// nearly is the length of the longest known word in a head's words. Those that
// stand before figures of any kind tell none.
func nearly(words, unit string, f field) (n int) {
	if isUnit(unit) && unit != f.unit && unit[1:] != f.unit {
		return 0
	}
	for _, w := range f.words {
		switch w {
		case "rated", "minimum", "typical", "nominal", "charge", "number":
			continue
		}
		k := strings.Index(words, w)
		if k < 0 || utf8.RuneCountInString(w) < 5 {
			continue
		}
		switch words[max(0, k-3):k] {
		case "dis", "ent", "des", "dé": // a discharge is no charge
			continue
		}
		n = max(n, len(w))
	}
	return n
}

// qualified is the field that a capacity or a current with a word for least or
// most before or behind it is.
func qualified(words string, at int, fields []field) int {
	name := ""
	for _, w := range strings.Fields(words) {
		switch q := w[:min(3, len(w))] + " " + fields[at].name; q {
		case "min rated":
			name = "minimum"
		case "typ rated":
			name = "typical"
		case "max chargeCurrent":
			name = "maxCharge"
		case "max rated", "mea rated", "gem rated":
			return -1 // none that a maker states
		}
	}
	if name == "" {
		return at
	}
	return slices.IndexFunc(fields, func(f field) bool { return f.name == name })
}

// doubtful tells whether a number in a thousandth of a unit has a mark that may
// stand between thousands.
func doubtful(s string, c column) bool {
	switch c.unit {
	case "mah", "mwh", "ma", "mv":
	default:
		return false
	}
	mark := strings.IndexAny(s, ".,")
	return mark >= 0 && mark <= 3 && len(s) == mark+4 && strings.Trim(s[:mark]+s[mark+1:], "0123456789") == ""
}

// grouped takes out what stands between thousands.
func grouped(s string) string {
	rs := []rune(s)
	digit := func(k int) bool { return k >= 0 && k < len(rs) && rs[k] >= '0' && rs[k] <= '9' }
	var out []rune
	for k, r := range rs {
		if strings.ContainsRune("'’ \u00a0\u2009\u202f", r) && digit(k-1) && digit(k+1) && digit(k+2) && digit(k+3) && !digit(k+4) {
			continue
		}
		out = append(out, r)
	}
	return string(out)
}

// withUnit puts a head's unit behind a bare number where it is not the usual
// one. A mass in kg is a matter of the number alone.
func withUnit(s string, c column) string {
	s = strings.TrimSpace(s)
	switch s {
	case "-", "–", "—", "n/a", "?":
		return ""
	}
	if c.of.unit != "" {
		s = grouped(s)
	}
	bare := strings.Trim(s, "+-−.,0123456789 ") == ""
	switch {
	case s == "" || !bare || c.unit == "" || c.of.unit == "" || c.unit == c.of.unit:
		return s
	case c.of.unit == "g" && c.unit == "kg":
		return kilo(s)
	case isUnit(c.unit):
		return s + " " + symbols[c.unit]
	}
	return s
}

var symbols = map[string]string{"ah": "Ah", "mah": "mAh", "wh": "Wh", "mwh": "mWh", "a": "A", "ma": "mA", "v": "V", "mv": "mV", "g": "g", "kg": "kg", "°c": "°C"}

// kilo moves a decimal mark three places to the right.
func kilo(s string) string {
	mark := strings.IndexAny(s, ".,")
	if mark < 0 {
		return s + "000"
	}
	whole, part := s[:mark], s[mark+1:]
	for len(part) < 3 {
		part += "0"
	}
	whole = strings.TrimLeft(whole+part[:3], "0")
	if whole == "" {
		whole = "0"
	}
	if part[3:] == "" {
		return whole
	}
	return whole + s[mark:mark+1] + part[3:]
}
