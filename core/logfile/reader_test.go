package logfile

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"plateau/core/say"
	"plateau/core/trace"
)

func read(t *testing.T, text string) *Log {
	t.Helper()
	log, err := Read("log.csv", strings.NewReader(text))
	if err != nil {
		t.Fatalf("%v", err)
	}
	return log
}

// sameSamples compares a trace with samples of t, V, I as they should be.
func sameSamples(t *testing.T, tr *trace.Trace, want [][3]float64) {
	t.Helper()
	if tr.Len() != len(want) {
		t.Fatalf("%d samples, want %d", tr.Len(), len(want))
	}
	for k, w := range want {
		got := [3]float64{tr.Time(k), tr.Voltage(k), tr.Current(k)}
		for c := range got {
			if math.Abs(got[c]-w[c]) > 1e-9 {
				t.Errorf("sample %d is %v, want %v", k, got, w)
				break
			}
		}
	}
}

// One discharge in every layout that this reader knows: each must give the
// same samples. The layouts are our own.
func TestLayouts(t *testing.T) {
	want := [][3]float64{{0, 4.1, 0}, {10, 4, 2}, {20, 3.9, 2}, {30, 3.8, 2}}
	for name, text := range map[string]string{
		"plain":              "Time / s,Voltage / V,Current / A\n0,4.1,0\n10,4.0,2\n20,3.9,2\n30,3.8,2\n",
		"byte order mark":    "\ufeffTime / s,Voltage / V,Current / A\n0,4.1,0\n10,4.0,2\n20,3.9,2\n30,3.8,2\n",
		"CRLF":               "t/s,U/V,I/A\r\n0,4.1,0\r\n10,4.0,2\r\n20,3.9,2\r\n30,3.8,2\r\n",
		"lone CR":            "t/s,U/V,I/A\r0,4.1,0\r10,4.0,2\r20,3.9,2\r30,3.8,2\r",
		"no last line end":   "t/s,U/V,I/A\n0,4.1,0\n10,4.0,2\n20,3.9,2\n30,3.8,2",
		"semicolon, comma":   "Zeit;Spannung;Strom\nh:mm:ss;V;A\n0:00:00;4,1;0\n0:00:10;4,0;-2,0\n0:00:20;3,9;-2,0\n0:00:30;3,8;-2,0\n",
		"tab, comma":         "Zeit in s\tSpannung in mV\tStrom in mA\n0\t4100,0\t0\n10\t4000,0\t-2000,5\n20\t3900,0\t-1999,5\n30\t3800,0\t-2000,0\n",
		"milli":              "time_ms,U [mV],I(mA)\n0,4100,0\n10000,4000,2000\n20000,3900,2000\n30000,3800,2000\n",
		"clock":              "Time[h:mm:ss],Voltage (V),Current (A)\n0:59:50,4.1,0\n1:00:00,4.0,2\n1:00:10,3.9,2\n1:00:20,3.8,2\n",
		"clock at midnight":  "Clock,Volts,Amps\n23:59:45,4.1,0\n23:59:55,4.0,2\n00:00:05,3.9,2\n00:00:15,3.8,2\n",
		"12-hour clock":      "Clock,Volts,Amps\n11:59:45 PM,4.1,0\n11:59:55 PM,4.0,2\n12:00:05 AM,3.9,2\n12:00:15 AM,3.8,2\n",
		"days and clock":     "Test Time,Voltage (V),Current (A)\n0d 23:59:50,4.1,0\n1d 00:00:00,4.0,2\n1d 00:00:10,3.9,2\n1d 00:00:20,3.8,2\n",
		"ISO date":           "Date,Voltage (V),Current (A)\n2026-02-28 23:59:50.0,4.1,0\n2026-03-01 00:00:00.0,4.0,2\n2026-03-01T00:00:10,3.9,2\n2026-03-01 00:00:20,3.8,2\n",
		"day first":          "Date,Voltage (V),Current (A)\n01.02.2026 23:59:50,4.1,0\n02.02.2026 00:00:00,4.0,2\n02.02.2026 00:00:10,3.9,2\n02.02.2026 00:00:20,3.8,2\n",
		"month first":        "Date,Voltage (V),Current (A)\n02/01/2026 23:59:50,4.1,0\n02/02/2026 00:00:00,4.0,2\n02/02/2026 00:00:10,3.9,2\n02/02/2026 00:00:20,3.8,2\n",
		"epoch ms":           "stamp,volts,amps\n1767225600000,4.1,0\n1767225610000,4.0,2\n1767225620000,3.9,2\n1767225630000,3.8,2\n",
		"minutes":            "t/min,U/V,I/A\n0,4.1,0\n0.16666666666666667,4.0,2\n0.33333333333333333,3.9,2\n0.5,3.8,2\n",
		"preamble":           "Cell: Alder 3\nNominal;5000;mAh;4.2\n\nTest Time (s),Cell Voltage (V),Current (A),Note\n0,4.1,0,\n10,4.0,2,on\n20,3.9,2,\n30,3.8,2,\n",
		"quotes":             "\"Time, s\",\"Voltage, V\",\"Current, A\"\n\"0\",\"4.1\",\"0\"\n\"10\",\"4.0\",\"2\"\n\"20\",\"3.9\",\"2\"\n\"30\",\"3.8\",\"2\"\n",
		"power":              "t/s,U/V,P/W\n0,4.1,0\n10,4.0,8\n20,3.9,7.8\n30,3.8,7.6\n",
		"exponents, signs":   "t/s,U/V,I/A\n0,4.1E0,-0\n1e1,+4.0,-2.0e0\n20,0.39e+1,\u22122\n30,3.8,-2\n",
		"extra columns":      "Index,Step,Time/s,dV/dt,Voltage/V,Set Current/A,Current/A,Ah\n1,1,0,0,4.1,2,0,0\n2,2,10,0,4.0,2,2,0\n3,2,20,0,3.9,2,2,0\n4,2,30,0,3.8,2,2,0\n",
		"load side as well":  "Voltage_measured,Current_measured,Current_load,Voltage_load,Time_s\n4.1,0,0,0,0\n4.0,-2,-1.9,3,10\n3.9,-2,1.9,3,20\n3.8,-2,1.9,3,30\n",
		"clock as last":      "U/V,I/A,Clock,Note\n4.1,0,1:00:00,a\n4.0,2,1:00:10,b\n3.9,2,1:00:20,c\n3.8,2,1:00:30,\n",
		"comma and blank":    "t/s, U/V, I/A\n0, 4.1, 0\n10, 4.0, 2\n20, 3.9, 2\n30, 3.8, 2\n",
		"pipe":               "t/s|U/V|I/A\n0|4.1|0\n10|4.0|2\n20|3.9|2\n30|3.8|2\n",
		"blanks":             "t/s    U/V   I/A\n0      4.1   0\n10     4.0   2\n20     3.9   2\n30     3.8   2\n",
		"thousands, comma":   "t/ms;U/mV;I/mA\n0;4.100,0;0\n10.000;4.000,0;2.000,0\n20.000;3.900,0;2.000,0\n30.000;3.800,0;2.000,0\n",
		"thousands, quote":   "t/ms;U/mV;I/mA\n0;4'100.0;0\n10'000;4'000.0;2'000\n20'000;3'900.0;2'000\n30'000;3'800.0;2'000\n",
		"thousands, blank":   "t/ms;U/mV;I/mA\n0;4\u00a0100,0;0\n10\u00a0000;4\u00a0000,0;2\u00a0000\n20\u00a0000;3\u00a0900,0;2\u00a0000\n30\u00a0000;3\u00a0800,0;2\u00a0000\n",
		"units in cells":     "[0:00:00] 4.1V 0A\n[0:00:10] 4000mV 2.0A\n[0:00:20] 3.9V 2.0A\n[0:00:30] 3.8V 2000mA\n",
		"date and clock":     "Date,Time,U/V,I/A\n2026-02-28,23:59:50,4.1,0\n2026-03-01,00:00:00,4.0,2\n2026-03-01,00:00:10,3.9,2\n2026-03-01,00:00:20,3.8,2\n",
		"UTF-16 LE":          utf16("t/s\tU/V\tI/A\n0\t4.1\t0\n10\t4.0\t2\n20\t3.9\t2\n30\t3.8\t2\n"),
		"resistance":         "t/s,U/V,R/Ohm\n0,4.1,1e12\n10,4.0,2\n20,3.9,1.95\n30,3.8,1.9\n",
		"results above":      "Capacity / Ah,Energy / Wh\n2.5,9.1\n\nt/s,U/V,I/A\n0,4.1,0\n10,4.0,2\n20,3.9,2\n30,3.8,2\n",
		"line end in a cell": "t/s,U/V,I/A,Note\n0,4.1,0,a\n10,4.0,2,\"load\non\"\n20,3.9,2,b\n30,3.8,2,c\n",
		"comments":           "# our logger\n# t/s,U/V,I/A\n0,4.1,0\n10,4.0,2\n# half\n20,3.9,2\n30,3.8,2\n",
		"step time as well":  "Step Time (s),Total Time (s),Voltage (V),Current (A)\n0,0,4.1,0\n0,10,4.0,2\n10,20,3.9,2\n20,30,3.8,2\n",
		"degree in Latin-1":  "t/s,U/V,I/A,T/\xb0C\n0,4.1,0,22\n10,4.0,2,22\n20,3.9,2,23\n30,3.8,2,24\n",
		"repeated header":    "t/s,U/V,I/A\n0,4.1,0\n10,4.0,2\nt/s,U/V,I/A\n20,3.9,2\n30,3.8,2\n",
		"trailing delimiter": "t/s,U/V,I/A,\n0,4.1,0,\n10,4.0,2,\n20,3.9,2,\n30,3.8,2,\n",
	} {
		t.Run(name, func(t *testing.T) {
			log := read(t, text)
			w := want
			if name == "tab, comma" {
				w = [][3]float64{{0, 4.1, 0}, {10, 4, 2.0005}, {20, 3.9, 1.9995}, {30, 3.8, 2}}
			}
			sameSamples(t, log.Trace, w)
			if name == "degree in Latin-1" && log.Trace.Temperature(3) != 24 {
				t.Errorf("temperature %g, want 24", log.Trace.Temperature(3))
			}
		})
	}
}

// utf16 is text as little-endian UTF-16 without a byte order mark.
func utf16(s string) string {
	var b strings.Builder
	for _, r := range s {
		b.WriteByte(byte(r))
		b.WriteByte(byte(r >> 8))
	}
	return b.String()
}

// The samples do not depend on how the bytes come.
func TestAnyChunks(t *testing.T) {
	text := plainLog()[:400_000]
	text = text[:bytes.LastIndexByte(text, '\n')+1]
	whole, err := Read("a", bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	for name, src := range map[string]func() *Reader{
		"one byte": func() *Reader { return feed(text, 1) }, "seven": func() *Reader { return feed(text, 7) },
		"a page": func() *Reader { return feed(text, 4096) }, "odd": func() *Reader { return feed(text, 65_537) },
	} {
		log, err := src().Close()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if log.Rows != whole.Rows || log.Left != 0 {
			t.Fatalf("%s: %d rows and %d left out, want %d and 0", name, log.Rows, log.Left, whole.Rows)
		}
		for k := range log.Rows {
			a, b := log.Trace, whole.Trace
			if a.Time(k) != b.Time(k) || a.Voltage(k) != b.Voltage(k) || a.Current(k) != b.Current(k) || a.Temperature(k) != b.Temperature(k) {
				t.Fatalf("%s: sample %d differs", name, k)
			}
		}
	}
	if _, err := Read("b", iotest.OneByteReader(bytes.NewReader(text))); err != nil {
		t.Error(err)
	}
	boom := errors.New("disk gone")
	if _, err := Read("c", iotest.ErrReader(boom)); !errors.Is(err, boom) {
		t.Errorf("error %v, want %v", err, boom)
	}
}

func feed(text []byte, n int) *Reader {
	r := NewReader("chunks")
	for len(text) > 0 {
		k := min(n, len(text))
		if _, err := r.Write(text[:k]); err != nil {
			panic(err)
		}
		text = text[k:]
	}
	return r
}

// What cannot be read is refused with the kind, the place and a hint.
func TestRefused(t *testing.T) {
	rows := "\n0,4.1,2\n10,4.0,2\n20,3.9,2\n"
	for _, tt := range []struct {
		name, text string
		kind       error
		line       int
	}{
		{"empty", "", ErrEmpty, 0},
		{"blank", " \n\n\r\n", ErrEmpty, 0},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x02\x00\x00\x00\x02\x00\x08\x06\x00\x00\x00", ErrBinary, 1},
		{"an archive", "PK\x03\x04\x14\x00\x06\x00\x08\x00", ErrBinary, 1},
		{"only NUL", strings.Repeat("\x00", 5000), ErrBinary, 1},
		{"prose", "It was a cold night\nand the cells were full.\n", ErrNoTable, 1},
		{"header only", "Time / s,Voltage / V,Current / A\n", ErrNoRows, 1},
		{"header only, after a preamble", "Cell Birch\n\nTime / s;Voltage / V;Current / A", ErrNoRows, 3},
		{"no header, nothing that tells", "0,4.1,2\n10,4.0,2\n20,3.9,2\n", ErrNoCurrent, 1},
		{"no voltage", "Time / s,Note,Current / A" + rows, ErrNoVoltage, 1},
		{"no current", "Time / s,Voltage / V,Note" + rows, ErrNoCurrent, 1},
		{"no time", "Note,Voltage / V,Current / A" + rows, ErrNoTime, 1},
		{"comma twice", "t,U,I\n0,0,4,150,1,000\n10,0,4,120,1,000\n20,0,4,101,1,000\n", ErrHeader, 2},
		{"time stands still", "Time / s,Voltage / V,Current / A\n5,4.1,2\n5,4.0,2\n5,3.9,2\n", ErrTimeStuck, 2},
		{"mostly bad rows", "Time / s,Voltage / V,Current / A" + rows + rows[1:] + strings.Repeat("30,x,2\n", 8), ErrFewRows, 8},
	} {
		t.Run(tt.name, func(t *testing.T) {
			log, err := Read("bad.csv", strings.NewReader(tt.text))
			var f *Fault
			if !errors.As(err, &f) {
				t.Fatalf("log %v, error %v; want a fault", log, err)
			}
			if !errors.Is(f, tt.kind) || f.Line != tt.line {
				t.Errorf("%v in line %d, want %v in line %d", f, f.Line, tt.kind, tt.line)
			}
			if f.File != "bad.csv" || f.Hint == "" || !strings.HasPrefix(f.Error(), "bad.csv") {
				t.Errorf("fault %+v lacks file or hint", f)
			}
		})
	}
}

// A line without end is refused once it is longer than any row, not when the
// whole of it has come.
func TestEndlessLine(t *testing.T) {
	for name, head := range map[string]string{"from the start": "", "after good rows": "t/s,U/V,I/A\n0,4.1,2\n10,4.0,2\n" + strings.Repeat("20,3.9,2\n", 10_000)} {
		r := NewReader("endless.csv")
		_, err := r.Write([]byte(head))
		chunk := bytes.Repeat([]byte("0123456789"), 10_000)
		sent := 0
		for err == nil && sent < 200<<20 {
			_, err = r.Write(chunk)
			sent += len(chunk)
		}
		if !errors.Is(err, ErrLongLine) || sent > 3<<20 {
			t.Errorf("%s: %v after %d bytes, want %v after 1 MiB or so", name, err, sent, ErrLongLine)
		}
		if _, err := r.Close(); !errors.Is(err, ErrLongLine) {
			t.Errorf("%s: close gives %v", name, err)
		}
	}
}

// Rows that cannot be used are left out, counted and named; the rest is read.
func TestLeftOut(t *testing.T) {
	log := read(t, "sep=,\nElapsed (s),Voltage (V),Current (A)\n"+
		"0,4.10,0\n"+ // line 3
		"10,OL,2\n"+ // 4
		"20,4.00,2\n"+
		"oops\n"+ // 6
		"30,3.90,2,9\n"+ // 7
		"40,3.80,2\n\n"+
		"35,3.7,2\n"+ // 10
		"50,3.70,x\n"+ // 11
		"60,\x00\x00,2\n"+ // 12
		"70,3.60,2\n71,3.6,2\n72,3.6,2\n73,3.6,2\n74,3.6,2\n"+
		"Total,2.2,Ah\n"+ // 18
		"80,3.5") // 19, cut short
	sameSamples(t, log.Trace, [][3]float64{{0, 4.1, 0}, {20, 4, 2}, {40, 3.8, 2}, {70, 3.6, 2}, {71, 3.6, 2}, {72, 3.6, 2}, {73, 3.6, 2}, {74, 3.6, 2}})
	want := map[int]string{4: "column 2 holds no value", 6: "has 1 of 3 fields", 7: "has 4 fields, 3 expected",
		10: "time goes back", 11: "column 3 is not a number", 12: "NUL", 18: "column 1 is not a number", 19: "cut short"}
	if log.Left != len(want) || len(log.LeftOut) != len(want) {
		t.Errorf("%d left out: %v, want %d", log.Left, log.LeftOut, len(want))
	}
	for _, x := range log.LeftOut {
		if w, ok := want[x.Line]; !ok || !strings.Contains(say.Kept(x.Reason), w) {
			t.Errorf("line %d: %q, want %q", x.Line, say.Kept(x.Reason), w)
		}
	}
}

func TestLeftOutListIsBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString("t/s,U/V,I/A\n")
	for k := range 1000 {
		fmt.Fprintf(&b, "%d,4,1\n", k)
		if k%3 == 0 {
			b.WriteString("bad\n")
		}
	}
	log := read(t, b.String())
	if log.Left != 334 || len(log.LeftOut) != keepLeftOut || log.Rows != 1000 {
		t.Errorf("%d left out, %d listed, %d rows", log.Left, len(log.LeftOut), log.Rows)
	}
}

// A clock that begins anew with each step goes on from the step before.
func TestClockBeginsAnew(t *testing.T) {
	log := read(t, "t/s,U/V,I/A\n0,4.1,0\n10,4.1,0\n0,4.0,2\n10,3.9,2\n20,3.8,2\n0,3.9,0\n10,3.95,0\n")
	sameSamples(t, log.Trace, [][3]float64{{0, 4.1, 0}, {10, 4.1, 0}, {10, 4, 2}, {20, 3.9, 2}, {30, 3.8, 2}, {30, 3.9, 0}, {40, 3.95, 0}})
	if len(log.Notes) != 1 || !strings.Contains(say.Kept(log.Notes[0]), "begins anew 2 times, first in line 4") {
		t.Errorf("notes %q", log.Notes)
	}
}

// A header without units: what only one unit makes plausible is read so, and
// said.
func TestAssumedUnits(t *testing.T) {
	log := read(t, "Time,Voltage,Current\n0,4100,0\n1800,4000,-2000\n3600,3900,-2000\n")
	sameSamples(t, log.Trace, [][3]float64{{0, 4.1, 0}, {1800, 4, 2}, {3600, 3.9, 2}})
	notes := ""
	for _, n := range log.Notes {
		notes += say.Kept(n)
	}
	if !strings.Contains(notes, "voltage in mV") || !strings.Contains(notes, "read in mA") || !strings.Contains(notes, "time in s") {
		t.Errorf("notes %q", notes)
	}
	// Where more than one unit makes sense, or none, there are no figures.
	for name, text := range map[string]string{
		"minutes or seconds": "Time,Voltage / V,Current / A\n0,4.1,2\n30,4.0,2\n60,3.9,2\n",
		"days or ms":         "Time,Voltage / V,Current / A\n0,4.1,2\n1800000,4.0,2\n3600000,3.9,2\n",
		"33 Ah or 33 mAh":    "Time / s,Voltage / V,Current\n0,4.1,33\n1800,4.0,33\n3600,3.9,33\n",
	} {
		var q *Question
		if log, err := Read("x", strings.NewReader(text)); !errors.As(err, &q) || q.About != "unit" {
			t.Errorf("%s: log %v, error %v; want a question about the unit", name, log, err)
		}
	}
}

// Words a person can check the guess by.
func TestWords(t *testing.T) {
	log := read(t, "Protokoll;Erle\n\nZeit;Spannung;Strom;Temperatur\nh:mm:ss;V;A;°C\n0:00:00;4,170;-0,000;22,0\n0:00:20;4,125;-1,000;22,0\n0:00:40;4,124;-1,000;22,0\n")
	for _, part := range []string{"semicolon between columns", "decimal comma", "header in line 3", "units in line 4",
		"time from column 1 “Zeit” as h:mm:ss", "voltage from column 2 “Spannung” in V",
		"temperature from column 4 “Temperatur” in °C", "discharge is written as negative current"} {
		if !strings.Contains(log.Words(), part) {
			t.Errorf("%q lacks %q", log.Words(), part)
		}
	}
}

// Numbers come out as strconv has them, to the last bit, by whichever path.
func TestNumbersAreCorrectlyRounded(t *testing.T) {
	for _, s := range []string{"4.1797996073334470", "0.1", "3.3333333", "1234567.7654321", "9999999.9999999", "0.0000001",
		"4.179799607333447", "12345678.5", "0.30000000000000004", "2.675", "3"} {
		log := read(t, "t/s,U/V,I/A\n0,4,0\n1,"+s+",2\n2,3.5,2\n3,3.4,2\n")
		var want float64
		if _, err := fmt.Sscan(s, &want); err != nil {
			t.Fatal(err)
		}
		if got := log.Trace.Voltage(1); got != want {
			t.Errorf("%s read as %v, want %v", s, got, want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("Time / s,Voltage / V,Current / A\n0,4.1,0\n10,4.0,2\n20,3.9,2\n"))
	f.Add([]byte("Zeit;Spannung;Strom\nh:mm:ss;V;A\n0:00:00;4,1;0\n0:00:10;4,0;-2,0\n0:00:05;4,0;-2,0\n"))
	f.Add([]byte("Date\tV\tA\n01.02.2026 23:59:50\t4.1\t0\n13/02/2026 1:00:00\t4.0\t2\n"))
	f.Add([]byte("t,U,I\r\n\"0\",4,1\r\n\x00\x00\r\n1,3,"))
	f.Add([]byte("\xef\xbb\xbft/s,U/V,P/W\n1e300,1e-300,1e300\n2e300,3,4\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		whole, err := Read("fuzz", bytes.NewReader(text))
		bits, err2 := feedAll(text, 3)
		if (err == nil) != (err2 == nil) {
			t.Fatalf("whole: %v; in pieces: %v", err, err2)
		}
		if err != nil {
			return
		}
		if whole.Rows != bits.Rows || whole.Left != bits.Left {
			t.Fatalf("%d rows, %d left out; in pieces %d and %d", whole.Rows, whole.Left, bits.Rows, bits.Left)
		}
		last := 0.0
		for k := range whole.Rows {
			if x := whole.Trace.Time(k); !(x >= last) {
				t.Fatalf("time goes from %g to %g", last, x)
			} else {
				last = x
			}
		}
		for _, s := range whole.Trace.Steps() {
			if s.Kind == trace.Discharge {
				trace.NewRun(whole.Trace, s).At(trace.ByCharge, 0.1)
			}
		}
	})
}

func feedAll(text []byte, n int) (*Log, error) {
	r := NewReader("fuzz")
	for len(text) > 0 {
		k := min(n, len(text))
		if _, err := r.Write(text[:k]); err != nil {
			return nil, err
		}
		text = text[k:]
	}
	return r.Close()
}
