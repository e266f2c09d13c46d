package compare

import (
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"plateau/core/logfile"
	"plateau/core/trace"
)

// The cell of these tests, at each depth q in Ah.
func openVoltage(q float64) float64 { return 4.1 - 0.25*q - 0.02*q*q }
func inner(q float64) float64       { return 0.030 + 0.002*(q-2)*(q-2) }

// run is a discharge of that cell at a current in A to a depth in Ah, plus an
// offset in V; a sample each 10 s.
func run(current, to, offset float64) *trace.Run {
	tr := trace.New(false)
	for k := 0; ; k++ {
		t := float64(k) * 10
		q := current * t / 3600
		if q > to {
			break
		}
		tr.Append(t, openVoltage(q)-current*inner(q)+offset, current, 0)
	}
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: tr.Len()})
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.9g, want %.9g ± %g", what, got, want, tolerance)
	}
}

// Closed form: V = V0(q) − I·R(q) gives back V0 and R at every depth, with no
// standard error; between two samples the curves bend by less than 1e-6 V.
func TestResistanceMapClosedForm(t *testing.T) {
	runs := []*trace.Run{run(0.8, 4, 0), run(3, 3.9, 0), run(6, 3.5, 0), run(10, 3.0, 0)}
	points, why := ResistanceMap(runs, 50)
	if len(points) != 50 || why != "" {
		t.Fatalf("%d points, %q", len(points), why)
	}
	for k, p := range points {
		near(t, "R", p.R, inner(p.Q), 1e-6)
		near(t, "V0", p.V0, openVoltage(p.Q), 1e-5)
		if p.SER > 1e-6 || p.SEV0 > 1e-5 {
			t.Errorf("standard errors %g ohm, %g V", p.SER, p.SEV0)
		}
		want := 4
		if p.Q > runs[3].Last().Q {
			want = 3 // the fastest has ended
		}
		if p.N != want || p.DF != want-2 || k > 0 && !(p.Q > points[k-1].Q) {
			t.Errorf("at %g Ah %d runs, %d degrees of freedom, want %d runs", p.Q, p.N, p.DF, want)
		}
	}
	near(t, "first depth", points[0].Q, 0, 1e-12)
	near(t, "last depth", points[49].Q, runs[2].Last().Q, 1e-12)
}

// By hand: at 1, 2 and 3 A, a middle run that reads δ too high leaves the slope
// as it is, lifts the intercept by δ/3, and leaves residuals −δ/3, 2δ/3, −δ/3:
// s = δ·√(2/3), se(slope) = s/√2, se(intercept) = s·√(1/3 + 4/2).
func TestResistanceMapStandardErrors(t *testing.T) {
	const delta = 0.006
	points, why := ResistanceMap([]*trace.Run{run(1, 3, 0), run(2, 3, delta), run(3, 3, 0)}, 7)
	if len(points) != 7 {
		t.Fatalf("%d points, %q", len(points), why)
	}
	s := delta * math.Sqrt(2.0/3)
	for _, p := range points {
		near(t, "R", p.R, inner(p.Q), 1e-6)
		near(t, "V0", p.V0, openVoltage(p.Q)+delta/3, 1e-6)
		near(t, "se(R)", p.SER, s/math.Sqrt2, 1e-5)
		near(t, "se(V0)", p.SEV0, s*math.Sqrt(1.0/3+2), 1e-5)
		if p.DF != 1 {
			t.Errorf("%d degrees of freedom, want 1", p.DF)
		}
	}
}

func TestResistanceMapReasons(t *testing.T) {
	idle := trace.New(false)
	for k := range 10 {
		idle.Append(float64(k), 4, 0, 0)
	}
	nothing := trace.NewRun(idle, trace.Step{Kind: trace.Discharge, From: 0, To: 10})
	a, b, c := run(1, 3, 0), run(2, 3, 0), run(4, 3, 0)
	for _, tt := range []struct {
		name string
		runs []*trace.Run
		n    int
		want int
		why  string
	}{
		{"none", nil, 10, 0, "so far 0"},
		{"two rates", []*trace.Run{a, b, run(2.05, 3, 0), run(1, 3, 0)}, 10, 0, "so far 2"},
		{"one without current", []*trace.Run{a, b, nothing, nil}, 10, 0, "so far 2"},
		{"repeats count", []*trace.Run{a, a, b, b, c}, 10, 10, ""},
		{"one point asked", []*trace.Run{a, b, c}, -1, 2, ""},
		{"no depth in common", []*trace.Run{a, b, trace.NewRun(late(), trace.Step{Kind: trace.Discharge, From: 1, To: 3})}, 10, 0, "no depth in common"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			points, why := ResistanceMap(tt.runs, tt.n)
			if len(points) != tt.want || !strings.Contains(why, tt.why) || (why == "") != (tt.want > 0) {
				t.Errorf("%d points, %q; want %d, %q", len(points), why, tt.want, tt.why)
			}
			if tt.name == "repeats count" && points[0].N != 5 {
				t.Errorf("%d runs on the line, want 5", points[0].N)
			}
		})
	}
}

// late is a discharge whose first sample comes when 4 Ah are out.
func late() *trace.Trace {
	tr := trace.New(false)
	for k, t := range []float64{0, 5760, 5770} {
		tr.Append(t, 3.5, 5*float64(min(k, 1)), 0)
	}
	return tr
}

// Three rates of one real cell (G. Wiggins, S. Allu, H. Wang, Oak Ridge
// National Laboratory, DOI 10.5281/zenodo.2580327). Its resistance 60 s after a
// 1C step is 4.4 mΩ; over a whole discharge the faster runs are the hotter, so
// that the line reads lower than one temperature would.
func TestORNLResistanceMap(t *testing.T) {
	var runs []*trace.Run
	for _, name := range []string{"1C.csv", "2C.csv", "3C.csv"} {
		runs = append(runs, firstDischarge(t, name))
	}
	points, why := ResistanceMap(runs, 101)
	if len(points) != 101 {
		t.Fatalf("%d points, %q", len(points), why)
	}
	last := runs[2].Last().Q
	for k, p := range points {
		if p.N != 3 || p.DF != 1 || p.Q > last {
			t.Errorf("%+v: three runs end at %g Ah", p, last)
		}
		if share := p.Q / last; share > 0.2 && share < 0.8 {
			if p.R < 1.5e-3 || p.R > 6e-3 || !(p.SER > 0) {
				t.Errorf("%.2f Ah: %.2f mΩ, want 1.5 to 6", p.Q, 1000*p.R)
			}
			if p.V0 < 3.5 || p.V0 > 4.2 || k > 0 && p.V0 > points[k-1].V0+0.002 {
				t.Errorf("%.2f Ah: %.3f V at no current, want 3.5 to 4.2 and falling", p.Q, p.V0)
			}
		}
		if k%10 == 0 {
			t.Logf("%5.2f Ah: R %.3f mΩ (se %.3f), V0 %.4f V (se %.4f)", p.Q, 1000*p.R, 1000*p.SER, p.V0, p.SEV0)
		}
	}
}

// firstDischarge reads one of the open logs; the test is skipped where it is not.
func firstDischarge(t *testing.T, name string) *trace.Run {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference")
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		dir = env
	}
	f, err := os.Open(filepath.Join(dir, "ornl-multirate", name))
	if err != nil {
		t.Skip("the open data \"ornl-multirate\" is not here: this check is skipped")
	}
	defer f.Close()
	log, err := logfile.Read(name, f)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range log.Trace.Steps() {
		if r := trace.NewRun(log.Trace, s); s.Kind == trace.Discharge && r.Last().V <= 3 {
			return r
		}
	}
	t.Fatal("no discharge to 3 V")
	return nil
}
