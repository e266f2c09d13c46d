package trace

import (
	"encoding/binary"
	"math"

	"plateau/core/say"
)

// Errors of [ReadColumns].
var (
	errColumnsShort   = say.LaterError("the columns are cut short")
	errColumnsVersion = say.LaterError("the columns are in a form that is not known here")
	errColumnsLong    = say.LaterError("something follows the columns")
	errColumnCoding   = say.LaterError("its coding is not known here")
)

// ReadColumns reads what [Trace.AppendColumns] wrote. Traces of more than most
// samples are refused, before any memory is taken for them. The error says where
// in b it lies.
func ReadColumns(b []byte, most int) (*Trace, error) {
	r := columnReader{b: b}
	if len(b) < 1 || b[0] != columnsFormat {
		return nil, errColumnsVersion
	}
	r.at = 1
	n := r.uvarint()
	has := r.byte()
	switch {
	case r.short:
		return nil, errColumnsShort
	case n > uint64(most):
		return nil, say.Error("the trace has %d samples, more than %d", n, most)
	case n > uint64(len(b)): // a sample takes a byte in each column at least
		return nil, errColumnsShort
	case has >= 2<<counters:
		return nil, errColumnsVersion
	}
	tr := New(has&1 != 0)
	for c := range counters {
		tr.has[c] = has&(2<<c) != 0
	}
	for range (n + SegmentLen - 1) / SegmentLen {
		tr.grow()
	}
	tr.n = int(n)
	for c := range columnCount {
		if !tr.hasColumn(c) {
			continue
		}
		if err := r.column(tr, c); err != nil {
			return nil, say.Error("column %s, before byte %d: %w", say.Text(columnNames[c]), r.at, err)
		}
	}
	if r.at < len(b) {
		return nil, errColumnsLong
	}
	if err := tr.sound(); err != nil {
		return nil, err
	}
	return tr, nil
}

type columnReader struct {
	b     []byte
	at    int
	short bool
}

func (r *columnReader) byte() byte {
	if r.at >= len(r.b) {
		r.short = true
		return 0
	}
	r.at++
	return r.b[r.at-1]
}

func (r *columnReader) uvarint() uint64 {
	if r.at < len(r.b) && r.b[r.at] < 0x80 {
		r.at++
		return uint64(r.b[r.at-1])
	}
	x, n := binary.Uvarint(r.b[r.at:])
	if n <= 0 {
		r.short, r.at = true, len(r.b)
		return 0
	}
	r.at += n
	return x
}

// float is one of eight bytes, or of four.
func (r *columnReader) float(narrow bool) float64 {
	size := 8
	if narrow {
		size = 4
	}
	if len(r.b)-r.at < size {
		r.short, r.at = true, len(r.b)
		return 0
	}
	at := r.b[r.at:]
	r.at += size
	if narrow {
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(at)))
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(at))
}

// column fills one column of a trace that has room for it.
func (r *columnReader) column(tr *Trace, c int) error {
	coding := r.byte()
	length := r.uvarint()
	if r.short || length > uint64(len(r.b)-r.at) {
		return errColumnsShort
	}
	decimals := coding & 0x0f
	if coding != 0 && (coding&codedDecimal == 0 || decimals > mostDecimals || coding > codedDecimal|codedTwice|codedCorrected|0x0f) {
		return errColumnCoding
	}
	in := columnReader{b: r.b[:r.at+int(length)], at: r.at}
	power := 1.0
	for range decimals {
		power *= 10
	}
	var last, lastDiff int64
	eachSample(tr, c, func(float64) float64 {
		if coding == 0 {
			return in.float(c >= columnCounts)
		}
		diff := unzigzag(in.uvarint()) + lastDiff
		if coding&codedTwice != 0 {
			lastDiff = diff
		}
		last += diff
		return float64(last) / power
	})
	if coding&codedCorrected != 0 {
		eachSample(tr, c, func(x float64) float64 { return in.correct(x, c >= columnCounts) })
	}
	r.at = in.at
	if in.short || in.at < len(in.b) {
		return errColumnsShort
	}
	return nil
}

// eachSample replaces the values of one column, in order.
func eachSample(tr *Trace, c int, f func(float64) float64) {
	for k := range tr.segs {
		n := min(SegmentLen, tr.n-k*SegmentLen)
		if wide, narrow := tr.segs[k].column(c); wide != nil {
			for j := range n {
				wide[j] = f(wide[j])
			}
		} else {
			for j := range n {
				narrow[j] = float32(f(float64(narrow[j])))
			}
		}
	}
}

// correct puts a value right by the next correction.
func (r *columnReader) correct(x float64, narrow bool) float64 {
	switch z := r.uvarint(); z {
	case 0:
		return x
	case correctNaN:
		return math.NaN()
	case correctMinusZero:
		return math.Copysign(0, -1)
	case correctRaw:
		return r.float(narrow)
	default:
		steps := unzigzag(z - corrected + 1)
		if narrow {
			return float64(math.Float32frombits(math.Float32bits(float32(x)) + uint32(steps)))
		}
		return math.Float64frombits(math.Float64bits(x) + uint64(steps))
	}
}
