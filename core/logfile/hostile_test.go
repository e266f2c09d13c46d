package logfile

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A megabyte of anything is over soon, and never takes more than 64 MB.
func TestHostileMegabyte(t *testing.T) {
	size := 1 << 20
	if runtime.GOOS == "js" {
		size >>= 4 // there it takes ten times as long
	}
	log := "t/s,U/V,I/A,T/degC,Note\n"
	for k := range 200 {
		log += fmt.Sprintf("%d,%.3f,2.000,23.0,x\n", k, 4.1-float64(k)/1000)
	}
	for name, piece := range map[string]string{
		"quotes": `"`, "delimiters": ",", "line ends": "\n", "CR": "\r", "CR LF": "\r\n", "digits": "7", "NUL": "\x00", "blanks": " ", "tabs": "\t",
		"0xff": "\xff", "quoted lines": "\"a\n", "open quotes": "1,\"2\n", "numbers": "1,2\n", "clocks": "1:2:3,4:5:6\n", "dates": "1/2/3 4:5:6,7\n",
		"headers": "Time,Voltage,Current\n", "comments": "#\n", "two rows": "1,2,3\n1 2 3\n", "apostrophes": "'1','2'\n", "exponents": "1e99,1e-99,1e999\n",
		"decreasing": "9,4,1\n8,4,1\n", "UTF-16": "1\x00,\x002\x00\n\x00", "odd Chinese": "\x81\x30,\x81\n", "wide rows": strings.Repeat("1,", 400) + "\n",
		"bars": "|", "byte order marks": "\ufeff", "minus signs": "\u2212", "semicolons and commas": "1,2;3,4;5,6\n",
	} {
		for where, text := range map[string]string{"alone": strings.Repeat(piece, size/len(piece)), "behind a log": log + strings.Repeat(piece, size/len(piece)),
			"under a header": "t/s,U/V,I/A,T/degC,Note\n" + strings.Repeat(piece, size/len(piece))} {
			start := time.Now()
			mb := mostHeld([]byte(text)) >> 20
			if took := time.Since(start); mb > 64 || took > 10*time.Second {
				t.Errorf("1 MB of %s, %s: %d MB and %v, want at most 64 MB and 10 s", name, where, mb, took)
			}
		}
	}
}

// mostHeld reads a log in pieces and gives the most that can have been held at
// one time, in bytes: what was held before a piece and all that it asked for.
func mostHeld(text []byte) (most uint64) {
	var start, before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&start)
	r := NewReader("hostile.csv")
	for step := func(do func()) {
		runtime.GC()
		runtime.ReadMemStats(&before)
		do()
		runtime.ReadMemStats(&after)
		most = max(most, before.HeapAlloc-min(before.HeapAlloc, start.HeapAlloc)+after.TotalAlloc-before.TotalAlloc)
	}; ; {
		if len(text) == 0 {
			step(func() { _, _ = r.Close() })
			return most
		}
		n := min(len(text), 64<<10)
		step(func() { _, _ = r.Write(text[:n]) })
		text = text[n:]
	}
}
