package paste

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// field is one that a table may have: its JSON name on the wire, the unit its
// bare numbers are in, and the words of a head that mean it, in the languages of
// the trade. Common practice, no source.
type field struct {
	name, unit string
	words      []string
}

var cellFields = []field{
	{"name", "", []string{"cell", "name", "id", "zelle", "bezeichnung", "nom", "cellule", "celda", "nombre"}},
	{"model", "", []string{"model", "type", "modell", "typ", "modèle", "modelo"}},
	{"sample", "", []string{"sample", "no", "number", "specimen", "muster", "exemplar", "échantillon", "muestra"}},
	{"chemistry", "", []string{"chemistry", "chemie", "chimie", "química", "kind"}},
	{"size", "", []string{"size", "designation", "format", "größe", "baugröße", "baugroesse", "taille", "tamaño"}},
	{"mass", "g", []string{"mass", "weight", "masse", "gewicht", "poids", "masa", "peso"}},
	{"marking", "", []string{"marking", "print", "aufdruck", "marquage", "marcado"}},
	{"price", "", []string{"price", "cost", "preis", "prix", "precio"}},
	{"currency", "", []string{"currency", "währung", "devise", "moneda"}},
	{"notes", "", []string{"notes", "note", "remark", "remarks", "notizen", "bemerkung", "remarque", "notas"}},
	{"rated", "ah", []string{"rated", "rated capacity", "capacity", "nominal capacity", "c5", "nennkapazität", "kapazität", "capacité", "capacité assignée", "capacidad", "capacidad asignada"}},
	{"ratedCurrent", "a", []string{"rated current", "rated at", "nennstrom"}},
	{"ratedCutoff", "v", []string{"rated cut off", "rated cutoff", "rated down to"}},
	{"minimum", "ah", []string{"minimum", "min", "minimum capacity", "min capacity", "mindestkapazität", "capacité minimale", "capacidad mínima"}},
	{"minimumCurrent", "a", []string{"minimum current", "minimum at"}},
	{"minimumCutoff", "v", []string{"minimum cut off", "minimum cutoff", "minimum down to"}},
	{"typical", "ah", []string{"typical", "typ capacity", "typical capacity", "typische kapazität", "capacité typique", "capacidad típica"}},
	{"typicalCurrent", "a", []string{"typical current", "typical at"}},
	{"typicalCutoff", "v", []string{"typical cut off", "typical cutoff", "typical down to"}},
	{"cutoff", "v", []string{"cut off", "cutoff", "cut off voltage", "cutoff voltage", "end voltage", "end of discharge voltage", "entladeschlussspannung", "entladeschluss", "tension d arrêt", "tensión de corte"}},
	{"nominal", "v", []string{"nominal", "nominal voltage", "nennspannung", "tension nominale", "tensión nominal"}},
	{"chargeVoltage", "v", []string{"charge voltage", "charge to", "ladespannung", "ladeschlussspannung", "tension de charge", "tensión de carga"}},
	{"chargeCurrent", "a", []string{"charge current", "standard charge", "standard charge current", "ladestrom", "courant de charge", "corriente de carga"}},
	{"maxCharge", "a", []string{"max charge", "maximum charge", "max charge current", "maximum charge current", "maximaler ladestrom"}},
	{"chargeEnd", "a", []string{"charge end", "charge ends", "ending current", "end current", "charge end current", "abschaltstrom"}},
	{"maxCurrent", "a", []string{"max current", "maximum current", "max discharge", "maximum discharge", "max discharge current", "maximum discharge current", "entladestrom", "maximaler entladestrom", "courant maximal", "corriente máxima"}},
	{"minTemp", "°c", []string{"min temperature", "minimum temperature", "min temp"}},
	{"maxTemp", "°c", []string{"max temperature", "maximum temperature", "max temp"}},
	{"series", "", []string{"series", "in series", "cells in series", "in reihe"}},
	{"bought", "", []string{"bought", "bought from", "source", "shop", "gekauft", "acheté", "comprado"}},
	{"lot", "", []string{"lot", "batch", "charge nr", "los"}},
	{"dateCode", "", []string{"date code", "datecode", "datumscode"}},
	{"wrapper", "", []string{"wrapper", "doubts", "hülle"}},
}

var typedFields = []field{
	{"cell", "", cellFields[0].words},
	{"current", "a", []string{"current", "discharge current", "load", "strom", "entladestrom", "courant", "corriente", "a", "i"}},
	{"capacity", "ah", []string{"capacity", "charge", "kapazität", "ladung", "capacité", "capacidad", "ah", "mah", "q"}},
	{"energy", "wh", []string{"energy", "energie", "énergie", "energía", "wh", "mwh", "e"}},
	{"cutoff", "v", append([]string{"v", "ended at", "down to"}, cellFields[19].words...)},
}

// Cells reads a table of cells: each row by the JSON names of wire's fields, as
// text with its unit where that is not the usual one. read says in sentences how
// the table was understood.
func Cells(text string) (rows []map[string]string, read []string, problems []Problem, err error) {
	rows, read, problems, err = take(text, cellFields, []string{"name", "rated", "minimum", "typical", "cutoff"})
	seen := map[string]int{}
	kept := rows[:0]
	for _, r := range rows {
		line := lineOf(r)
		switch at, twice := seen[r["name"]]; {
		case r["name"] == "":
			problems = append(problems, Problem{line, "The row has no cell’s name."})
		case twice:
			problems = append(problems, Problem{line, fmt.Sprintf("Two cells of the name “%s”: it stands in line %d already.", r["name"], at)})
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
		read = append(read, "Rows without a cell are of the cell above.")
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
		read = append(read, between+" between the columns.")
	}
	columns, left := byHeads(rows[0], fields)
	if len(columns) > 0 {
		rows = rows[1:]
		var names []string
		for _, c := range columns {
			names = append(names, strings.TrimSpace(c.of.name+" "+bracketed(c.unit)))
		}
		read = append(read, "Taken by the heads: "+strings.Join(names, ", ")+".")
		if len(left) > 0 {
			read = append(read, "Left out, since the head says nothing known: "+strings.Join(left, ", ")+".")
		}
	} else {
		if number(rows[0].fields[0]) && order[0] == "cell" {
			order = order[1:]
		}
		for k, name := range order[:min(len(order), len(rows[0].fields))] {
			i := slices.IndexFunc(fields, func(f field) bool { return f.name == name })
			columns = append(columns, column{at: k, of: fields[i]})
		}
		read = append(read, "There is no row of heads that is known: taken in the order "+strings.Join(order, ", ")+".")
	}
	for _, r := range rows {
		m := map[string]string{lineKey: fmt.Sprint(r.line)}
		any := false
		for _, c := range columns {
			if c.at < len(r.fields) {
				if v := withUnit(r.fields[c.at], c); v != "" {
					m[c.of.name], any = v, true
				}
			}
		}
		if !any {
			problems = append(problems, Problem{r.line, "The row has nothing in the columns that are taken."})
			continue
		}
		out = append(out, m)
	}
	return out, read, problems, nil
}

func bracketed(unit string) string {
	if unit == "" {
		return ""
	}
	return "(" + unit + ")"
}

// byHeads finds the columns by the words of a first row. A row with fewer than
// two known heads is none.
func byHeads(r row, fields []field) (columns []column, left []string) {
	taken := map[string]bool{}
	for k, head := range r.fields {
		words, unit := headOf(head)
		i := slices.IndexFunc(fields, func(f field) bool {
			return !taken[f.name] && (slices.Contains(f.words, words) || strings.EqualFold(f.name, strings.ReplaceAll(words, " ", "")))
		})
		if i < 0 {
			if head != "" {
				left = append(left, head)
			}
			continue
		}
		taken[fields[i].name] = true
		columns = append(columns, column{k, fields[i], unit})
	}
	if len(columns) < 2 && !(len(columns) == len(r.fields) && !number(r.fields[0])) {
		return nil, nil
	}
	return columns, left
}

// withUnit puts a head's unit behind a bare number where it is not the usual
// one. A mass in kg is a matter of the number alone.
func withUnit(s string, c column) string {
	s = strings.TrimSpace(s)
	switch s {
	case "-", "–", "—", "n/a", "?":
		return ""
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
