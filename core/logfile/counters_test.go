package logfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"plateau/core/trace"
)

// counted is one row of a log with counters, as text: time, voltage, current,
// charge, energy, and what the counters come to in Ah and Wh.
type counted struct {
	cells  [5]string
	ah, wh float64
}

// countedRows are rows of one discharge; every seventh counter is blank.
func countedRows(n int) []counted {
	all := make([]counted, n)
	for k := range all {
		q, e := strconv.FormatFloat(0.0125*float64(k), 'f', 4, 64), strconv.FormatFloat(40.1234567*float64(k)/1000, 'f', 7, 64)
		all[k] = counted{[5]string{strconv.Itoa(1000 + 20*k), fmt.Sprintf("%.4f", 4.1-0.0007*float64(k)), "2.2500", q, e}, value(q), value(e)}
		switch k % 7 {
		case 4:
			all[k].cells[3], all[k].ah = "", math.NaN()
		case 6:
			all[k].cells[4], all[k].wh = "", math.NaN()
		}
	}
	return all
}

func value(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return x
}

// sameCounts compares both counters of a log with rows; factor is what the log
// has them multiplied by.
func sameCounts(t *testing.T, log *Log, rows []counted) {
	t.Helper()
	if log.Rows != len(rows) || log.Left > 0 {
		t.Fatalf("%d rows read of %d, left out %v", log.Rows, len(rows), log.LeftOut)
	}
	wrong := 0
	for k, r := range rows {
		q, e := log.Trace.Counter(trace.CounterCharge, k), log.Trace.Counter(trace.CounterEnergy, k)
		if !sameBits(q, float64(float32(r.ah))) || !sameBits(e, float64(float32(r.wh))) || log.Trace.Voltage(k) != value(r.cells[1]) {
			if wrong++; wrong < 5 {
				t.Errorf("row %d has %v Ah, %v Wh at %v V, written %v", k, q, e, log.Trace.Voltage(k), r)
			}
		}
	}
}

func sameBits(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// The counters are what strconv makes of them, rounded to a float32, on every
// way that a row can take, wherever the columns are and however they are written.
func TestCountersOnAllPaths(t *testing.T) {
	names := []string{"Time / s", "Voltage / V", "Current / A", "Capacity / Ah", "Energy / Wh"}
	rows := countedRows(3*trace.SegmentLen + 40)
	type layout struct {
		delimiter, mark string
		order           []int
		dress           func(k, column int, cell string) string
	}
	same := func(_, _ int, cell string) string { return cell }
	for name, l := range map[string]layout{
		"plain":                    {",", ".", []int{0, 1, 2, 3, 4}, same},
		"shuffled":                 {",", ".", []int{4, 2, 3, 0, 1}, same},
		"semicolon, decimal comma": {";", ",", []int{3, 0, 1, 4, 2}, same},
		"tab":                      {"\t", ".", []int{0, 4, 1, 2, 3}, same},
		"quoted":                   {",", ".", []int{0, 3, 1, 4, 2}, func(_, _ int, cell string) string { return `"` + cell + `"` }},
		"some quoted": {",", ".", []int{0, 3, 1, 4, 2}, func(k, _ int, cell string) string {
			if k%5 == 0 {
				return `"` + cell + `"`
			}
			return cell
		}},
		"ragged": {",", ".", []int{0, 3, 1, 4, 2}, func(k, column int, cell string) string {
			if column == 1 {
				return cell + strings.Repeat("0", k%3)
			}
			return cell
		}},
		"no number now and then": {",", ".", []int{0, 3, 1, 4, 2}, func(_, column int, cell string) string {
			if column > 2 && cell == "" {
				return []string{"OL", "--", "n/a", "1.2.3"}[column-1]
			}
			return cell
		}},
		"units in cells": {",", ".", []int{0, 1, 2, 3, 4}, func(_, column int, cell string) string {
			if cell == "" {
				return cell
			}
			return cell + []string{" s", " V", " A", " Ah", " Wh"}[column]
		}},
	} {
		for _, end := range []string{"\n", "\r\n"} {
			t.Run(fmt.Sprintf("%s %q", name, end), func(t *testing.T) {
				var b strings.Builder
				line := func(cell func(column int) string) {
					for j, column := range l.order {
						if j > 0 {
							b.WriteString(l.delimiter)
						}
						b.WriteString(cell(column))
					}
					b.WriteString(end)
				}
				line(func(column int) string { return names[column] })
				for k, r := range rows {
					line(func(column int) string {
						return l.dress(k, column, strings.Replace(r.cells[column], ".", l.mark, 1))
					})
				}
				for _, piece := range []int{1 << 20, 4099} {
					log, err := feedAll([]byte(b.String()), piece)
					if err != nil {
						t.Fatal(err)
					}
					sameCounts(t, log, rows)
				}
			})
		}
	}
}

// Counters with many decimals, of either sign, are what strconv makes of them in
// rows that look alike, in ragged ones and in quoted ones.
func TestFineCounters(t *testing.T) {
	for decimals := range 20 {
		for _, sign := range []string{"", "-"} {
			rows := make([]counted, 300)
			for k := range rows {
				// The whole part grows to three digits on the way.
				q := sign + strconv.FormatFloat(0.437182910364518*float64(k)+1e-9, 'f', decimals, 64)
				e := sign + strconv.FormatFloat(1.618033988749895*float64(k)+1e-7, 'f', decimals, 64)
				rows[k] = counted{[5]string{strconv.Itoa(10 * k), fmt.Sprintf("%.4f", 4.1-0.003*float64(k)), "2.2500", q, e}, value(q), value(e)}
			}
			for _, way := range []string{"alike", "ragged", "quoted"} {
				t.Run(fmt.Sprintf("%d decimals %q %s", decimals, sign, way), func(t *testing.T) {
					var b strings.Builder
					b.WriteString("Time / s,Note,Charge / Ah,Voltage / V,Energy / Wh,Current / A\n")
					for k, r := range rows {
						note := "7"
						if way == "ragged" {
							note = strings.Repeat("7", 1+k%3)
						} else if way == "quoted" {
							note = `"7"`
						}
						b.WriteString(strings.Join([]string{r.cells[0], note, r.cells[3], r.cells[1], r.cells[4], r.cells[2]}, ",") + "\n")
					}
					sameCounts(t, read(t, b.String()), rows)
				})
			}
		}
	}
}

// Where a header comes again and the columns change places, a counter goes with
// its name; in a part that lacks it, or has another, there is none.
func TestCountersWhereColumnsChangePlaces(t *testing.T) {
	rows := countedRows(120)
	var b strings.Builder
	write := func(head string, rows []counted, order ...int) {
		b.WriteString(head + "\n")
		for _, r := range rows {
			for j, column := range order {
				if j > 0 {
					b.WriteByte(',')
				}
				b.WriteString(r.cells[column])
			}
			b.WriteByte('\n')
		}
	}
	write("Time / s,Voltage / V,Current / A,Capacity / Ah,Energy / Wh", rows[:30], 0, 1, 2, 3, 4)
	write("Energy / Wh,Current / A,Capacity / Ah,Voltage / V,Time / s", rows[30:60], 4, 2, 3, 1, 0)
	write("Voltage / V,Time / s,Current / A", rows[60:75], 1, 0, 2)
	write("Voltage / V,Time / s,Charging Capacity / Ah,Current / A", rows[75:90], 1, 0, 3, 2)
	write("Time / s,Voltage / V,Current / A,Capacity / Ah,Energy / Wh", rows[90:], 0, 1, 2, 3, 4)
	log := read(t, b.String())
	for k := 60; k < 90; k++ {
		rows[k].ah, rows[k].wh = math.NaN(), math.NaN()
	}
	if log.Left != 4 {
		t.Errorf("left out: %v, want four headers", log.LeftOut)
	}
	log.Left = 0
	sameCounts(t, log, rows)
}

// A later header may be wider than the first: its columns are looked up in
// itself. Where the first one comes again, its order holds again.
func TestLaterHeaderIsWider(t *testing.T) {
	log := read(t, "Time / s,Voltage / V,Current / A\n0,4.1,2\n1000,4.0,2\n2000,3.9,2\n"+
		"A,B,Current / mA,Voltage / V,C,Time / s\n1,1,2000,3.8,1,3000\n1,1,2000,3.7,1,4000\n"+
		"Voltage / V,Current / A,Time / s\n3.6,2,5000\n3.5,2,6000\n"+
		"Time / s,Voltage / V,Current / A\n7000,3.4,2\n8000,3.3,2\n")
	sameSamples(t, log.Trace, [][3]float64{{0, 4.1, 2}, {1000, 4, 2}, {2000, 3.9, 2}, {3000, 3.8, 2}, {4000, 3.7, 2}, {5000, 3.6, 2}, {6000, 3.5, 2}, {7000, 3.4, 2}, {8000, 3.3, 2}})
}

// Which column is counted, and in which unit.
func TestCounterColumns(t *testing.T) {
	for _, tt := range []struct {
		heads string // of the columns behind time, voltage, current
		of    trace.Counter
		want  int // which of them, from 1; 0 for none
		by    float64
	}{
		{"Capacity / Ah", trace.CounterCharge, 1, 1},
		{"Capacity (mAh)", trace.CounterCharge, 1, 1e-3},
		{"Charge [As]", trace.CounterCharge, 1, 1 / 3600.0},
		{"Q [C]", trace.CounterCharge, 1, 1 / 3600.0},
		{"mAh", trace.CounterCharge, 1, 1e-3},
		{"Energy / Wh", trace.CounterEnergy, 1, 1},
		{"mWh", trace.CounterEnergy, 1, 1e-3},
		{"Energy (kWh)", trace.CounterEnergy, 1, 1e3},
		{"Energie in J", trace.CounterEnergy, 1, 1 / 3600.0},
		{"Charge Capacity (Ah)|Discharge Capacity (Ah)|Capacity (Ah)", trace.CounterCharge, 2, 1},
		{"Charge (Ah)|Discharge (Ah)", trace.CounterCharge, 2, 1},
		{"Step Discharge Capacity (Ah)|Capacity (Ah)", trace.CounterCharge, 1, 1},
		{"Step Capacity (Ah)|Net Capacity (Ah)|Cumulative Capacity (Ah)", trace.CounterCharge, 2, 1},
		{"Chg Cap (Ah)|DChg Cap (Ah)", trace.CounterCharge, 2, 1},
		{"Accumulated Charge / Ah", trace.CounterCharge, 1, 1},
		{"Nominal Capacity / Ah|Capacity / Ah", trace.CounterCharge, 2, 1},
		{"Charge Energy / Wh|Energy / Wh", trace.CounterEnergy, 2, 1},
		{"Ladekapazität in Ah|Entladekapazität in Ah", trace.CounterCharge, 2, 1},
		{"Ladung in mAh", trace.CounterCharge, 1, 1e-3},
		{"Geladene Kapazität (Ah)|Kapazität (Ah)", trace.CounterCharge, 2, 1},
		{"Capacité de charge (Ah)|Capacité de décharge (Ah)", trace.CounterCharge, 2, 1},
		{"Capacidad de carga (Ah)|Capacidad de descarga (Ah)", trace.CounterCharge, 2, 1},
		{"Capacità di carica (Ah)|Capacità di scarica (Ah)", trace.CounterCharge, 2, 1},
		{"Pojemność ładowania (Ah)|Pojemność rozładowania (Ah)", trace.CounterCharge, 2, 1},
		{"Ёмкость заряда, Ач|Ёмкость разряда, Ач", trace.CounterCharge, 2, 1},
		{"Заряд, мАч", trace.CounterCharge, 1, 1e-3},
		{"充电容量(Ah)|放电容量(Ah)", trace.CounterCharge, 2, 1},
		{"充電電力量(Wh)|放電電力量(Wh)", trace.CounterEnergy, 2, 1},
		// One of the charge alone, or without a unit, or of something else.
		{"Charge Capacity (Ah)", trace.CounterCharge, 0, 1},
		{"Charging Energy / Wh", trace.CounterEnergy, 0, 1},
		{"Capacité de charge (Ah)", trace.CounterCharge, 0, 1},
		{"充电容量(Ah)", trace.CounterCharge, 0, 1},
		{"Capacity", trace.CounterCharge, 0, 1},
		{"Charge|Energy|Discharge", trace.CounterCharge, 0, 1},
		{"Charge|Energy", trace.CounterEnergy, 0, 1},
		{"Charge State (%)", trace.CounterCharge, 0, 1},
		{"Rated Capacity / Ah", trace.CounterCharge, 0, 1},
		{"dQ / Ah", trace.CounterCharge, 0, 1},
		{"dq (mAh)|Q (mAh)", trace.CounterCharge, 2, 1e-3},
		{"Discharged Q (Ah)", trace.CounterCharge, 1, 1},
		{"Specific Capacity / mAh/g", trace.CounterCharge, 0, 1},
		{"Energy Density / Wh/kg", trace.CounterEnergy, 0, 1},
		{"Charge Time / s", trace.CounterCharge, 0, 1},
	} {
		t.Run(tt.heads, func(t *testing.T) {
			heads := strings.Split(tt.heads, "|")
			var b strings.Builder
			b.WriteString("Time / s;Voltage / V;Current / A;" + strings.Join(heads, ";") + "\n")
			for k := range 20 {
				fmt.Fprintf(&b, "%d;%.3f;2.0", 100*k, 4.1-0.01*float64(k))
				for c := range heads {
					fmt.Fprintf(&b, ";%d.25", 7*c+k)
				}
				b.WriteByte('\n')
			}
			log := read(t, b.String())
			if log.Trace.HasCounter(tt.of) != (tt.want > 0) {
				t.Fatalf("counter: %v, want column %d (%s)", log.Trace.HasCounter(tt.of), tt.want, log.Words())
			}
			if used := log.Layout.Used(); used[0].Index != 0 || used[1].Index != 1 || used[2].Index != 2 {
				t.Errorf("read: %s", log.Words())
			}
			if len(log.Notes) > 0 {
				t.Errorf("notes %q", log.Notes)
			}
			if tt.want == 0 {
				return
			}
			for k := range 20 {
				want := float64(float32(float64((float64(7*(tt.want-1)+k) + 0.25) * tt.by)))
				if got := log.Trace.Counter(tt.of, k); math.Abs(got-want) > 1e-7*want {
					t.Fatalf("row %d counts %v, want %v of column %d (%s)", k, got, want, tt.want, log.Words())
				}
			}
			if say := fmt.Sprintf("%s from column %d", []string{"charge", "energy"}[tt.of], 3+tt.want); !strings.Contains(log.Words(), say) {
				t.Errorf("%q lacks %q", log.Words(), say)
			}
		})
	}
}

// Every column of charge or energy that the Battery Data Format 1.x has, alone:
// read, unless it is one of the charge.
func TestBatteryDataFormatCounters(t *testing.T) {
	for _, label := range []string{"Charging Capacity / Ah", "Discharging Capacity / Ah", "Step Cumulative Capacity / Ah", "Step Capacity / Ah",
		"Net Capacity / Ah", "Cumulative Capacity / Ah", "Step Cumulative Energy / Wh", "Step Energy / Wh", "Charging Energy / Wh",
		"Discharging Energy / Wh", "Net Energy / Wh", "Cumulative Energy / Wh", "Cycle Charging Capacity / Ah", "Cycle Charging Energy / Wh",
		"Cycle Cumulative Capacity / Ah", "Cycle Cumulative Energy / Wh", "Cycle Discharging Capacity / Ah", "Cycle Discharging Energy / Wh",
		"Cycle Net Capacity / Ah", "Cycle Net Energy / Wh", "Schedule Charging Capacity / Ah", "Schedule Discharging Capacity / Ah",
		"Schedule Charging Energy / Wh", "Schedule Discharging Energy / Wh", "Step Charging Capacity / Ah", "Step Charging Energy / Wh",
		"Step Discharging Capacity / Ah", "Step Discharging Energy / Wh", "Step Net Capacity / Ah", "Step Net Energy / Wh"} {
		of := trace.CounterCharge
		if strings.HasSuffix(label, "Wh") {
			of = trace.CounterEnergy
		}
		name := strings.ToLower(strings.NewReplacer(" / ", " ", " ", "_").Replace(label))
		for _, head := range []string{label, name} {
			log := read(t, "Test Time / s,Voltage / V,Current / A,"+head+"\n0,4.1,-2,0\n1000,4.0,-2,0.5\n2000,3.9,-2,1.0\n")
			want := !strings.Contains(label, "Charging")
			if log.Trace.HasCounter(of) != want || log.Trace.HasCounter(1-of) {
				t.Errorf("%q is counted: %v, want %v", head, !want, want)
			} else if got := log.Trace.Counter(of, 1); want && got != 0.5 {
				t.Errorf("%q counts %v, want 0.5", head, got)
			}
		}
	}
}

// The last row of a log that ends without a line end may be cut within its
// counter, which then says nothing.
func TestLastCounterMayBeCut(t *testing.T) {
	text := "Time / s,Voltage / V,Current / A,Capacity / Ah\n0,4.1,2,0.000\n1000,4.0,2,0.556\n2000,3.9,2,1.1"
	if got := read(t, text).Trace.Counter(trace.CounterCharge, 2); !math.IsNaN(got) {
		t.Errorf("a counter that may be cut short is read as %v", got)
	}
	if got := read(t, text+"11\n").Trace.Counter(trace.CounterCharge, 2); got != float64(float32(1.111)) {
		t.Errorf("with its line end it is read as %v", got)
	}
}

// Cells whose unit stands a blank apart are numbers, not names of columns.
func TestUnitsABlankApart(t *testing.T) {
	log := read(t, "Time,Voltage,Current,Capacity\n0 s,4.1 V,2 A,0 mAh\n1000 s,4.0 V,2 A,555 mAh\n2000 s,3.9 V,2 A,1111\n")
	sameSamples(t, log.Trace, [][3]float64{{0, 4.1, 2}, {1000, 4, 2}, {2000, 3.9, 2}})
	if got := log.Trace.HasCounter(trace.CounterCharge); got {
		t.Error("a counter of which one cell has no unit is read")
	}
	log = read(t, "Time,Voltage,Current,Capacity\n0 s,4.1 V,2 A,0 mAh\n1000 s,4.0 V,2 A,555 mAh\n2000 s,3.9 V,2 A,1111 mAh\n")
	if got := log.Trace.Counter(trace.CounterCharge, 2); got != float64(float32(1.111)) {
		t.Errorf("1111 mAh is read as %v Ah", got)
	}
}

// Rows left out since time goes back, and clocks that begin anew, are counted.
func TestWentBackAndRestarts(t *testing.T) {
	log := read(t, "t/s,U/V,I/A\n0,4.1,2\n10,4.0,2\n20,3.9,2\n12,3.8,2\n30,3.8,2\n40,3.8,2\n41,3.8,2\n33,3.7,2\n42,3.7,2\n")
	if log.WentBack != 2 || log.WentBackLine != 5 || log.Restarts != 0 || log.RestartLine != 0 || log.Left != 2 {
		t.Errorf("%d rows went back, first in line %d; %d restarts, first in line %d", log.WentBack, log.WentBackLine, log.Restarts, log.RestartLine)
	}
	log = read(t, "t/s,U/V,I/A\n0,4.1,0\n10,4.1,0\n0,4.0,2\n10,3.9,2\n20,3.8,2\n0,3.9,0\n10,3.95,0\n")
	if log.WentBack != 0 || log.WentBackLine != 0 || log.Restarts != 2 || log.RestartLine != 4 {
		t.Errorf("%d rows went back, first in line %d; %d restarts, first in line %d", log.WentBack, log.WentBackLine, log.Restarts, log.RestartLine)
	}
}
