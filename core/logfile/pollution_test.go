package logfile_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/trace"
)

// outcome is what became of one polluted log.
type outcome int

const (
	wasRead outcome = iota
	withoutRows
	asked
	refused
	unfit // refused or asked about, for a reason that does not fit
	wrong // figures off without a question
	outcomes
)

// polluted is one log with one thing done to it, and what is right for it.
type polluted struct {
	kind, what string
	text       []byte
	want       []sample     // of each record of the clean log
	at         [][2]int     // first and last line of each record
	touched    map[int]bool // records that may be left out
	absent     int          // the record that was taken out for something else, or -1
	right      []error      // the reasons for which it may be refused
	about      string       // what it may be asked about, parted by blanks
}

// The kinds of pollution are those of Vitagliano, Hameed, Jiang, Reisener, Wu,
// Naumann, "Pollock: A Data Loading Benchmark", PVLDB 16(8), 2023, made anew on
// logs of our own, and kinds that logs have besides. For each of them the
// samples and figures must be those of the clean log, less the polluted row
// where that is listed as left out; or the log is refused, or asked about, for
// the right reason.
func TestPollution(t *testing.T) {
	var kinds []string
	score := map[string]*[outcomes]int{}
	shown := map[string]int{}
	var sum [outcomes]int
	for _, c := range cleanLogs() {
		all := append(append(fileKinds(c), rowKinds(c)...), ownKinds(c)...)
		for _, p := range append(all, timeKinds(c)...) {
			if score[p.kind] == nil {
				kinds = append(kinds, p.kind)
				score[p.kind] = new([outcomes]int)
			}
			o, why := p.outcome()
			score[p.kind][o]++
			sum[o]++
			if o == unfit || o == wrong {
				key := fmt.Sprint(p.kind, o)
				if shown[key]++; shown[key] <= 3 {
					t.Errorf("%s, %s (%s): %s\n%s", p.kind, p.what, c.name, why, excerpt(p))
				}
			}
		}
	}
	if testing.Verbose() {
		var b strings.Builder
		line := func(kind string, n [outcomes]int) {
			files := 0
			for _, x := range n {
				files += x
			}
			fmt.Fprintf(&b, "%-34s %6d %6d %6d %6d %6d %6d %6d\n", kind, files, n[wasRead], n[withoutRows], n[asked], n[refused], n[unfit], n[wrong])
		}
		fmt.Fprintf(&b, "%-34s %6s %6s %6s %6s %6s %6s %6s\n", "kind", "files", "read", "less", "asked", "refus.", "UNFIT", "WRONG")
		for _, k := range kinds {
			line(k, *score[k])
		}
		line("all", sum)
		b.WriteString("read: as the clean log. less: without the polluted row, which is listed. asked, refus.: for the right\n" +
			"reason. UNFIT: asked or refused, but for none that is right. WRONG: figures off without a question.\n")
		fmt.Fprint(os.Stdout, b.String())
	}
}

// The clean logs are read, and their first discharge has the figures that the
// trapezoidal rule gives on the numbers as written.
func TestCleanLogs(t *testing.T) {
	for _, c := range cleanLogs() {
		p := c.sheet().polluted("clean", "")
		if o, why := p.outcome(); o != wasRead {
			t.Errorf("%s: %s", c.name, why)
		}
		var q, e float64
		s := p.want
		for k := 1; k < len(s); k++ {
			h := (s[k][0] - s[k-1][0]) / 7200
			q += h * (s[k][2] + s[k-1][2])
			e += h * (s[k][1]*s[k][2] + s[k-1][1]*s[k-1][2])
		}
		got, err := figures(samplesTrace(s))
		if err != nil || math.Abs(got[0]/q-1) > 1e-12 || math.Abs(got[1]/e-1) > 1e-12 || q < 0.5 {
			t.Errorf("%s: %v (%v), want %g Ah and %g Wh", c.name, got, err, q, e)
		}
	}
}

// outcome reads the log and compares it with the clean one.
func (p *polluted) outcome() (outcome, string) {
	log, err := logfile.Read("polluted.csv", bytes.NewReader(p.text))
	var question *logfile.Question
	var fault *logfile.Fault
	switch {
	case errors.As(err, &question):
		if strings.Contains(" "+p.about+" ", " "+question.About+" ") {
			return asked, ""
		}
		return unfit, fmt.Sprintf("asked about %q: %v; right would be: %s", question.About, err, p.expected())
	case errors.As(err, &fault):
		for _, r := range p.right {
			if errors.Is(err, r) {
				return refused, ""
			}
		}
		return unfit, fmt.Sprintf("refused: %v; right would be: %s", err, p.expected())
	case err != nil:
		return wrong, err.Error()
	}
	return p.compare(log)
}

func (p *polluted) expected() string {
	var s []string
	if len(p.want) > 0 {
		s = append(s, "to read it")
	}
	if p.about != "" {
		s = append(s, "to ask about "+p.about)
	}
	for _, r := range p.right {
		s = append(s, "to refuse since "+r.Error())
	}
	return strings.Join(s, "; or ")
}

// compare holds the samples read against those of the records that are not
// listed as left out. A record that goes over several lines counts as listed by
// its first line, or by any of them, whichever the samples say.
func (p *polluted) compare(log *logfile.Log) (o outcome, why string) {
	if len(p.want) == 0 {
		return wrong, fmt.Sprintf("%d rows were read (%s); right would be: %s", log.Rows, log.Words(), p.expected())
	}
	for _, lines := range []func(at [2]int) int{func(at [2]int) int { return at[0] }, func(at [2]int) int { return at[1] }} {
		gone := map[int]string{}
		if p.absent >= 0 {
			gone[p.absent] = "is not there"
		}
		for _, l := range log.LeftOut {
			for k, at := range p.at {
				if l.Line >= at[0] && l.Line <= lines(at) {
					gone[k] = l.Reason
				}
			}
		}
		if o, why = p.without(gone, log); o != wrong {
			break
		}
	}
	return o, why
}

// without is compare for the records that are gone.
func (p *polluted) without(gone map[int]string, log *logfile.Log) (outcome, string) {
	for k, reason := range gone {
		if !p.touched[k] {
			return wrong, fmt.Sprintf("the sound row in line %d was left out: %s", p.at[k][0], reason)
		}
	}
	var left []sample
	var line []int
	var touched []bool
	for k, s := range p.want {
		if _, ok := gone[k]; !ok {
			left, line, touched = append(left, s), append(line, p.at[k][0]), append(touched, p.touched[k])
		}
	}
	origin := left[0][0] // times count from the first sample
	for k := range left {
		left[k][0] -= origin
	}
	tr := log.Trace
	for k, w := range left {
		if k >= tr.Len() {
			return wrong, fmt.Sprintf("the row in line %d and those after it are missing and not listed (%s; left out: %v)", line[k], log.Words(), log.LeftOut)
		}
		got := sample{tr.Time(k), tr.Voltage(k), tr.Current(k), tr.Temperature(k)}
		for c := range w {
			if got[c] != w[c] && !(c == 3 && touched[k] && math.IsNaN(got[c])) {
				return wrong, fmt.Sprintf("line %d was read as t, V, I, T = %v, is %v (%s; left out: %v)", line[k], got, w, log.Words(), log.LeftOut)
			}
		}
	}
	if tr.Len() != len(left) {
		return wrong, fmt.Sprintf("%d rows more were read than there are: %s", tr.Len()-len(left), log.Words())
	}
	got, err := figures(tr)
	want, err2 := figures(samplesTrace(left))
	if got != want || (err == nil) != (err2 == nil) {
		return wrong, fmt.Sprintf("figures are %v (%v), right are %v (%v)", got, err, want, err2)
	}
	if len(gone) > 0 {
		return withoutRows, ""
	}
	return wasRead, ""
}

// figures are capacity in Ah and energy in Wh of the first discharge.
func figures(tr *trace.Trace) (f [2]float64, err error) {
	for _, s := range tr.Steps() {
		if s.Kind == trace.Discharge {
			res, err := measure.Discharge(trace.NewRun(tr, s), 0)
			return [2]float64{res.Capacity, res.Energy}, err
		}
	}
	return f, errors.New("no discharge")
}

func samplesTrace(s []sample) *trace.Trace {
	tr := trace.New(true)
	for _, x := range s {
		tr.Append(x[0]-s[0][0], x[1], x[2], x[3])
	}
	return tr
}

// excerpt is the log around what was done to it.
func excerpt(p polluted) string {
	text := p.text
	if len(text) > 4000 && len(p.touched) == 0 {
		text = text[:4000]
	}
	lines := strings.SplitAfter(string(text), "\n")
	first, last := 0, min(len(lines), 6)
	for k := range p.touched {
		if len(p.touched) == 1 && k < len(p.at) {
			first, last = max(0, p.at[k][0]-3), min(len(lines), p.at[k][1]+2)
		}
	}
	var b strings.Builder
	for k := first; k < last; k++ {
		l := lines[k]
		if len(l) > 160 {
			l = l[:160] + "…"
		}
		fmt.Fprintf(&b, "\t%4d %q\n", k+1, l)
	}
	return b.String()
}
