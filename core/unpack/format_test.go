package unpack

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
	"time"
)

// Codes as spreadsheet programs write them; ECMA-376 Part 1, 18.8.31 has the
// grammar.
func TestFormatCodes(t *testing.T) {
	for code, want := range map[string]format{
		"General": plain, "GENERAL": plain, "Standard": plain, "": plain, "@": plain,
		"0": plain, "0.000": plain, "#,##0.00": plain, "0.00E+00": plain, "##0.0E+0": plain, "0%": plain, "# ?/?": plain,
		`0.00" mAh"`: plain, `0.00\ \m\A`: plain, `0.000 s`: plain, `"days "0`: plain, `[Red]0.00;[Blue]-0.00`: plain, `[$-409]0.0`: plain, `[$€-407]#,##0.00`: plain,
		`_-* #,##0.00\ _€_-`: plain, `General" d"`: plain, `[Magenta]0`: plain, `[>=100]0;0.0`: plain,
		"yyyy-mm-dd": dateOnly, "dd.mm.yyyy": dateOnly, "m/d/yy": dateOnly, "mmm-yy": dateOnly, `[$-407]d\. mmmm yyyy;@`: dateOnly, `yyyy"年"m"月"d"日"`: dateOnly, "mmmm": dateOnly,
		"yyyy-mm-dd hh:mm:ss": stamp, `yyyy\-mm\-dd\ hh:mm:ss.000`: stamp, "m/d/yy h:mm": stamp, "h:mm:ss AM/PM": stamp, "h:mm": stamp, "mm:ss": stamp, "mm:ss.0": stamp, "ss.000": stamp, "[$-F400]h:mm:ss AM/PM": stamp, `d "d" h:mm`: stamp, "hh:mm:ss,000": stamp,
		"[h]:mm:ss": elapsed, "[hh]:mm:ss.000": elapsed, "[mm]:ss": elapsed, "[s]": elapsed, `[H]:MM`: elapsed, `[Red][h]:mm`: elapsed,
		"[": plain, `"`: plain, `\`: plain, "[]": plain, `"d"`: plain,
	} {
		if got := formatOf(code); got != want {
			t.Errorf("%q: %d, want %d", code, got, want)
		}
	}
}

// Go's own calendar is the reference for the serial numbers of both systems.
func TestSerialsAgainstTheCalendar(t *testing.T) {
	for _, system := range []struct {
		epoch int
		day0  time.Time
	}{
		{epoch1900, time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)},
		{epoch1904, time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)},
	} {
		for days := firstRealDay; days < 60_000; days += 977 {
			for _, ms := range []int{0, 1, 999, 1000, 43_200_000, 86_399_999} {
				want := system.day0.AddDate(0, 0, days).Add(time.Duration(ms) * time.Millisecond).Format("2006-01-02T15:04:05.000")
				if ms%1000 == 0 {
					want = want[:len(want)-4]
				}
				serial := float64(days) + float64(ms)/86_400_000
				got, ok := appendSerial(nil, serial, stamp, system.epoch)
				if !ok || string(got) != want {
					t.Fatalf("%v: %s, want %s", serial, got, want)
				}
			}
		}
	}
}

func TestShortestDigits(t *testing.T) {
	for _, x := range []float64{0, 1, -1, 0.1, 0.1 + 0.2, 3.98, 1e-6, 9.9e-7, 1e15, 123456789012345, math.MaxFloat64, math.SmallestNonzeroFloat64, -4.9e-324} {
		text := appendNumber(nil, x)
		back, err := strconv.ParseFloat(string(text), 64)
		if err != nil || back != x || len(text) > len(strconv.FormatFloat(x, 'g', 17, 64))+8 {
			t.Errorf("%v: %s", x, text)
		}
	}
}

// What is passed on as it is written is what parsing and writing would make.
func TestPassedOnAsWritten(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	passed := 0
	try := func(s string) {
		if !isShortest([]byte(s)) {
			return
		}
		passed++
		x, ok := parseNumber([]byte(s))
		if got := string(appendNumber(nil, x)); !ok || got != s {
			t.Fatalf("%s would be written %s", s, got)
		}
	}
	for _, s := range []string{"", "-", "0", "00", "-0", "0.0", "0.", ".5", "1.", "1.0", "10", "01", "1.2.3", "+1", "1e5", "0.1", "-0.1", "0.00001", "0.000001", "0.0000001", "0.0000012", "999999999999999", "99999999999999.9", "1234567890123456", "5", "-", "--1"} {
		try(s)
	}
	for range 300_000 {
		b := make([]byte, 1+rng.IntN(16))
		for k := range b {
			b[k] = "0123456789.0-"[rng.IntN(13)]
		}
		try(string(b))
		try(strconv.FormatFloat(rng.NormFloat64()*math.Pow10(rng.IntN(20)-8), 'f', rng.IntN(10), 64))
	}
	if passed < 50_000 {
		t.Errorf("only %d were passed on", passed)
	}
}

func TestDurationsAndDates(t *testing.T) {
	for in, want := range map[string]string{
		"PT0S": "0:00:00", "PT12H30M5.123456S": "12:30:05.123456", "P2D": "48:00:00", "PT90M": "1:30:00",
		"P1M": "", "P1Y": "", "PT": "0:00:00", "P": "", "PT1": "", "T1S": "", "PT1D": "", "P1H": "", "PT-1S": "", "PT1e5S": "", "PT99999999999H": "", "PT99999999H": "99999999:00:00", "PT999999999H": "", "PT1.S": "0:00:01", "PT1.x5S": "",
	} {
		got, ok := appendDuration(nil, []byte(in))
		if ok != (want != "") || ok && string(got) != want {
			t.Errorf("%s: %s %v, want %q", in, got, ok, want)
		}
	}
	for in, want := range map[string]string{
		"2026-02-14T08:00": "2026-02-14T08:00:00", "2026-02-14T08:00:00Z": "2026-02-14T08:00:00", "2024-02-29": "2024-02-29", "1899-12-30": "0:00:00", "1900-02-28T12:00:00": "1452:00:00", "1900-03-01": "1900-03-01",
		"1850-01-01": "1850-01-01", "2023-02-29": "", "2026-13-01": "", "2026-2-14": "", "14.02.2026": "", "2026-02-14T": "", "2026-02-14T25:00:00": "", "2026-02-14T08:00:00,5": "2026-02-14T08:00:00.500", "": "",
	} {
		got, ok := appendISO(nil, []byte(in))
		if ok != (want != "") || ok && string(got) != want {
			t.Errorf("%s: %s %v, want %q", in, got, ok, want)
		}
	}
}
