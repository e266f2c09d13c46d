package compare

import (
	"slices"
	"sort"
	"strconv"
)

// column is the places that share one letter.
type column []bool

func (c column) within(d column) bool {
	for i, in := range c {
		if in && !d[i] {
			return false
		}
	}
	return true
}

// Letters is the compact letter display of n places in order: two share a
// letter exactly where they are not told apart. By insert and absorb, with a
// sweep for what is redundant: H.-P. Piepho, An algorithm for a letter-based
// representation of all-pairwise comparisons, Journal of Computational and
// Graphical Statistics 13 (2004) 456-466. Right for any pattern, also where
// unequal uncertainties tell two near ones apart and two far ones not. told is
// asked for i < j. Letters come in the order of the places, the first has a;
// after z comes a2.
func Letters(n int, told func(i, j int) bool) []string {
	names := make([]string, n)
	if n == 0 {
		return names
	}
	all := make(column, n)
	for i := range all {
		all[i] = true
	}
	columns := []column{all}
	for i := range n {
		for j := i + 1; j < n; j++ {
			if !told(i, j) {
				continue
			}
			columns = insert(columns, i, j)
			if len(columns) > 2*n {
				// Else there may come to be 3^(n/3) of them.
				columns = sweep(columns, false)
			}
		}
	}
	columns = sweep(sweep(columns, false), true)
	sort.SliceStable(columns, func(j, k int) bool {
		for i, a := range columns[j] {
			if a != columns[k][i] {
				return a
			}
		}
		return false
	})
	for k, c := range columns {
		letter := string(rune('a' + k%26))
		if k >= 26 {
			letter += strconv.Itoa(k/26 + 1)
		}
		for i, in := range c {
			if in {
				names[i] += letter
			}
		}
	}
	return names
}

// insert splits every column that holds both i and j into one without either,
// and absorbs those that are then part of another.
func insert(columns []column, i, j int) []column {
	var kept, split []column
	for _, c := range columns {
		if !c[i] || !c[j] {
			kept = append(kept, c)
			continue
		}
		d := slices.Clone(c)
		c[i], d[j] = false, false
		split = append(split, c, d)
	}
	// What was whole is part of none that was not, which were no part of it.
	for k, c := range split {
		if slices.ContainsFunc(kept, c.within) || slices.ContainsFunc(split[k+1:], c.within) {
			continue
		}
		kept = append(kept, c)
	}
	return kept
}

// sweep takes away whole columns whose pairs are in others as well, or with
// single letters set each letter that is not needed.
func sweep(columns []column, single bool) []column {
	n := len(columns[0])
	shared := make([]int, n*n) // columns that hold both; on the diagonal, letters
	count := func(c column, i, by int) {
		for j, in := range c {
			if in {
				shared[i*n+j] += by
				if i != j {
					shared[j*n+i] += by
				}
			}
		}
	}
	each := func(c column, by int) {
		for i, in := range c {
			for j := i; in && j < n; j++ {
				if c[j] {
					shared[i*n+j] += by
					if i != j {
						shared[j*n+i] += by
					}
				}
			}
		}
	}
	spare := func(c column, i int) bool {
		for j, in := range c {
			if in && shared[i*n+j] < 2 {
				return false
			}
		}
		return true
	}
	for _, c := range columns {
		each(c, 1)
	}
	// From the last on, so that the early ones stay whole.
	for k := len(columns) - 1; k >= 0; k-- {
		c := columns[k]
		needed := false
		for i, in := range c {
			switch {
			case !in:
			case !single:
				needed = needed || !spare(c, i)
			case spare(c, i):
				count(c, i, -1)
				c[i] = false
			default:
				needed = true
			}
		}
		if !needed {
			each(c, -1)
			columns = slices.Delete(columns, k, k+1)
		}
	}
	return columns
}
