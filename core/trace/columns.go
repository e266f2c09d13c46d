package trace

import (
	"encoding/binary"
	"math"
	"math/bits"

	"plateau/core/say"
)

// columnsFormat is the first byte of what [Trace.AppendColumns] writes.
const columnsFormat = 1

// The coding of a column: zero for raw, else codedDecimal, the number of decimals
// in the low four bits, and flags.
const (
	codedDecimal    = 0x10
	codedTwice      = 0x20 // differences of differences
	codedCorrected  = 0x40 // corrections follow
	mostDecimals    = 9
	largestDecimal  = 1 << 53
	rawBits         = 48 // a value that takes more coded is kept raw; of 64
	rawBitsNarrow   = 28 // the same of 32
	correctionRange = 1 << 40
)

// What a correction says: zero that the decimal is the value; from corrected on,
// the distance between both, in steps of the last place.
const (
	correctNaN uint64 = iota + 1
	correctMinusZero
	correctRaw // the value follows as it lies in memory
	corrected
)

// AppendColumns appends the trace to b in a compact form that keeps every bit (of
// NaN, that it is one), with the voltage as it was read, before any correction for
// the leads. It fails where a time is not finite or goes back, or a voltage or a
// current is no number.
//
// The form, whole numbers of one byte or as LEB128 varints without sign unless
// said, zigzag being 2x for x at or above zero and −2x−1 below:
//
//	byte     1, the form's version
//	varint   n, the number of samples
//	byte     which columns there are beside time, voltage and current: 1
//	         temperature, 2 the counter of charge, 4 that of energy; added up
//	columns  time (s), voltage (V), current (A, discharge positive),
//	         temperature (°C), charge (Ah), energy (Wh), those that there are
//
// and each column:
//
//	byte     its coding
//	varint   length in bytes of what follows
//
// Coding 0 is n numbers of IEEE 754, little-endian, of eight bytes; counters have
// four. Else the coding is 16 + k, with 32 or 64 or both added, and the column is
// whole numbers m that stand for the float nearest m/10^k, k from 0 to 9: n
// varints, each the zigzag of the difference from the m before (0 before the
// first), or, with 32, of that difference from the difference before. With 64,
// n more varints follow that put the floats right: 0 it is right, 1 it is NaN, 2
// it is minus zero, 3 it is the number of eight or four bytes that follows, and
// from 4 on the zigzag of a number of steps, plus 3, by which the float lies
// further in the order of its bits, read as one whole number.
func (tr *Trace) AppendColumns(b []byte) ([]byte, error) {
	if err := tr.sound(); err != nil {
		return b, err
	}
	b = append(b, columnsFormat)
	b = binary.AppendUvarint(b, uint64(tr.n))
	var has byte
	if tr.temp {
		has = 1
	}
	for c, yes := range tr.has {
		if yes {
			has |= 2 << c
		}
	}
	b = append(b, has)
	e := columnWriter{values: make([]float64, 0, tr.n)}
	for c := range columnCount {
		if !tr.hasColumn(c) {
			continue
		}
		e.values, e.narrow = e.values[:0], c >= columnCounts
		for k := range tr.segs {
			s, n := &tr.segs[k], min(SegmentLen, tr.n-k*SegmentLen)
			if n <= 0 {
				break
			}
			if wide, narrow := s.column(c); wide != nil {
				e.values = append(e.values, wide[:n]...)
			} else {
				for _, x := range narrow[:n] {
					e.values = append(e.values, float64(x))
				}
			}
		}
		b = e.append(b)
	}
	return b, nil
}

// The columns in their order.
const (
	columnTime = iota
	columnVoltage
	columnCurrent
	columnTemperature
	columnCounts
	columnCount = columnCounts + int(counters)
)

var columnNames = [columnCount]string{say.Later("time"), say.Later("voltage"), say.Later("current"), say.Later("temperature"),
	say.Later("counted charge"), say.Later("counted energy")}

func (tr *Trace) hasColumn(c int) bool {
	switch {
	case c == columnTemperature:
		return tr.temp
	case c >= columnCounts:
		return tr.has[c-columnCounts]
	}
	return true
}

// column is one of a segment's, as read; counters are narrow.
func (s *segment) column(c int) (wide *column, narrow *[SegmentLen]float32) {
	switch c {
	case columnTime:
		return s.t, nil
	case columnVoltage:
		if s.read != nil {
			return s.read, nil
		}
		return s.v, nil
	case columnCurrent:
		return s.i, nil
	case columnTemperature:
		return s.temp, nil
	}
	return nil, s.counts[c-columnCounts]
}

// sound tells what of the trace no log gives, and nothing can be worked out with.
func (tr *Trace) sound() error {
	last := math.Inf(-1)
	for k := range tr.segs {
		s, n := &tr.segs[k], min(SegmentLen, tr.n-k*SegmentLen)
		v, _ := s.column(columnVoltage)
		for j := range max(n, 0) {
			switch t := s.t[j]; {
			case !(math.Abs(t) <= math.MaxFloat64):
				return say.Error("the time of sample %d is %g", k*SegmentLen+j+1, t)
			case t < last:
				return say.Error("the time of sample %d goes back", k*SegmentLen+j+1)
			case v[j] != v[j] || s.i[j] != s.i[j]:
				return say.Error("the voltage or the current of sample %d is no number", k*SegmentLen+j+1)
			default:
				last = t
			}
		}
	}
	return nil
}

// columnWriter codes one column after the other.
type columnWriter struct {
	values []float64
	narrow bool // they are float32 in truth
	power  float64
	twice  bool

	body, corrections []byte
}

func (e *columnWriter) append(b []byte) []byte {
	if !e.choose() {
		b = append(b, 0)
		return e.appendRaw(b)
	}
	e.body, e.corrections = e.body[:0], e.corrections[:0]
	coding := byte(codedDecimal)
	for p := 1.0; p < e.power; p *= 10 {
		coding++
	}
	if e.twice {
		coding |= codedTwice
	}
	wrong := false
	var last, lastDiff int64
	for _, v := range e.values {
		m, z := e.split(v, last+lastDiff)
		wrong = wrong || z != 0
		diff := m - last
		r := diff - lastDiff
		last = m
		if e.twice {
			lastDiff = diff
		}
		e.body = binary.AppendUvarint(e.body, zigzag(r))
		e.corrections = binary.AppendUvarint(e.corrections, z)
		if z == correctRaw {
			e.corrections = e.appendFloat(e.corrections, v)
		}
	}
	if !wrong {
		e.corrections = e.corrections[:0]
	} else {
		coding |= codedCorrected
	}
	b = append(b, coding)
	b = binary.AppendUvarint(b, uint64(len(e.body)+len(e.corrections)))
	return append(append(b, e.body...), e.corrections...)
}

func zigzag(x int64) uint64   { return uint64(x)<<1 ^ uint64(x>>63) }
func unzigzag(u uint64) int64 { return int64(u>>1) ^ -int64(u&1) }

// split is the decimal that stands for a value, and what puts it right. Where
// there is none it is the guess, which takes least room.
func (e *columnWriter) split(v float64, guess int64) (m int64, z uint64) {
	s := math.RoundToEven(v * e.power)
	if !(math.Abs(s) <= largestDecimal) {
		if v != v {
			return guess, correctNaN
		}
		return guess, correctRaw
	}
	m = int64(s)
	x := float64(m) / e.power
	var steps int64
	if e.narrow {
		steps = int64(math.Float32bits(float32(v))) - int64(math.Float32bits(float32(x)))
	} else {
		steps = int64(math.Float64bits(v)) - int64(math.Float64bits(x))
	}
	switch {
	case steps == 0:
		return m, 0
	case v == 0:
		return m, correctMinusZero
	case steps > correctionRange || steps < -correctionRange:
		return m, correctRaw
	}
	return m, zigzag(steps) + corrected - 1
}

func (e *columnWriter) appendFloat(b []byte, v float64) []byte {
	if e.narrow {
		return binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
	}
	return binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
}

func (e *columnWriter) appendRaw(b []byte) []byte {
	size := 8
	if e.narrow {
		size = 4
	}
	b = binary.AppendUvarint(b, uint64(size*len(e.values)))
	for _, v := range e.values {
		b = e.appendFloat(b, v)
	}
	return b
}

// choose settles the coding by parts of the column; false is raw.
func (e *columnWriter) choose() bool {
	const parts, partLen = 32, 64
	n := len(e.values)
	var best, looked int
	found := false
	var power float64
	var twice bool
	e.power = 1
	for range mostDecimals + 1 {
		once, second, count := 0, 0, 0
		for part := range parts {
			from := max(n-partLen, 0) * part / (parts - 1)
			var last, lastDiff int64
			for k, v := range e.values[from:min(from+partLen, n)] {
				m, z := e.split(v, last)
				diff := m - last
				if k > 1 || from == 0 {
					fix := 2 * bits.Len64(z)
					if z == correctRaw {
						fix = 64
					}
					once += bits.Len64(zigzag(diff)) + fix
					second += bits.Len64(zigzag(diff-lastDiff)) + fix
					count++
				}
				last, lastDiff = m, diff
			}
			if n <= partLen {
				break
			}
		}
		if cost := min(once, second); !found || cost < best {
			found, best, looked, power, twice = true, cost, count, e.power, second < once
		}
		e.power *= 10
	}
	e.power, e.twice = power, twice
	limit := rawBits
	if e.narrow {
		limit = rawBitsNarrow
	}
	return best <= limit*looked
}
