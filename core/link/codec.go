package link

import (
	"encoding/binary"
	"math"
	"strings"

	"plateau/core/publish"
	"plateau/core/say"
)

// codec writes and reads the same layout, so that the two cannot part ways: a
// pointer's value is written, or is set to what was read. The first error ends
// both; what is read after it is nought.
type codec struct {
	reading bool
	data    []byte // read: what is left; written: so far
	where   string // what is being read, for errors: in English
	err     error

	table  []string       // texts, in the order of their first use
	index  map[string]int // of the texts in table, on writing
	next   int            // the first text that was not used before
	spent  int            // bytes of all texts used
	counts int            // entries of all lists

	digests []byte // of logs, one after the other
}

func (c *codec) fail(format string, args ...any) {
	if c.err != nil {
		return
	}
	text := say.Later("This does not go into a link: in %s %s. Leave that out, or send a file.")
	if c.reading {
		text = say.Later("This link is damaged: in %s %s. Ask for it again.")
	}
	c.err = &Broken{say.With(text, say.Text(c.where), say.With(format, args...))}
	c.data = nil
}

// uint is an unsigned whole number, as base-128 varint, low groups first.
func (c *codec) uint(x *uint64) {
	if !c.reading {
		c.data = binary.AppendUvarint(c.data, *x)
		return
	}
	n := 0
	if *x, n = binary.Uvarint(c.data); n <= 0 {
		*x = 0
		c.fail(say.Later("a number ends too early"))
		return
	}
	c.data = c.data[n:]
}

// int is a signed one, zigzag.
func (c *codec) int(x *int64) {
	u := uint64(*x<<1) ^ uint64(*x>>63)
	c.uint(&u)
	*x = int64(u>>1) ^ -int64(u&1)
}

// small is a whole number from nought to most.
func (c *codec) small(x *int, most int) {
	u := uint64(*x)
	if c.uint(&u); u > uint64(most) {
		c.fail(say.Later("%d stands where %d is the most"), int64(u), most)
		u = 0
	}
	*x = int(u)
}

// flag is a yes or no.
func (c *codec) flag(x *bool) {
	n := 0
	if *x {
		n = 1
	}
	c.small(&n, 1)
	*x = n == 1
}

// decimal is mant, and its power where mant is not nought.
func (c *codec) decimal(d *decimal) {
	if c.int(&d.mant); d.mant == 0 {
		d.power = 0
		return
	}
	p := int64(d.power)
	if c.int(&p); p < -mostPower || p > mostPower {
		c.fail(say.Later("a number has an impossible power of ten"))
		*d = decimal{}
		return
	}
	d.power = int(p)
}

// float is a number without an uncertainty.
func (c *codec) float(x *float64) {
	d := decimal{}
	if !c.reading {
		d = plain(*x)
	}
	c.decimal(&d)
	*x = d.float()
}

// The bits of a figure's first number; what lies above them is how many digits
// finer the value is than its uncertainty.
const (
	hasValue = 1 << iota
	hasU
	isLeast
	hasWhy
	figureBits = iota
)

// figured is a figure as it is packed: value is mant·10^(power−finer), its
// uncertainty wide·10^power, finer lying above the bits of head.
type figured struct {
	head        uint64
	wide        uint64
	power, mant int64
	bare        decimal // a value without an uncertainty
}

// numbers are figures of a kind, column by column: what they have, the powers
// as steps from the one before, the uncertainties, the values, the reasons.
func (c *codec) numbers(list []*publish.Number) {
	all := make([]figured, len(list))
	if !c.reading {
		for k, x := range list {
			all[k] = figure(*x)
		}
	}
	for k := range all {
		if c.uint(&all[k].head); all[k].head >= 1<<(figureBits+4) {
			c.fail(say.Later("a figure is of an unknown kind"))
			return
		}
	}
	last := int64(0)
	for k := range all {
		if x := &all[k]; x.head&hasU != 0 {
			step := x.power - last
			if c.int(&step); step > 2*mostPower || step < -2*mostPower {
				c.fail(say.Later("a figure has an impossible uncertainty"))
				return
			}
			x.power = last + step
			last = x.power
		}
	}
	for k := range all {
		if x := &all[k]; x.head&hasU != 0 {
			c.uint(&x.wide)
		}
	}
	for k := range all {
		switch x := &all[k]; {
		case x.head&hasU != 0:
			c.int(&x.mant)
		case x.head&hasValue != 0:
			c.decimal(&x.bare)
		}
	}
	for k, x := range list {
		why := x.Why
		if all[k].head&hasWhy != 0 {
			c.name(&why)
		}
		if c.reading {
			*x = all[k].number()
			if all[k].head&hasWhy != 0 {
				x.Why = why
			}
		}
	}
}

// number is what a packed figure says.
func (f figured) number() publish.Number {
	x := publish.Number{Value: math.NaN(), AtLeast: f.head&isLeast != 0}
	switch {
	case f.head&hasU != 0:
		power := int(min(max(f.power, -2*mostPower), 2*mostPower))
		x.Value = decimal{f.mant, power - int(f.head>>figureBits)}.float()
		x.U = decimal{int64(f.wide & math.MaxInt64), power}.float()
	case f.head&hasValue != 0:
		x.Value = f.bare.float()
	}
	return x
}

// figure is how a figure is packed.
func figure(x publish.Number) (f figured) {
	if x.AtLeast {
		f.head |= isLeast
	}
	if clean(x.Why, false) != "" {
		f.head |= hasWhy
	}
	if math.IsNaN(x.Value) || math.IsInf(x.Value, 0) {
		return f
	}
	f.head |= hasValue
	if x.U > 0 && !math.IsInf(x.U, 0) {
		value, wide := certain(x.Value, x.U)
		power, finer := lead(x.U)-2, 0
		if value.mant != 0 {
			finer = max(power-value.power, 0)
		}
		u, whole := wide.at(power)
		mant, fits := value.at(power - finer)
		if u > 0 && finer < 16 && whole && fits && power >= -mostPower && power <= mostPower {
			f.head |= hasU | uint64(finer)<<figureBits
			f.wide, f.power, f.mant = uint64(u), int64(power), mant
			return f
		}
	}
	f.bare = plain(x.Value)
	return f
}

// text is a text that may have several lines.
func (c *codec) text(s *string) { c.string(s, true) }

// name is one of a single line.
func (c *codec) name(s *string) { c.string(s, false) }

// string is 0 for an empty text, 1 for the next in the table that was not used
// yet, else the number of the text plus 2.
func (c *codec) string(s *string, lines bool) {
	var n uint64
	if !c.reading {
		t := clean(*s, lines)
		if t != "" {
			c.spend(len(t))
			k, known := c.index[t]
			if !known {
				k = len(c.table)
				c.table, c.index[t] = append(c.table, t), k
				c.uint(&[]uint64{1}[0])
				return
			}
			n = uint64(k) + 2
		}
		c.uint(&n)
		return
	}
	c.uint(&n)
	*s = ""
	switch k := int(min(n, 1<<30)) - 2; {
	case n == 0:
		return
	case n == 1 && c.next < len(c.table):
		*s = c.table[c.next]
		c.next++
	case n > 1 && k < len(c.table):
		*s = c.table[k]
	default:
		c.fail(say.Later("a text is named that is not there"))
		return
	}
	c.spend(len(*s))
	if !lines && strings.IndexByte(*s, '\n') >= 0 {
		*s = clean(*s, false)
	}
}

func (c *codec) spend(n int) {
	if c.spent += n; c.spent > mostText {
		c.fail(say.Later("there is more text than a link holds"))
	}
}

// clean is a text without what a name has no use for and a page could be misled
// by: control characters, line separators, overrides of the direction of
// writing, bytes that are no UTF-8. A line's end stays where lines may be.
func clean(s string, lines bool) string {
	bad := false
	for _, r := range s {
		if bad = unfit(r, lines); bad {
			break
		}
	}
	if !bad {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case (r == '\n' || r == '\t') && !lines:
			return ' '
		case r == '\uFFFD':
			return r // of bad bytes as well
		case unfit(r, lines):
			return -1
		}
		return r
	}, s)
}

func unfit(r rune, lines bool) bool {
	switch {
	case r == '\n' && lines:
		return false
	case r < ' ', r >= 0x7F && r <= 0x9F:
		return true
	}
	return r == 0x2028 || r == 0x2029 || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 || r == '\uFFFD' || r == 0xFEFF
}

// each goes through a list: its length, then item by item.
func each[T any](c *codec, list *[]T, most int, item func(*T)) {
	n := len(*list)
	c.small(&n, most)
	if c.counts += n; c.counts > mostRecords {
		c.fail(say.Later("there are more entries than a link holds"))
	}
	if c.err != nil {
		return
	}
	if c.reading {
		*list = nil
		if n > len(c.data) {
			c.fail(say.Later("there are fewer entries than it says"))
			return
		}
		if n > 0 {
			*list = make([]T, n)
		}
	}
	for k := range *list {
		item(&(*list)[k])
	}
}

func (c *codec) names(list *[]string) { each(c, list, mostLines, c.name) }

func (c *codec) lines(list *[]publish.Line) {
	each(c, list, mostLines, func(l *publish.Line) { c.name(&l.Head); c.name(&l.Text) })
}
