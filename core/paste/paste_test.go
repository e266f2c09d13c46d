package paste

import (
	"reflect"
	"strings"
	"testing"
)

func TestCells(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		want       []map[string]string
		problems   int
	}{
		{"tabs, heads with units", "Cell\tCapacity (mAh)\tCut-off / V\tcolour\nElm\t3350\t2,5\tred\nFir\t2600\t2.75\tblue\n",
			[]map[string]string{{"name": "Elm", "rated": "3350 mAh", "cutoff": "2,5"}, {"name": "Fir", "rated": "2600 mAh", "cutoff": "2.75"}}, 0},
		{"Markdown", "| Cell | Rated / Ah | Mass (kg) |\n|---|--:|:-:|\n| Elm | 3.35 | 0.0482 |\n| Fir | 2.6 | 0.05 |",
			[]map[string]string{{"name": "Elm", "rated": "3.35", "mass": "48.2"}, {"name": "Fir", "rated": "2.6", "mass": "50"}}, 0},
		{"German, semicolons", "Zelle;Nennkapazität;Gewicht;Ladeschlussspannung\nElm;3,35;48,2 g;4,2\nFir;2,6;;4,2",
			[]map[string]string{{"name": "Elm", "rated": "3,35", "mass": "48,2 g", "chargeVoltage": "4,2"}, {"name": "Fir", "rated": "2,6", "chargeVoltage": "4,2"}}, 0},
		{"commas, quotes", "name,notes,rated\n\"Elm, the \"\"old\"\"\",\"a, b\",3.35\nFir,,2.6",
			[]map[string]string{{"name": "Elm, the \"old\"", "notes": "a, b", "rated": "3.35"}, {"name": "Fir", "rated": "2.6"}}, 0},
		{"by order", "Elm  3.35  3.25  3.45  2.5\nFir  2.6  2.5  2.65  2.75",
			[]map[string]string{{"name": "Elm", "rated": "3.35", "minimum": "3.25", "typical": "3.45", "cutoff": "2.5"},
				{"name": "Fir", "rated": "2.6", "minimum": "2.5", "typical": "2.65", "cutoff": "2.75"}}, 0},
		{"no name, twice", "Cell;Rated\nElm;3.35\n;2\nElm;4\nFir;-", []map[string]string{{"name": "Elm", "rated": "3.35"}, {"name": "Fir"}}, 2},
		{"names on the wire", "name\tmaxCurrent\tdateCode\nElm\t8\t2241", []map[string]string{{"name": "Elm", "maxCurrent": "8", "dateCode": "2241"}}, 0},
	} {
		rows, read, problems, err := Cells(tt.text)
		if err != nil || !reflect.DeepEqual(rows, tt.want) || len(problems) != tt.problems || len(read) == 0 {
			t.Errorf("%s: %v %v %v %v, want %v", tt.name, rows, read, problems, err, tt.want)
		}
	}
}

func TestTyped(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		want       []map[string]string
	}{
		{"heads", "Cell\tCurrent\tAh\tWh\tCut-off\nElm\t1\t3.3\t12.1\t2.5\n\t5\t3.1\t10.9\t2.5",
			[]map[string]string{{"cell": "Elm", "current": "1", "capacity": "3.3", "energy": "12.1", "cutoff": "2.5"}, {"cell": "Elm", "current": "5", "capacity": "3.1", "energy": "10.9", "cutoff": "2.5"}}},
		{"order", "Elm;1;3,3;12,1;2,5\nElm;5;3,1;10,9;2,5",
			[]map[string]string{{"cell": "Elm", "current": "1", "capacity": "3,3", "energy": "12,1", "cutoff": "2,5"}, {"cell": "Elm", "current": "5", "capacity": "3,1", "energy": "10,9", "cutoff": "2,5"}}},
		{"no cell", "1\t3300 mAh\t12.1", []map[string]string{{"current": "1", "capacity": "3300 mAh", "energy": "12.1"}}},
		{"one column of figures", "3.3", []map[string]string{{"current": "3.3"}}},
	} {
		rows, _, problems, err := Typed(tt.text)
		if err != nil || len(problems) > 0 || !reflect.DeepEqual(rows, tt.want) {
			t.Errorf("%s: %v %v %v, want %v", tt.name, rows, problems, err, tt.want)
		}
	}
}

// Tables that are easily misread: what is taken, left out and said.
func TestMisread(t *testing.T) {
	for _, tt := range []struct {
		name     string
		read     func(string) ([]map[string]string, []string, []Problem, error)
		text     string
		want     []map[string]string
		problems int
		said     string
	}{
		{"thousands' point", Cells, "Cell;Capacity (mAh)\nElm;3.350\nFir;2600\nYew;3350.125\nAsh;3.350 Ah",
			[]map[string]string{{"name": "Fir", "rated": "2600 mAh"}, {"name": "Yew", "rated": "3350.125 mAh"}, {"name": "Ash", "rated": "3.350 Ah"}}, 1, "rated capacity (mAh)"},
		{"no thousands", Cells, "Cell;Capacity (Ah)\nElm;3.350", []map[string]string{{"name": "Elm", "rated": "3.350"}}, 0, "rated capacity (Ah)"},
		{"a unit as head", Typed, "Cell;A;mAh;mWh\nElm;1;3350;12060", []map[string]string{{"cell": "Elm", "current": "1", "capacity": "3350 mAh", "energy": "12060 mWh"}}, 0, "energy (mWh)"},
		{"lines in quotes", Cells, "Cell;Notes;Rated\nElm;\"a\nb \"\"c\"\"\nd\";3.3\nFir;e;2.6", []map[string]string{{"name": "Elm", "notes": "a b \"c\" d", "rated": "3.3"}, {"name": "Fir", "notes": "e", "rated": "2.6"}}, 0, ""},
		{"a quote that stays open", Cells, "Cell;Notes\nElm;\"a\nFir;b", []map[string]string{{"name": "Elm", "notes": "a"}, {"name": "Fir", "notes": "b"}}, 0, ""},
		{"more words", Cells, "Zelle;Min. Kapazität;Capacité nominale;Max. Ladestrom\nElm;3,2;3,3;4",
			[]map[string]string{{"name": "Elm", "minimum": "3,2", "rated": "3,3", "maxCharge": "4"}}, 0, "“Min. Kapazität” is taken for minimum capacity."},
		{"not a claim", Cells, "Cell;Rated;Measured capacity;Minimum discharge voltage\nElm;3;2.9;2.5", []map[string]string{{"name": "Elm", "rated": "3"}}, 0, "Measured capacity, Minimum discharge voltage"},
		{"model and sample", Cells, "Model;Sample;Rated\nElm;1;3\nElm;2;3", []map[string]string{{"name": "Elm 1", "model": "Elm", "sample": "1", "rated": "3"}, {"name": "Elm 2", "model": "Elm", "sample": "2", "rated": "3"}}, 0, "put together of model and sample"},
		{"heads unknown", Cells, "foo;bar\nElm;3.3", []map[string]string{{"name": "Elm", "rated": "3.3"}}, 0, "foo, bar"},
		{"one head known", Cells, "Cell;bar;baz\nElm;3.3;4", []map[string]string{{"name": "Elm"}}, 0, "bar, baz"},
		{"decimal commas between commas", Cells, "Cell,Rated,Cut-off\nElm,3,35,2,5\nFir,2.6,2.5\nYew,3,,", []map[string]string{{"name": "Fir", "rated": "2.6", "cutoff": "2.5"}, {"name": "Yew", "rated": "3"}}, 1, ""},
		{"the same without heads", Typed, "Elm,1,3,35,12\nElm,3,3,12", []map[string]string{{"cell": "Elm", "current": "1", "capacity": "3", "energy": "35", "cutoff": "12"}}, 1, ""},
		{"single blanks", Typed, "Cell A Ah Wh\nElm 1 3.3 12.1\nElm 5 3.1 10.9", []map[string]string{{"cell": "Elm", "current": "1", "capacity": "3.3", "energy": "12.1"}, {"cell": "Elm", "current": "5", "capacity": "3.1", "energy": "10.9"}}, 0, "Single spaces between the columns."},
		{"single blanks, decimal commas", Typed, "Elm 1 3,3 12,1\nElm 5 3,1 10,9", []map[string]string{{"cell": "Elm", "current": "1", "capacity": "3,3", "energy": "12,1"}, {"cell": "Elm", "current": "5", "capacity": "3,1", "energy": "10,9"}}, 0, "Single blanks"},
		{"grouped", Cells, "Cell;Capacity (mAh);Minimum (mAh)\nElm 12 345;3'350;3 250", []map[string]string{{"name": "Elm 12 345", "rated": "3350 mAh", "minimum": "3250 mAh"}}, 0, "minimum capacity (mAh)"},
	} {
		rows, read, problems, err := tt.read(tt.text)
		if err != nil || !reflect.DeepEqual(rows, tt.want) || len(problems) != tt.problems || !strings.Contains(strings.Join(read, " "), tt.said) {
			t.Errorf("%s: %v %q %v %v, want %v", tt.name, rows, read, problems, err, tt.want)
		}
	}
}

func TestNothing(t *testing.T) {
	for _, s := range []string{"", " \n \t\n", "|---|---|", "Cell;Rated\n", strings.Repeat("x", mostBytes+1)} {
		if rows, _, _, err := Cells(s); err == nil {
			t.Errorf("%.20q gives %v", s, rows)
		}
	}
	rows, _, problems, err := Cells("Cell;Rated\n" + strings.Repeat("Elm;3\n", 3*mostRows))
	if err != nil || len(rows) != 1 || len(problems) < mostRows-2 {
		t.Errorf("many rows: %d rows, %d problems, %v", len(rows), len(problems), err)
	}
}

func FuzzTables(f *testing.F) {
	for _, s := range []string{"Cell\tRated\nElm\t3", "|a|b|\n|-|-|\n|1|2|", "\"a\"\"b\",c\n\"", "Min. Kapazität (mAh),Entladespannung\n3.350,\"a\nb\"", "Elm 1 3,3\nFir 2 4,1", "Elm  1  2\n  3", "a;b\r\nc;d\re;f", "Cell (kg) [g] / V\t/\n1\t2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, read := range []func(string) ([]map[string]string, []string, []Problem, error){Cells, Typed} {
			rows, _, problems, err := read(s)
			if (err == nil) != (len(rows) > 0) {
				t.Errorf("%q: %d rows, %v", s, len(rows), err)
			}
			for _, p := range problems {
				if p.Line < 1 || p.Reason == "" {
					t.Errorf("%q: %+v", s, p)
				}
			}
		}
	})
}
