package logfile

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Made-up dialects with some rows spoilt, each in its own way: every row that
// is read is one that was written, and every other one is listed as left out.
func TestSpoiltDialects(t *testing.T) {
	var score [4]int // read, asked, refused, wrong
	shown := 0
	n := dialects(t)
	for seed := range n {
		d := newDialect(uint64(seed))
		how, line := d.spoil(rand.New(rand.NewPCG(uint64(seed), 99)))
		text, ok := d.encode()
		if !ok {
			continue
		}
		log, err := Read("spoilt.csv", bytes.NewReader(text))
		var question *Question
		switch {
		case errors.As(err, &question):
			score[1]++
			continue
		case err != nil:
			score[2]++
		default:
			if err = d.among(log, line); err == nil {
				score[0]++
				continue
			}
			score[3]++
		}
		if shown++; shown <= 8 {
			t.Errorf("%v\n%v\n%q\n%s", err, d, how, d.excerpt())
		}
	}
	if score[0] < n*9/10 {
		t.Errorf("%d of %d read, which is too few", score[0], n)
	}
	if testing.Verbose() {
		fmt.Printf("%d dialects with spoilt rows: %d read but for those, %d asked about, %d refused, %d WRONG\n", n, score[0], score[1], score[2], score[3])
	}
}

// among says how the rows read are not those written less those left out; line
// is the line of each row.
func (d *dialect) among(log *Log, line []int) error {
	listed := map[int]bool{}
	for _, l := range log.LeftOut {
		listed[l.Line] = true
	}
	n, origin := 0, 0.0
	tr := log.Trace
	for k, want := range d.wantNumbers {
		if listed[line[k]] {
			continue
		}
		if n == 0 {
			origin = want[0]
		}
		if n >= tr.Len() {
			return fmt.Errorf("row %d, in line %d, is missing and not listed: %v (%s)", k+1, line[k], log.LeftOut, log.Words())
		}
		// A first row left out moves the origin of time, and the last bit with it.
		if got := tr.Time(n); math.Abs(got-(want[0]-origin)) > 1e-6 {
			return fmt.Errorf("row %d, in line %d, is at %v s, should be at %v s; left out: %v (%s)", k+1, line[k], got, want[0]-origin, log.LeftOut, log.Words())
		}
		if v, i := tr.Voltage(n), tr.Current(n); (v != want[1] || i != want[2]) && !d.doubtful() || math.Abs(v-want[1])+math.Abs(i-want[2]) > 1e-12 {
			return fmt.Errorf("row %d, in line %d, is read as %v V, %v A, is %v; left out: %v (%s)", k+1, line[k], v, i, want, log.LeftOut, log.Words())
		}
		if temp := tr.Temperature(n); d.has(Temperature) && temp != want[3] && !math.IsNaN(temp) {
			return fmt.Errorf("row %d, in line %d, is read as %v °C, is %v (%s)", k+1, line[k], temp, want, log.Words())
		}
		n++
	}
	if n != tr.Len() {
		return fmt.Errorf("%d rows more than were written (%s)", tr.Len()-n, log.Words())
	}
	return nil
}

// spoil does something to up to three rows, says what, and gives the line of
// each row.
func (d *dialect) spoil(rng *rand.Rand) (how []string, line []int) {
	lines := strings.Split(d.text, d.end)
	rows := slices.Clone(lines[d.firstLine : d.firstLine+len(d.cells)])
	before := map[int][]string{}
	for range 1 + rng.IntN(3) {
		k := rng.IntN(len(rows))
		cells := slices.Clone(d.cells[k])
		j := rng.IntN(len(cells))
		what := pick(rng, "missing", "more", "quote", "word", "short", "NUL", "other", "twice", "header", "text", "blank", "summary")
		if d.padded && (what == "missing" || what == "more") {
			what = "word"
		}
		how = append(how, fmt.Sprintf("%s: row %d, cell %d", what, k+1, j+1))
		switch what {
		case "missing":
			if len(cells) > 1 {
				j = rng.IntN(len(cells) - 1)
				cells = slices.Replace(cells, j, j+2, cells[j]+cells[j+1])
			}
		case "more":
			cells = slices.Insert(cells, j, "")
		case "quote":
			at := rng.IntN(len(cells[j]) + 1)
			for at < len(cells[j]) && cells[j][at]&0xc0 == 0x80 { // inside a letter
				at++
			}
			cells[j] = cells[j][:at] + `"` + cells[j][at:]
		case "word":
			cells[j] = pick(rng, "OL", "---", "nan", "inf", "#N/A", "err", "3.x", "x")
		case "short":
			cells = cells[:1+rng.IntN(len(cells))]
		case "NUL":
			cells[j] = "\x00\x00"
		case "other":
			rows[k] = strings.Join(cells, map[string]string{",": ";", ";": ",", "\t": ";", "|": ",", " ": ";"}[d.delimiter])
			continue
		case "twice":
			before[k] = []string{strings.Repeat("9", 30)}
			continue
		case "header":
			before[k] = lines[d.firstLine-1 : d.firstLine]
			continue
		case "text":
			before[k] = []string{"Step 2: discharge, 3 A; then rest"}
			continue
		case "blank":
			before[k] = []string{"", " "}
			continue
		case "summary":
			before[k] = []string{"Total" + d.delimiter + "0.79" + d.delimiter + "Ah"}
			continue
		}
		rows[k] = d.join(cells)
	}
	at := d.firstLine
	out := slices.Clone(lines[:d.firstLine])
	for k, r := range rows {
		out = append(append(out, before[k]...), r)
		at += len(before[k]) + 1
		line = append(line, at)
	}
	d.text = strings.Join(append(out, lines[d.firstLine+len(rows):]...), d.end)
	return how, line
}
