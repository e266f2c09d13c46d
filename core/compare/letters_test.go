package compare

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// letterSet takes a display apart: a letter and the number behind it are one.
func letterSet(s string) (set []string) {
	for _, r := range s {
		if r >= '0' && r <= '9' {
			set[len(set)-1] += string(r)
		} else {
			set = append(set, string(r))
		}
	}
	return set
}

func share(a, b []string) int {
	n := 0
	for _, s := range a {
		if slices.Contains(b, s) {
			n++
		}
	}
	return n
}

// faithful holds a display to what it is for: two share a letter exactly where
// not told apart, none is without one, and none of the letters can go.
func faithful(t *testing.T, n int, told func(i, j int) bool) []string {
	t.Helper()
	names := Letters(n, told)
	sets := make([][]string, n)
	for i, s := range names {
		sets[i] = letterSet(s)
		if len(sets[i]) == 0 {
			t.Fatalf("place %d has no letter: %q", i, names)
		}
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			if (share(sets[i], sets[j]) == 0) != told(i, j) {
				t.Fatalf("%d and %d share %d letters, told apart %v: %q", i, j, share(sets[i], sets[j]), told(i, j), names)
			}
		}
		for _, letter := range sets[i] {
			needed := len(sets[i]) == 1
			for j := range n {
				needed = needed || j != i && slices.Contains(sets[j], letter) && share(sets[i], sets[j]) == 1
			}
			if !needed {
				t.Fatalf("%q of place %d is not needed: %q", letter, i, names)
			}
		}
	}
	if n > 0 && sets[0][0] != "a" {
		t.Fatalf("the first place has %q", names[0])
	}
	return names
}

func by(pairs ...[2]int) func(i, j int) bool {
	return func(i, j int) bool { return slices.Contains(pairs, [2]int{i, j}) }
}

func TestLettersByHand(t *testing.T) {
	for _, tt := range []struct {
		name string
		n    int
		told func(i, j int) bool
		want string
	}{
		{"none told apart", 3, by(), "a a a"},
		{"all", 3, by([2]int{0, 1}, [2]int{0, 2}, [2]int{1, 2}), "a b c"},
		{"the ends", 3, by([2]int{0, 2}), "a ab b"},
		{"one in front", 3, by([2]int{0, 1}, [2]int{0, 2}), "a b b"},
		// An uncertain one in the middle of two sure ones of other figures.
		{"first and second alone", 3, by([2]int{0, 1}), "a b ab"},
		{"two chains", 4, by([2]int{0, 2}, [2]int{1, 3}, [2]int{0, 3}), "a ab bc c"},
		// A ring: 0-1, 1-2, 2-3, 3-0 not told apart. No sorted sweep does it.
		{"ring", 4, by([2]int{0, 2}, [2]int{1, 3}), "ab ac cd bd"},
		{"one", 1, by(), "a"},
		{"no place", 0, by(), ""},
	} {
		if got := strings.Join(faithful(t, tt.n, tt.told), " "); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// Eight treatments with 1-7, 1-8, 2-4, 2-5 and 3-5 told apart: the example that
// Piepho's paper works through, its pairs from memory. The letters were worked
// out anew by hand. 1 goes with 2 and 3, and with 4 and 5; so do 7 and 8; and 3
// with 4: five groups, none of which holds two of the others' pairs.
func TestLettersPiepho(t *testing.T) {
	told := by([2]int{0, 6}, [2]int{0, 7}, [2]int{1, 3}, [2]int{1, 4}, [2]int{2, 4})
	names := faithful(t, 8, told)
	var all []string
	for _, s := range names {
		all = append(all, letterSet(s)...)
	}
	slices.Sort(all)
	if n := len(slices.Compact(all)); n != 5 {
		t.Errorf("%d letters, want 5: %q", n, names)
	}
}

// Any pattern, whole or thin, and orders of means with unlike uncertainties.
func TestLettersRandom(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 204))
	for range 1500 {
		n := 1 + rng.IntN(10)
		dense := rng.Float64()
		told := make([]bool, n*n)
		for i := range told {
			told[i] = rng.Float64() < dense
		}
		faithful(t, n, func(i, j int) bool { return told[i*n+j] })
	}
	for range 100 {
		n := 2 + rng.IntN(30)
		means, us := make([]float64, n), make([]float64, n)
		for i := range means {
			means[i], us[i] = 10*rng.Float64(), rng.Float64()
		}
		slices.Sort(means)
		faithful(t, n, func(i, j int) bool { return means[j]-means[i] > us[i]+us[j] })
	}
}

// More than there are letters, and patterns with 3^(n/3) largest groups.
func TestLettersMany(t *testing.T) {
	names := faithful(t, 60, func(i, j int) bool { return true })
	if names[25] != "z" || names[26] != "a2" || names[59] != "h3" {
		t.Errorf("%q", names)
	}
	start := time.Now()
	for _, n := range []int{21, 40} {
		faithful(t, n, func(i, j int) bool { return i/3 == j/3 })
		faithful(t, n, func(i, j int) bool { return i/2 == j/2 })
		faithful(t, n, func(i, j int) bool { return (i*7+j*13)%5 < 2 })
	}
	if d := time.Since(start); d > 20*time.Second {
		t.Errorf("took %v", d)
	}
}
