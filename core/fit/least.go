package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"plateau/core/say"
)

// Least fits y = X·β, x[i] being row i of X: a model with a constant has a
// column of ones. There are as many rows as values in y, all of one length, and
// no fewer rows than columns. R2 is about the mean where a column of X is
// constant, else about zero.
//
// It is solved by Householder reflections with column pivoting (Businger and
// Golub, Numerische Mathematik 7 (1965) 269-276). They are written out here,
// since gonum's would make the program 43 kB larger (lapack, Dgels) or 74 kB
// (mat, QR), compressed.
func Least(x [][]float64, y []float64) (Fit, error) {
	n, p := len(x), 0
	if n > 0 {
		p = len(x[0])
	}
	if p == 0 {
		return Fit{}, say.Error("%w: there is nothing to fit", ErrTooFew)
	}
	for i, row := range x {
		if len(row) != p {
			return Fit{}, fmt.Errorf("%w: row %d has %d values, the first one %d", ErrLengths, i+1, len(row), p)
		}
	}
	if err := check(n, len(y), p, append([][]float64{y}, x...)...); err != nil {
		return Fit{}, err
	}
	q := decompose(x, y)
	if !(q.rank() == p) {
		return Fit{}, ErrCollinear
	}
	f := Fit{Coef: q.solve(q.y[:p]), DF: n - p}
	unit := make([]float64, p)
	for k := range p { // row norms of R⁻¹ are the roots of the diagonal of (XᵀX)⁻¹
		e := make([]float64, p)
		e[k] = 1
		for j, v := range q.solve(e) {
			unit[j] += float64(v * v)
		}
	}
	for j, v := range unit {
		unit[j] = math.Sqrt(v)
	}
	var rss float64
	for _, v := range q.y[p:] {
		rss += float64(v * v)
	}
	f.grade(rss, total(x, y), unit)
	return f, f.finite()
}

// total is the sum of squares of y, about its mean where x has a constant.
func total(x [][]float64, y []float64) (sum float64) {
	for j, first := range x[0] {
		same := first != 0
		for _, row := range x {
			same = same && row[j] == first
		}
		if same {
			_, variance := stat.MeanVariance(y, nil)
			return variance * float64(len(y)-1)
		}
	}
	for _, v := range y {
		sum += float64(v * v)
	}
	return sum
}

// triangle is X·P = Q·R: the columns of R, scaled, and Qᵀy.
type triangle struct {
	cols  [][]float64 // upper triangle, column by column, in the order of pivots
	at    []int       // the column of X that each comes from
	scale []float64   // what it was multiplied by, a power of two
	y     []float64
}

func decompose(x [][]float64, y []float64) *triangle {
	n, p := len(x), len(x[0])
	q := &triangle{y: append([]float64(nil), y...)}
	for j := range p {
		col := make([]float64, n)
		var top float64
		for i := range col {
			col[i] = x[i][j]
			top = max(top, math.Abs(col[i]))
		}
		// To about one, exactly: a power of two rounds nothing.
		_, exp := math.Frexp(top)
		for i := range col {
			col[i] = math.Ldexp(col[i], -exp)
		}
		q.cols = append(q.cols, col)
		q.at = append(q.at, j)
		q.scale = append(q.scale, math.Ldexp(1, -exp))
	}
	for k := range p {
		q.pivot(k)
		v := q.cols[k]
		size := length(v[k:])
		if size == 0 {
			break
		}
		if v[k] > 0 {
			size = -size
		}
		// The reflection I − v·vᵀ/h takes the column to (size, 0, …, 0).
		h := float64(size*size) - float64(size*v[k])
		v[k] -= size
		for _, w := range append(q.cols[k+1:len(q.cols):len(q.cols)], q.y) {
			var dot float64
			for i := k; i < n; i++ {
				dot += float64(v[i] * w[i])
			}
			dot /= h
			for i := k; i < n; i++ {
				w[i] -= float64(dot * v[i])
			}
		}
		v[k] = size
	}
	return q
}

// pivot puts the longest of the columns left to position k.
func (q *triangle) pivot(k int) {
	longest, top := k, -1.0
	for j := k; j < len(q.cols); j++ {
		if l := length(q.cols[j][k:]); l > top {
			longest, top = j, l
		}
	}
	q.cols[k], q.cols[longest] = q.cols[longest], q.cols[k]
	q.at[k], q.at[longest] = q.at[longest], q.at[k]
	q.scale[k], q.scale[longest] = q.scale[longest], q.scale[k]
}

// rank counts the columns that are more than the rounding of the others.
func (q *triangle) rank() (rank int) {
	limit := float64(len(q.y)) * epsilon * math.Abs(q.cols[0][0])
	for k := range q.cols {
		if math.Abs(q.cols[k][k]) > limit {
			rank++
		}
	}
	return rank
}

// solve gives β of R·β = b, in the order and the scale of X's columns.
func (q *triangle) solve(b []float64) []float64 {
	p := len(q.cols)
	out := append([]float64(nil), b...)
	for k := p - 1; k >= 0; k-- {
		out[k] /= q.cols[k][k]
		for i := range k {
			out[i] -= float64(q.cols[k][i] * out[k])
		}
	}
	beta := make([]float64, p)
	for k, v := range out {
		beta[q.at[k]] = v * q.scale[k]
	}
	return beta
}

func length(v []float64) float64 {
	var sum float64
	for _, x := range v {
		sum += float64(x * x)
	}
	return math.Sqrt(sum)
}
