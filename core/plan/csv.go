package plan

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"time"

	"plateau/core/publish"
)

var csvHeads = []string{"order", "channel", "cell", "run", "attempt", "asked_A", "asked_It", "set_A", "rate_It", "deviation_percent",
	"cutoff_V", "set_cutoff_V", "lead_drop_V", "charge_A", "charge_V", "charge_end_A",
	"empty_start", "charge_start", "charge_end", "rest_h", "discharge_start", "discharge_end", "hours", "log_name", "done", "left_out"}

// CSV writes a plan as RFC 4180 text, one run a row and then the runs that are
// left out: a header, CRLF line ends, the decimal point whatever the locale, an
// empty field where there is no value, times as RFC 3339 has them. A name that a
// spreadsheet would take for a formula gets an apostrophe. Of the runs that t has
// done it says so.
func CSV(w io.Writer, p Plan, t Ticked) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := [][]string{csvHeads}
	for k := range p.Runs {
		r := &p.Runs[k]
		c, d := r.Charges(), r.Discharges()
		rows = append(rows, []string{strconv.Itoa(k + 1), strconv.Itoa(r.Channel), publish.CSVText(r.Cell), r.Basis.String(), strconv.Itoa(r.Attempt),
			number(r.Asked), number(r.AskedIt), number(r.Set), number(r.Rate), percent(r.Deviation), number(r.Cutoff), number(r.SetCutoff), number(r.Drop),
			number(r.ChargeAmps), number(r.ChargeTo), number(r.ChargeEnd),
			stamp(r.step(Empty).Start), stamp(c.Start), stamp(c.End), number(r.rested().Hours()), stamp(d.Start), stamp(d.End), number(r.Hours()),
			publish.CSVText(p.LogName(r)), map[bool]string{true: "yes"}[t.Fulfilled(k)], ""})
	}
	for k := range p.Left {
		l := &p.Left[k]
		row := make([]string, len(csvHeads))
		row[2], row[3], row[5], row[6], row[len(row)-1] = publish.CSVText(l.Cell), l.Basis.String(), number(l.Asked), number(l.AskedIt), publish.CSVText(l.Why)
		rows = append(rows, row)
	}
	return out.WriteAll(rows)
}

// rested is the rest between charge and discharge.
func (r *Run) rested() time.Duration {
	for k, s := range r.Steps {
		if s.Kind == Discharge && k > 0 {
			return r.Steps[k-1].Lasts
		}
	}
	return 0
}

// number is a value above zero, or empty.
func number(x float64) string {
	if !(x > 0) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64)
}

func percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 3, 64) }

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}
