package logfile

import "plateau/core/say"

// under is how the rows under one header are read.
type under struct {
	*plan
	width, least int // fields of a row; without those that are always blank
}

// another meets a header that is not the first one's. Where it names all that
// is being read, the columns have changed places and reading goes on by it;
// else its table is not the log's.
func (r *rows) another(line []byte, at int, leave func(string)) {
	cells := splitLine(line, r.delimiter)
	p := *r.plan
	p.fields = nil
	p.column = [roles]int{}
	place := func(role role, c Column) {
		p.column[role] = c.Index
		if c.Stated && !c.Unit.Clock {
			p.factor[role], p.offset[role] = c.Unit.Factor, c.Unit.Offset
		}
		for len(p.fields) <= c.Index {
			p.fields = append(p.fields, skip)
		}
		p.fields[c.Index] = role
	}
	for role := roleTime; role < roles; role++ {
		if !p.has[role] {
			continue
		}
		if role.isCounter() {
			if c, ok := r.columnFor(role, cells); ok {
				place(role, c)
			}
			continue
		}
		best := Column{score: -100}
		for k, cell := range cells {
			if c := readHead(cell, ""); c.Kind == roleKinds[role] && c.score > best.score &&
				(k >= len(p.fields) || p.fields[k] == skip) {
				c.Index = k
				best = c
			}
		}
		if best.Kind == Unknown || !best.Stated && p.stated[role] {
			r.foreign = at
			leave(say.Later("begins another table"))
			return
		}
		place(role, best)
	}
	leave(say.Later("is a header: the columns change places"))
	r.readBy(under{&p, len(cells), len(cells)})
	r.foreign = 0
}

// readBy goes on under another header, or the first one.
func (r *rows) readBy(u under) {
	r.under = u
	r.pattern.size, r.size = 0, 0
}
