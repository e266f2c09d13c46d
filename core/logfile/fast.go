package logfile

import (
	"encoding/binary"
	"math"
	"math/bits"

	"plateau/core/quantity"
	"plateau/core/trace"
)

// slack is how many readable bytes fast needs behind the end of the rows.
const slack = maxAlike + 16

// ones has a 1 in each byte of a word.
const ones = 0x0101010101010101

// scale is the powers of ten that eight digits can need.
var scale = [8]int64{1, 10, 100, 1000, 10_000, 100_000, 1_000_000, 10_000_000}

// fast reads rows of plain numbers from b[i:end], which ends with a line end
// and has slack behind it. It stops at the first row that holds anything else,
// or whose time is not in order, and returns where that row begins.
//
// It takes the bytes eight at a time, as words, and has no calls on its way: on
// a log of 100 MB in a browser, a loop over single bytes took three times as
// long.
func (r *rows) fast(b []byte, i, end int) int {
	if r.n == 0 || r.held != nil || r.open != nil || r.foreign > 0 || r.odd {
		return i // the first row sets the origin of time
	}
	for i < end {
		n, next := r.fill(b[:end+slack], i, end, r.tr.Room())
		r.tr.Added(n)
		r.n += n
		r.line += n
		full := next < end && n > 0 && r.tr.Len()%trace.SegmentLen == 0
		i = next
		if !full {
			break
		}
	}
	return i
}

// fill reads rows into room until that is full, the rows end, or one of them
// needs more than plain numbers.
//
// The first byte of a word that is no digit is found by the top bit that
// adding 0x76 sets in it, the bytes having been brought to their digits. A
// number has at most seven digits on either side of the mark, 14 in all, so
// that both mantissa and power of ten are exact and the one division rounds
// correctly (see quantity.Exact).
func (r *rows) fill(b []byte, i, end int, room trace.Window) (n, next int) {
	fields, final := r.fields, len(r.fields)-1
	delimiter, mark := r.delimiter, r.decimal
	vals, factor, offset := r.vals, r.factor, r.offset
	clock := r.timeForm != number
	t0, last := r.shift-r.origin, r.last
	full := len(room.T)
	charges, energies := room.Counts[trace.CounterCharge], room.Counts[trace.CounterEnergy]
	if r.pattern.size > 0 {
		n, i = r.alike(b, i, end, room, 0)
		last = r.last
	}
	next = i
rows:
	for i < end && n < full {
		row := i
		for f, role := range fields {
			for b[i] == ' ' {
				i++
			}
			if role == skip || clock && role == roleTime {
				from := i
				for b[i] != delimiter {
					if c := b[i]; c == '\n' || c == '"' || c == 0 {
						break rows
					}
					i++
				}
				if role == roleTime {
					t, ok := r.clockTime(b[from:i])
					if !ok {
						break rows
					}
					vals[roleTime] = t
				}
				i++
				if f == final {
					if i = r.rest(b, i, f+1); i == 0 {
						break rows
					}
				}
				continue
			}

			from := i
			neg := b[i] == '-'
			if neg {
				i++
			}
			w := binary.LittleEndian.Uint64(b[i:i+8]) ^ ones*'0'
			odd := (w + ones*0x76 | w) & (ones * 0x80)
			n1 := bits.TrailingZeros64(odd) >> 3 // digits before the mark
			if n1 == 8 {
				break rows
			}
			var x float64
			if b[i+n1] != mark {
				x = float64(int64(whole(w, n1)))
				i += n1
			} else if n := bits.TrailingZeros64(odd&(odd-1)) >> 3; n < 8 {
				// All of it is in the word: close the gap that the mark leaves.
				low := uint64(1)<<(n1<<3) - 1
				x = float64(int64(whole(w&low|w>>8&^low, n-1))) / float64(scale[n-1-n1])
				n1 = n - 1
				i += n
			} else {
				i += n1 + 1
				w2 := binary.LittleEndian.Uint64(b[i:i+8]) ^ ones*'0'
				n2 := bits.TrailingZeros64((w2+ones*0x76|w2)&(ones*0x80)) >> 3
				if n2 < 8 {
					i += n2
					x = float64(int64(whole(w, n1)*uint64(scale[n2])+whole(w2, n2))) / float64(scale[n2])
					n1 += n2
				} else {
					var long int
					if x, long = longer(b, from, mark); long == 0 {
						break rows
					}
					i = from + long
					neg = false
				}
			}
			if n1 == 0 {
				// A counter may be blank, but not as the last field of a row
				// that may be too short.
				if !role.isCounter() || i != from || b[i] != delimiter && r.width != r.least {
					break rows
				}
				x = math.NaN()
			}
			if neg {
				x = -x
			}
			vals[role&(roles-1)] = float64(x*factor[role&(roles-1)]) + offset[role&(roles-1)]

			c := b[i]
			i++
			if c == delimiter {
				if f < final {
					continue
				}
				if i = r.rest(b, i, f+1); i == 0 {
					break rows
				}
				break
			}
			if c == '\r' {
				c = b[i]
				i++
			}
			if c != '\n' || f < final || f+1 != r.least {
				break rows
			}
		}
		t := vals[roleTime] + t0
		if !(t >= last) {
			break
		}
		last = t
		room.T[n], room.V[n], room.I[n] = t, vals[roleVoltage], vals[roleCurrent]
		if room.Temp != nil {
			room.Temp[n] = vals[roleTemperature]
		}
		if charges != nil {
			charges[n] = float32(vals[roleCharge])
		}
		if energies != nil {
			energies[n] = float32(vals[roleEnergy])
		}
		n++
		next = i
		if size := i - row; size == r.size {
			// The third row of a size in a row: others may look like it.
			r.last = last
			if r.pattern.learn(b[row:i], r); r.pattern.size > 0 {
				n, i = r.alike(b, i, end, room, n)
				next, last = i, r.last
			}
		} else {
			r.size = size
		}
	}
	r.last = last
	return n, next
}

// whole is the whole number that the first n bytes of w make, 0 to 7 of them,
// each less '0'.
func whole(w uint64, n int) uint64 { return sum8(w << uint(64-n<<3)) }

// sum8 is the whole number that the eight digits of w make, the first in the
// lowest byte: they are added up in pairs, fours and eights.
func sum8(w uint64) uint64 {
	w = w*10 + w>>8
	return ((w&0x000000ff000000ff)*(100+1000000<<32) + (w>>16&0x000000ff000000ff)*(1+10000<<32)) >> 32
}

// longer reads a number with more digits than fit a word.
func longer(b []byte, start int, mark byte) (x float64, n int) {
	i, digits, frac := start, 0, 0
	neg := b[i] == '-'
	if neg {
		i++
	}
	var mant uint64
	marked := false
	for ; digits < 16; i++ {
		if d := b[i] - '0'; d <= 9 {
			mant = mant*10 + uint64(d)
			digits++
			if marked {
				frac++
			}
		} else if b[i] == mark && !marked {
			marked = true
		} else {
			break
		}
	}
	if c := b[i]; digits > 0 && c-'0' > 9 && c != mark && c != '-' {
		if x, ok := quantity.Exact(mant, frac); ok {
			if neg {
				x = -x
			}
			return x, i - start
		}
	}
	for n < 40 && start+n < len(b) {
		if c := b[start+n]; c-'0' > 9 && c != mark && c != '-' {
			break
		}
		n++
	}
	x, err := quantity.Decimal(b[start:start+n], mark)
	if err != nil {
		return 0, 0
	}
	return x, n
}

// rest goes past the fields that are not needed, n having been read, to the
// next row; 0 where they are too few or too many, or hold a quote or a NUL.
func (r *rows) rest(b []byte, i, n int) int {
	blank := true // nothing since the last delimiter
	for {
		switch c := b[i]; c {
		case '\n':
			if n++; n == r.width || n == r.least && !blank {
				return i + 1
			}
			return 0
		case r.delimiter:
			n++
			blank = true
		case '"', 0:
			return 0
		case '\r', ' ':
		default:
			blank = false
		}
		i++
	}
}
