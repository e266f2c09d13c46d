package logfile

import (
	"encoding/binary"
	"math"

	"plateau/core/trace"
)

// maxAlike is the longest row in bytes that a pattern can hold.
const maxAlike = 64

// pattern is the look of a row: where its digits are, and what else it holds.
// Loggers write most rows with the same widths as the row before, and such a
// row can be checked eight bytes at a time and taken apart without a search.
// On a log of 100 MB in a browser this is three times as fast.
type pattern struct {
	size  int // bytes, line end included; 0 for no pattern
	words [maxAlike / 8]word
	slots [6]slot // time, voltage, current, temperature, charge, energy
	clock bool    // the time is h:mm:ss, with a fraction or without
}

// word is the look of eight bytes of the row.
type word struct {
	fixed uint64 // ones where a byte must be …
	same  uint64 // … this one
	digit uint64 // the top bit of each byte that must be a digit
}

// slot is where in the row one number is, and how to read it.
type slot struct {
	at     int    // of the first digit
	before uint64 // ones in the bytes before the mark, where all fits a word
	up     uint   // shift that brings the (whole part's) digits to the word's top
	part   int    // of the first digit after the mark, where all does not
	partUp uint
	scale  uint64  // ten to the digits of that part
	by     float64 // what the mantissa is divided by; below zero for a minus

	fine   int // of the ninth digit after the mark, where a counter has one
	fineUp uint
	fineBy float64

	factor, offset float64 // to the base unit
}

// slotOf is the slot that a role's number goes to.
func slotOf(r role) int { return int(r) - int(roleTime) }

// learn takes the look of a row that fill has just read, or forgets the last
// one where the row is not plain enough.
func (p *pattern) learn(row []byte, r *rows) {
	p.size = 0
	if len(row) > maxAlike || r.timeForm != number && r.timeForm != clock {
		return
	}
	*p = pattern{clock: r.timeForm == clock}
	p.slots[slotOf(roleCharge)].by = math.NaN() // where the rows have none
	p.slots[slotOf(roleEnergy)].by = math.NaN()
	for k, c := range row {
		word, bit := k/8, uint(k%8*8)
		if c-'0' <= 9 {
			p.words[word].digit |= 0x80 << bit
		} else {
			p.words[word].fixed |= 0xff << bit
			p.words[word].same |= uint64(c) << bit
		}
	}
	from := 0
	for _, role := range r.fields {
		for from < len(row) && row[from] == ' ' {
			from++
		}
		to := from
		for to < len(row) && row[to] != r.delimiter && row[to] != '\r' && row[to] != '\n' {
			to++
		}
		if role != skip && !(role.isCounter() && from == to) {
			s := &p.slots[slotOf(role)]
			if p.clock && role == roleTime {
				if !s.learnClock(row[from:to], from) {
					return
				}
			} else if !s.learn(row[from:to], from, r.decimal, role.isCounter()) {
				return
			}
			s.factor, s.offset = r.factor[role], r.offset[role]
		}
		from = to + 1
	}
	p.size = len(row)
}

// learn takes the look of one number, which starts at byte at of the row. Only a
// counter may have more than seven decimals.
func (s *slot) learn(text []byte, at int, mark byte, counter bool) bool {
	s.by = 1
	if len(text) > 0 && text[0] == '-' {
		s.by, text, at = -1, text[1:], at+1
	}
	whole, part, marked := len(text), 0, false
	for k, c := range text {
		switch {
		case c == mark && !marked:
			whole, part, marked = k, len(text)-k-1, true
		case c-'0' > 9:
			return false
		}
	}
	if whole > 7 || whole+part == 0 {
		return false
	}
	if part > 7 {
		return counter && s.learnFine(at, whole, part)
	}
	s.at = at
	s.by *= float64(scale[part])
	if len(text) <= 8 && whole+part <= 7 {
		s.before = uint64(1)<<(whole*8) - 1
		if !marked {
			s.before = ^uint64(0)
		}
		s.up = uint(64 - 8*(whole+part))
		return true
	}
	s.up, s.partUp = uint(64-8*whole), uint(64-8*part)
	s.part, s.scale = at+whole+1, uint64(scale[part])
	return true
}

// learnFine takes the look of a counter with 8 to 16 decimals, of which the ninth
// and those behind it are read apart.
func (s *slot) learnFine(at, whole, part int) bool {
	if whole < 1 || part > 16 {
		return false
	}
	s.at, s.up = at, uint(64-8*whole)
	s.part, s.scale = at+whole+1, 1e8
	if part > 8 {
		s.fine, s.fineUp = s.part+8, uint(64-8*(part-8))
		s.fineBy = s.by * math.Pow10(part)
	}
	s.by *= 1e8
	return true
}

// learnClock takes the look of a time h:mm:ss or h:mm:ss.fff: at and up are the
// hours', part, partUp and by the fraction's, part being 0 where there is none.
func (s *slot) learnClock(text []byte, at int) bool {
	h := 0
	for h < len(text) && text[h]-'0' <= 9 {
		h++
	}
	rest := text[h:]
	if h < 1 || h > 7 || len(rest) < 6 || rest[0] != ':' || rest[3] != ':' {
		return false
	}
	s.at, s.up, s.by = at, uint(64-8*h), 1
	s.scale = uint64(at + h + 1) // where the minutes are
	if len(rest) == 6 {
		return true
	}
	n := len(rest) - 7
	if n < 1 || n > 7 || rest[6] != '.' && rest[6] != ',' {
		return false
	}
	s.part, s.partUp, s.by = at+h+7, uint(64-8*n), float64(scale[n])
	return true
}

// clockTime reads such a time in s; false where minutes or seconds run over.
func (s *slot) clockTime(row *[maxAlike + 8]byte) (float64, bool) {
	m := s.scale & 63
	minutes := uint64(row[m]-'0')*10 + uint64(row[m+1]-'0')
	seconds := uint64(row[m+3]-'0')*10 + uint64(row[m+4]-'0')
	hours := sum8((binary.LittleEndian.Uint64(row[s.at&63:]) ^ ones*'0') << (s.up & 63))
	t := float64(int64(hours*3600 + minutes*60 + seconds))
	if s.part > 0 {
		frac := sum8((binary.LittleEndian.Uint64(row[s.part&63:]) ^ ones*'0') << (s.partUp & 63))
		t += float64(int64(frac)) / s.by
	}
	return t, minutes < 60 && seconds < 60
}

// short reads a number that fits a word, w being the eight bytes from it on.
func (s *slot) short(w uint64) float64 {
	w ^= ones * '0'
	return float64(float64(int64(sum8((w&s.before|w>>8&^s.before)<<(s.up&63))))/s.by*s.factor) + s.offset
}

// long reads a number that does not.
func (s *slot) long(row []byte) float64 {
	whole := binary.LittleEndian.Uint64(row[s.at:]) ^ ones*'0'
	part := binary.LittleEndian.Uint64(row[s.part:]) ^ ones*'0'
	return float64(float64(int64(sum8(whole<<s.up)*s.scale+sum8(part<<s.partUp)))/s.by*s.factor) + s.offset
}

// number reads either.
func (s *slot) number(row []byte) float64 {
	if s.part > 0 {
		return s.long(row)
	}
	return s.short(binary.LittleEndian.Uint64(row[s.at:]))
}

// differs is not zero where a word of the row is not as it should look.
func (look *word) differs(w uint64) uint64 {
	d := w ^ ones*'0'
	return (w^look.same)&look.fixed | (d+ones*0x76|d)&look.digit
}

// alike reads rows that look like the pattern into room, from its n-th sample
// on, until one does not, or room or the rows end. Loops and calls are what
// costs here, so that it has as few of them as can be.
func (r *rows) alike(b []byte, i, end int, room trace.Window, n int) (int, int) {
	p := &r.pattern
	ts, vs, is, temps := room.T, room.V, room.I, room.Temp
	full := min(len(ts), len(vs), len(is))
	if temps != nil {
		full = min(full, len(temps))
	}
	time, volt, amp, temp := &p.slots[0], &p.slots[1], &p.slots[2], &p.slots[3]
	plain := volt.part == 0 && amp.part == 0 && temp.part == 0
	t0, last, from := r.shift-r.origin, r.last, n
	for ; i+p.size <= end && n < full; n++ {
		row := (*[maxAlike + 8]byte)(b[i:])
		odd := p.words[0].differs(binary.LittleEndian.Uint64(row[0:])) | p.words[1].differs(binary.LittleEndian.Uint64(row[8:])) |
			p.words[2].differs(binary.LittleEndian.Uint64(row[16:])) | p.words[3].differs(binary.LittleEndian.Uint64(row[24:]))
		if p.size > maxAlike/2 {
			odd |= p.words[4].differs(binary.LittleEndian.Uint64(row[32:])) | p.words[5].differs(binary.LittleEndian.Uint64(row[40:])) |
				p.words[6].differs(binary.LittleEndian.Uint64(row[48:])) | p.words[7].differs(binary.LittleEndian.Uint64(row[56:]))
		}
		if odd != 0 {
			break
		}
		var t float64
		if p.clock {
			var ok bool
			if t, ok = time.clockTime(row); !ok {
				break
			}
			t += t0
		} else if w := binary.LittleEndian.Uint64(row[time.at&63:]); time.part == 0 {
			t = time.short(w) + t0
		} else { // as long does; a call would cost a tenth of the row
			part := binary.LittleEndian.Uint64(row[time.part&63:]) ^ ones*'0'
			mant := sum8((w^ones*'0')<<(time.up&63))*time.scale + sum8(part<<(time.partUp&63))
			t = float64(float64(int64(mant))/time.by*time.factor) + time.offset + t0
		}
		if !(t >= last) {
			break
		}
		last = t
		ts[n] = t
		if plain {
			vs[n] = volt.short(binary.LittleEndian.Uint64(row[volt.at&63:]))
			is[n] = amp.short(binary.LittleEndian.Uint64(row[amp.at&63:]))
			if temps != nil {
				temps[n] = temp.short(binary.LittleEndian.Uint64(row[temp.at&63:]))
			}
		} else {
			vs[n], is[n] = volt.number(row[:]), amp.number(row[:])
			if temps != nil {
				temps[n] = temp.number(row[:])
			}
		}
		i += p.size
	}
	r.last = last
	for c, counts := range room.Counts {
		if counts != nil {
			p.count(&p.slots[slotOf(roleCharge)+c], b[i-(n-from)*p.size:], counts[from:n])
		}
	}
	return n, i
}

// count reads a counter out of the rows at the head of b, which are alike: in a
// pass of its own, so that a log without counters costs nothing. Of more than
// eight decimals the sum may be off by the last bit of a float64, which is far
// below what a counter keeps.
func (p *pattern) count(s *slot, b []byte, counts []float32) {
	size, at, up, by := p.size, s.at&63, s.up&63, s.by
	factor, offset := s.factor, s.offset
	if s.part == 0 {
		before := s.before
		for k := range counts {
			w := binary.LittleEndian.Uint64((*[maxAlike + 8]byte)(b)[at:]) ^ ones*'0'
			counts[k] = float32(float64(float64(int64(sum8((w&before|w>>8&^before)<<up)))/by*factor) + offset)
			b = b[size:]
		}
		return
	}
	part, partUp, scale := s.part&63, s.partUp&63, s.scale
	fine, fineUp, fineBy := s.fine&63, s.fineUp&63, s.fineBy
	for k := range counts {
		row := (*[maxAlike + 8]byte)(b)
		w := binary.LittleEndian.Uint64(row[at:]) ^ ones*'0'
		w2 := binary.LittleEndian.Uint64(row[part:]) ^ ones*'0'
		x := float64(int64(sum8(w<<up)*scale+sum8(w2<<partUp))) / by
		if fine > 0 {
			w3 := binary.LittleEndian.Uint64(row[fine:]) ^ ones*'0'
			x += float64(int64(sum8(w3<<fineUp))) / fineBy
		}
		counts[k] = float32(float64(x*factor) + offset)
		b = b[size:]
	}
}
