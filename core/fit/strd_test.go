package fit

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// reference is the folder of published data beside the project; tests that
// need it are skipped where it is not.
func reference(t *testing.T, name string) string {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference", name)
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		dir = filepath.Join(env, name)
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("the published data %q is not here: this check is skipped", name)
	}
	return dir
}

// strd is a data set of the NIST Statistical Reference Datasets
// (itl.nist.gov/div898/strd), as its file has it.
type strd struct {
	text string
	data [][]float64 // rows, y first
}

func readSTRD(t *testing.T, name string) strd {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(reference(t, "nist-strd"), name+".dat"))
	if err != nil {
		t.Fatal(err)
	}
	s := strd{text: strings.ReplaceAll(string(text), "\r", "")}
	// The data come last: every line of numbers after the last line of words.
	lines := bufio.NewScanner(strings.NewReader(s.text))
	for lines.Scan() {
		var row []float64
		for _, field := range strings.Fields(lines.Text()) {
			x, err := strconv.ParseFloat(field, 64)
			if err != nil {
				row = nil
				s.data = nil
				break
			}
			row = append(row, x)
		}
		if row != nil {
			s.data = append(s.data, row)
		}
	}
	if len(s.data) < 3 {
		t.Fatalf("%s: %d rows of data", name, len(s.data))
	}
	return s
}

// certified are the numbers that follow a pattern in the part above the data.
func (s strd) certified(t *testing.T, pattern string) (all [][]float64) {
	t.Helper()
	for _, m := range regexp.MustCompile(`(?m)`+pattern).FindAllStringSubmatch(s.text, -1) {
		var row []float64
		for _, field := range m[1:] {
			x, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatalf("%q: %v", field, err)
			}
			row = append(row, x)
		}
		all = append(all, row)
	}
	if len(all) == 0 {
		t.Fatalf("nothing certified as %s", pattern)
	}
	return all
}

// digits is the log relative error: how many digits of got are right; at most
// 15, as many as are certified.
func digits(got, certified float64) float64 {
	d := math.Abs(got - certified)
	if certified != 0 {
		d /= math.Abs(certified)
	}
	if math.IsNaN(d) {
		return 0
	}
	return max(0, min(15, -math.Log10(d)))
}

const number = `(-?[\d.]+(?:[Ee][-+]?\d+)?)`

func TestSTRDUnivariate(t *testing.T) {
	for _, tt := range []struct {
		name          string
		mean, s, lag1 float64 // digits that must be right
	}{
		{"NumAcc1", 15, 15, 15},
		{"NumAcc2", 14, 13, 13},
		// No float64 holds the data: steps of 0.1 on 1e6 and 1e7 are off by 1e-10
		// and 1e-9 of a step, which leaves so many digits to any method.
		{"NumAcc3", 14, 9, 9},
		{"NumAcc4", 14, 8, 7.9},
		{"Michelso", 14, 12.5, 12},
		{"Mavro", 14, 12, 12},
		{"Lew", 14, 14, 13.5},
		{"Lottery", 14, 14, 13.5},
	} {
		t.Run(tt.name, func(t *testing.T) {
			set := readSTRD(t, tt.name)
			var y []float64
			for _, row := range set.data {
				y = append(y, row[0])
			}
			mean, s := stat.MeanStdDev(y, nil)
			var lag float64
			for i := 1; i < len(y); i++ {
				lag += (y[i-1] - mean) * (y[i] - mean)
			}
			lag /= s * s * float64(len(y)-1)
			dm := digits(mean, set.certified(t, `^Sample Mean.*?:\s*`+number)[0][0])
			ds := digits(s, set.certified(t, `^Sample Standard Dev.*:\s*`+number)[0][0])
			dr := digits(lag, set.certified(t, `^Sample Autocorr.*?r\(1\):\s*`+number)[0][0])
			t.Logf("digits: mean %.1f, standard deviation %.1f, lag-1 correlation %.1f", dm, ds, dr)
			if dm < tt.mean || ds < tt.s || dr < tt.lag1 {
				t.Errorf("want at least %g, %g and %g digits", tt.mean, tt.s, tt.lag1)
			}
		})
	}
}

func TestSTRDLinear(t *testing.T) {
	for _, tt := range []struct {
		name                 string
		degree               int     // of the polynomial; -1: the columns as they are; 0: no constant
		coefs, errors, whole float64 // digits that must be right: Coef, SE, S and R2
	}{
		{"Norris", 1, 11, 12, 12},
		{"Pontius", 2, 11, 12, 12},
		{"NoInt1", 0, 14, 14, 14},
		{"NoInt2", 0, 14, 14, 14},
		{"Longley", -1, 10, 11, 11},
		{"Wampler1", 5, 9, 9, 9},
		{"Wampler2", 5, 11, 13, 13},
		{"Wampler3", 5, 9, 11, 12},
		{"Wampler4", 5, 7, 11, 12},
		{"Wampler5", 5, 5.5, 11, 12},
	} {
		t.Run(tt.name, func(t *testing.T) {
			set := readSTRD(t, tt.name)
			x, y := set.model(tt.degree)
			f, err := Least(x, y)
			set.grade(t, "Least", f, err, tt.coefs, tt.errors, tt.whole)
			var column []float64
			for _, row := range set.data {
				column = append(column, row[1])
			}
			switch tt.degree {
			case 0:
				f, err = Proportional(column, y)
				set.grade(t, "Proportional", f, err, tt.coefs, tt.errors, tt.whole)
			case 1:
				f, err = Line(column, y)
				set.grade(t, "Line", f, err, tt.coefs, tt.errors, tt.whole)
			}
		})
	}
}

// model is X and y of a data set.
func (s strd) model(degree int) (x [][]float64, y []float64) {
	for _, row := range s.data {
		y = append(y, row[0])
		switch degree {
		case -1:
			x = append(x, append([]float64{1}, row[1:]...))
		case 0:
			x = append(x, row[1:])
		default:
			x = append(x, powers(row[1], degree))
		}
	}
	return x, y
}

func powers(x float64, degree int) []float64 {
	row := []float64{1}
	for k := range degree {
		row = append(row, row[k]*x)
	}
	return row
}

// grade compares a fit with what is certified.
func (s strd) grade(t *testing.T, by string, f Fit, err error, coefs, errors, whole float64) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", by, err)
		return
	}
	want := s.certified(t, `^\s*B\d+\s+`+number+`\s+`+number+`\s*$`)
	sd := s.certified(t, `^\s*Standard Deviation\s+`+number)[0][0]
	r2 := s.certified(t, `^\s*R-Squared\s+`+number)[0][0]
	if len(f.Coef) != len(want) || len(f.SE) != len(want) || f.DF != len(s.data)-len(want) {
		t.Fatalf("%s: %d coefficients, want %d", by, len(f.Coef), len(want))
	}
	dc, de := 15.0, 15.0
	for i, row := range want {
		dc = min(dc, digits(f.Coef[i], row[0]))
		de = min(de, digits(f.SE[i], row[1]))
	}
	ds, dr := digits(f.S, sd), digits(f.R2, r2)
	t.Logf("%s, digits: coefficients %.1f, standard errors %.1f, S %.1f, R2 %.1f", by, dc, de, ds, dr)
	if dc < coefs || de < errors || min(ds, dr) < whole {
		t.Errorf("%s: want at least %g, %g and %g digits", by, coefs, errors, whole)
	}
}

// Filip is of the highest difficulty: a polynomial of degree 10 whose powers
// are alike to fifteen digits. It is fitted as it is, and in powers about the
// middle of x, which leave the top coefficient what it is but for the scale.
func TestSTRDFilip(t *testing.T) {
	set := readSTRD(t, "Filip")
	x, y := set.model(10)
	f, err := Least(x, y)
	set.grade(t, "Least, powers of x", f, err, 6, 6, 6)
	for i, row := range set.data {
		x[i] = powers((row[1]+6)/3, 10)
	}
	if f, err = Least(x, y); err != nil {
		t.Fatal(err)
	}
	ds := digits(f.S, set.certified(t, `^\s*Standard Deviation\s+`+number)[0][0])
	dr := digits(f.R2, set.certified(t, `^\s*R-Squared\s+`+number)[0][0])
	top := set.certified(t, `^\s*B10\s+`+number+`\s+`+number+`\s*$`)[0]
	scale := math.Pow(3, -10)
	dc, de := digits(f.Coef[10]*scale, top[0]), digits(f.SE[10]*scale, top[1])
	t.Logf("powers of (x + 6)/3, digits: S %.1f, R2 %.1f, top coefficient %.1f, its standard error %.1f", ds, dr, dc, de)
	if ds < 9 || dr < 9 || dc < 7 || de < 9 {
		t.Error("want at least 9, 9, 7 and 9 digits")
	}
}
