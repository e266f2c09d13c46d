package logfile

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"runtime"
	"strconv"
	"testing"
)

// dialects is how many dialects are tried: all of them where the environment
// asks for it.
func dialects(t *testing.T) int {
	n := 1000
	if runtime.GOOS == "js" {
		n = 200 // there it takes ten times as long
	}
	if s := os.Getenv("PLATEAU_DIALECTS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatalf("PLATEAU_DIALECTS: %v", err)
		}
	}
	return n
}

// One discharge in thousands of made-up dialects: what is read must be what
// was written, to the last bit. A person can read all of them without a doubt,
// so that none may be asked about but those of [dialect.doubtful].
func TestDialects(t *testing.T) {
	var score [4]int // read, asked, refused, wrong
	shown := map[string]int{}
	n := dialects(t)
	for seed := range n {
		d := newDialect(uint64(seed))
		text, _ := d.encode()
		log, err := Read("dialect.csv", bytes.NewReader(text))
		var question *Question
		kind, what := 0, ""
		switch {
		case errors.As(err, &question):
			kind, what = 1, fmt.Sprintf("asked: %v: %s", err, question.Ask)
			if d.doubtful() {
				score[kind]++
				continue
			}
		case err != nil:
			kind, what = 2, fmt.Sprintf("refused: %v", err)
		default:
			if what = d.differs(log); what != "" {
				kind = 3
			}
		}
		score[kind]++
		if kind > 0 {
			key := fmt.Sprint(kind)
			if shown[key]++; shown[key] <= 6 {
				t.Errorf("%s\n%v\n%q", what, d, d.excerpt())
			}
		}
	}
	if testing.Verbose() {
		fmt.Printf("%d dialects: %d read to the last bit, %d asked about, %d refused, %d WRONG\n", n, score[0], score[1], score[2], score[3])
	}
}

// excerpt is the beginning of the log.
func (d *dialect) excerpt() string {
	return d.text[:min(len(d.text), 500)]
}

// differs says how what was read differs from what was written.
func (d *dialect) differs(log *Log) string {
	want := d.wantNumbers
	if log.Left != 0 || log.Rows != len(want) {
		return fmt.Sprintf("%d rows read, %d left out (%v); %d were written (%s)", log.Rows, log.Left, log.LeftOut[:min(3, len(log.LeftOut))], len(want), log.Words())
	}
	tr := log.Trace
	for k, w := range want {
		got := [4]float64{tr.Time(k), tr.Voltage(k), tr.Current(k), tr.Temperature(k)}
		for c := range w {
			if c == 3 && !d.has(Temperature) {
				continue
			}
			// "4,187" without a unit is as well 4187 mV as 4.187 V: but for the
			// last bit that is the same.
			if d.doubtful() && math.Abs(got[c]-w[c]) < 1e-15*math.Abs(w[c]) {
				continue
			}
			if got[c] != w[c] {
				return fmt.Sprintf("row %d is read as %v, written as %v (%s)", k+1, got, w, log.Words())
			}
		}
	}
	return ""
}

func (d *dialect) has(kind Kind) bool {
	for _, k := range d.kinds {
		if k == kind {
			return true
		}
	}
	return false
}
