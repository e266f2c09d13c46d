package typed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"plateau/core/quantity"
)

func ion(string) (float64, float64, bool) { return 2.5, 4.2, false }

// row is one as typed with three decimals.
func row(amps, ah, wh float64) Row {
	return retyped(Row{Cell: "Elm", Current: amps, CapacityText: fmt.Sprintf("%.3f", ah), EnergyText: fmt.Sprintf("%.2f", wh)})
}

// retyped reads the texts again.
func retyped(r Row) Row {
	fmt.Sscan(strings.Replace(r.CapacityText, ",", ".", 1), &r.Capacity)
	fmt.Sscan(strings.Replace(r.EnergyText, ",", ".", 1), &r.Energy)
	return r
}

func TestCheck(t *testing.T) {
	sound := []Row{row(1, 5.002, 17.96), row(3, 4.951, 17.26), row(6, 4.894, 16.44), row(12, 4.828, 15.43)}
	if got := Check(sound, ion, quantity.Words{}); len(got) > 0 {
		t.Errorf("sound rows: %+v", got)
	}
	change := func(k int, ah, wh string) []Row {
		rows := append([]Row{}, sound...)
		r := rows[k]
		if ah != "" {
			r.CapacityText = ah
		}
		if wh != "" {
			r.EnergyText = wh
		}
		rows[k] = retyped(r)
		return rows
	}
	for _, tt := range []struct {
		name     string
		rows     []Row
		at       int
		severity string
		offer    string
	}{
		{"swapped in Wh", change(1, "", "12.76"), 1, "caution", "17.26"},
		{"changed in Ah", change(2, "4.294", ""), 2, "caution", "4.894"},
		{"decimal comma kept", change(1, "", "12,76"), 1, "caution", "17,26"},
		{"mark misplaced", change(0, "50.02", ""), 0, "fault", "5.002"},
		{"milliampere-hours", change(3, "4828", ""), 3, "fault", "4828 mAh"},
		{"digit left out", change(2, "", "1.44"), 2, "fault", "16.44"},
		{"alone", []Row{row(1, 5.002, 71.96)}, 0, "fault", "17.96"},
		{"rising", []Row{row(1, 5.002, 16.96), row(3, 4.951, 17.26)}, 1, "caution", ""},
		{"capacity rising", []Row{row(1, 4.0, 14.36), row(3, 4.951, 17.26)}, 1, "note", ""},
		{"out of the habitual band", []Row{row(1, 5.002, 19.6)}, 0, "note", ""},
	} {
		got := Check(tt.rows, ion, quantity.Words{})
		if len(got) != 1 || got[0].Row != tt.at || got[0].Severity != tt.severity || got[0].Says == "" || got[0].Rule == "" || got[0].Source == "" {
			t.Errorf("%s: %+v", tt.name, got)
			continue
		}
		found := tt.offer == ""
		for _, o := range got[0].Offers {
			found = found || o.Text == tt.offer
		}
		if !found {
			t.Errorf("%s: %q is not among %+v", tt.name, tt.offer, got[0].Offers)
		}
	}
}

func TestNothingToCheck(t *testing.T) {
	nan := math.NaN()
	for _, rows := range [][]Row{nil, {{}}, {{Cell: "Elm", Capacity: nan, Energy: 3}}, {{Capacity: math.Inf(1), Energy: 1}}, {{Current: nan, Capacity: 3, Energy: 11}}} {
		Check(rows, ion, quantity.Words{})
	}
	same := []Row{row(1, 5, 17.9), row(1, 5, 17.9), row(1, 5, 17.8)}
	if got := Check(same, ion, quantity.Words{}); len(got) > 0 {
		t.Errorf("equal currents: %+v", got)
	}
}

// Slips of every kind in rows of made-up cells whose voltage falls with the
// current in a curve: how many that move the average voltage by more than 5 %
// are seen, and how often the true reading is among the offers. The bars lie
// just below what was measured.
func TestSlips(t *testing.T) {
	rng := rand.New(rand.NewPCG(61960, 3))
	var moved, seen, offered, wrong, falseAlarms, cells int
	for range 3000 {
		cells++
		q, v0, r := 2+4*rng.Float64(), 3.58+0.1*rng.Float64(), 0.01+0.025*rng.Float64()
		var rows []Row
		for _, it := range []float64{0.2, 0.6, 1.2, 2.4}[:3+rng.IntN(2)] {
			i := it * q
			ah := q * (1 - 0.012*it + 0.004*rng.NormFloat64()/2)
			v := v0 - r*i/(1+0.03*i) // heating bends it
			rows = append(rows, row(i, ah, ah*v*(1+0.001*rng.NormFloat64())))
		}
		for _, m := range Check(rows, ion, quantity.Words{}) {
			if m.Severity != "note" {
				falseAlarms++
			}
		}
		k := rng.IntN(len(rows))
		was := rows[k]
		text := &rows[k].CapacityText
		if rng.IntN(2) == 0 {
			text = &rows[k].EnergyText
		}
		truth := *text
		all := readings(truth)
		*text = all[rng.IntN(len(all))].text
		rows[k] = retyped(rows[k])
		if !(rows[k].Capacity > 0) || !(rows[k].Energy > 0) || math.Abs(rows[k].Energy/rows[k].Capacity/(was.Energy/was.Capacity)-1) < 0.05 {
			continue
		}
		moved++
		ok, there, other := false, false, false
		for _, m := range Check(rows, ion, quantity.Words{}) {
			switch {
			case m.Severity == "note":
			case m.Row == k:
				ok = true
				for _, o := range m.Offers {
					there = there || o.Text == truth
				}
			default:
				other = true
			}
		}
		if ok {
			seen++
		}
		if there {
			offered++
		}
		if other {
			wrong++
		}
	}
	share := func(n int) float64 { return 100 * float64(n) / float64(moved) }
	t.Logf("%d cells: %d false alarms; of %d slips %.1f %% seen at their row, %.1f %% with the true reading offered, %.1f %% with an alarm at another row",
		cells, falseAlarms, moved, share(seen), share(offered), share(wrong))
	if falseAlarms > 0 || share(seen) < 94 || share(offered) < 93 || share(wrong) > 6 {
		t.Error("a bar is missed")
	}
}
