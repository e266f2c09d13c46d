package fit

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Savitzky and Golay, Analytical Chemistry 36 (1964) 1627-1639, tables I to V as
// corrected by Steinier and others, Analytical Chemistry 44 (1972) 1906; worked
// out anew in fractions, which is what stands here.
func TestSavitzkyGolayPublished(t *testing.T) {
	for _, tt := range []struct {
		window, degree, derivative int
		weights                    []float64
		divisor                    float64
	}{
		{5, 2, 0, []float64{-3, 12, 17, 12, -3}, 35},
		{5, 3, 0, []float64{-3, 12, 17, 12, -3}, 35},
		{7, 2, 0, []float64{-2, 3, 6, 7, 6, 3, -2}, 21},
		{7, 3, 0, []float64{-2, 3, 6, 7, 6, 3, -2}, 21},
		{9, 2, 0, []float64{-21, 14, 39, 54, 59, 54, 39, 14, -21}, 231},
		{9, 3, 0, []float64{-21, 14, 39, 54, 59, 54, 39, 14, -21}, 231},
		{7, 4, 0, []float64{5, -30, 75, 131, 75, -30, 5}, 231},
		{7, 5, 0, []float64{5, -30, 75, 131, 75, -30, 5}, 231},
		{5, 2, 1, []float64{-2, -1, 0, 1, 2}, 10},
		{7, 2, 1, []float64{-3, -2, -1, 0, 1, 2, 3}, 28},
		{9, 2, 1, []float64{-4, -3, -2, -1, 0, 1, 2, 3, 4}, 60},
		{7, 4, 1, []float64{22, -67, -58, 0, 58, 67, -22}, 252},
	} {
		got, err := SavitzkyGolay(tt.window, tt.degree, tt.derivative)
		if err != nil || len(got) != tt.window {
			t.Fatalf("%d, %d, %d: %d weights, %v", tt.window, tt.degree, tt.derivative, len(got), err)
		}
		for i, w := range tt.weights {
			if d := got[i] - w/tt.divisor; math.Abs(d) > 1e-14 {
				t.Errorf("%d, %d, %d: weight %d is %.16g, want %g/%g", tt.window, tt.degree, tt.derivative, i, got[i], w, tt.divisor)
			}
		}
	}
}

// A polynomial of the degree or below passes unchanged, ends included, and its
// derivatives come out exact.
func TestSmoothKeepsPolynomials(t *testing.T) {
	const h, n = 0.05, 41
	y := make([]float64, n)
	for i := range y {
		x := h * float64(i)
		y[i] = 3 - 2*x + 0.5*x*x*x
	}
	for derivative, want := range []func(x float64) float64{
		func(x float64) float64 { return 3 - 2*x + 0.5*x*x*x },
		func(x float64) float64 { return -2 + 1.5*x*x },
		func(x float64) float64 { return 3 * x },
		func(x float64) float64 { return 3 },
	} {
		for _, window := range []int{5, 11, 41} {
			got, err := Smooth(y, window, 3, derivative, h)
			if err != nil {
				t.Fatal(err)
			}
			for i := range got {
				near(t, "derivative", got[i], want(h*float64(i)), 1e-12/math.Pow(h, float64(derivative)))
			}
		}
	}
	// A falling grid: the spacing is negative and so is the first derivative's
	// sign.
	up, _ := Smooth(y, 7, 2, 1, h)
	down, _ := Smooth(y, 7, 2, 1, -h)
	for i := range up {
		near(t, "falling", down[i], -up[i], 1e-14)
	}
}

// scipy's savgol_filter, mode "interp"; testdata/scipy/make.py makes the file,
// which names its version.
func TestSmoothAgreesWithScipy(t *testing.T) {
	var input []float64
	compared, worst := 0, 0.0
	for _, row := range fixture(t, "savgol.csv") {
		if row[1] == "input" {
			input = numbers(t, row[5:])
			continue
		}
		how := numbers(t, row[1:4])
		window, degree, derivative := int(how[0]), int(how[1]), int(how[2])
		want := numbers(t, row[5:])
		got, err := Smooth(input, window, degree, derivative, numbers(t, row[4:5])[0])
		if err != nil {
			t.Fatal(err)
		}
		tolerance := 1e-10
		if derivative == 3 {
			// Its differences cancel to some 1e-5 of y, and scipy's weights are off by
			// 1e-11: those of [TestWeightsInFractions] show which one is right.
			tolerance = 1e-9
		}
		var size float64
		for _, w := range want {
			size = max(size, math.Abs(w))
		}
		for i, w := range want {
			d := math.Abs(got[i]-w) / size
			worst = max(worst, d)
			if !(d <= tolerance) {
				t.Errorf("%s, %d, %d, %d: point %d is %.15g, scipy has %.15g", row[0], window, degree, derivative, i, got[i], w)
			}
		}
		compared++
	}
	t.Logf("%d curves, off by %.1g of their largest value at most", compared, worst)
	if compared != 39 {
		t.Errorf("%d curves compared, want 39", compared)
	}
}

// The weights of the same windows in exact fractions, by the same script.
func TestWeightsInFractions(t *testing.T) {
	rows := fixture(t, "weights.csv")
	for _, row := range rows {
		how := numbers(t, row[:3])
		window := int(how[0])
		want := numbers(t, row[3:3+window])
		got, err := SavitzkyGolay(window, int(how[1]), int(how[2]))
		if err != nil {
			t.Fatal(err)
		}
		var size float64
		for _, w := range want {
			size = max(size, math.Abs(w))
		}
		for i := range want {
			near(t, "weight", got[i], want[i], 1e-14*size)
		}
	}
	if len(rows) != 13 {
		t.Errorf("%d windows, want 13", len(rows))
	}
}

// fixture is the rows below the header of a file in testdata/scipy.
func fixture(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "scipy", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func numbers(t *testing.T, fields []string) (all []float64) {
	t.Helper()
	for _, s := range fields {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, x)
	}
	return all
}
