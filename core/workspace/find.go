package workspace

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"hash/crc32"
	"io"
	"sort"
	"strconv"
	"strings"

	"plateau/core/say"
)

// entry is what one header says of a part.
type entry struct {
	name          string
	flags, method uint16
	sum           uint32
	packed, size  int
	at, body      int // of the local header, of the bytes behind it
}

// readHeader reads the fields that both kinds of header have, from the version
// needed on, and where the name begins.
func readHeader(b []byte, at, name int) (e entry, after int, ok bool) {
	if at < 0 || name > len(b) {
		return e, 0, false
	}
	u16 := func(k int) int { return int(binary.LittleEndian.Uint16(b[at+k:])) }
	u32 := func(k int) int { return int(binary.LittleEndian.Uint32(b[at+k:])) }
	e = entry{flags: uint16(u16(2)), method: uint16(u16(4)), sum: uint32(u32(10)), packed: u32(14), size: u32(18)}
	after = name + u16(22)
	if after > len(b) {
		return e, 0, false
	}
	e.name = string(b[name:after])
	return e, after + u16(24), true
}

// readLocal reads the header in front of a part (APPNOTE 4.3.7).
func readLocal(b []byte, at int) (entry, bool) {
	if at < 0 || at > len(b)-localLen || string(b[at:at+4]) != localMark {
		return entry{}, false
	}
	e, after, ok := readHeader(b, at+4, at+localLen)
	e.at, e.body = at, after
	return e, ok
}

// readDirectory reads an entry of the directory (APPNOTE 4.3.12), and where the
// next begins.
func readDirectory(b []byte, at int) (e entry, next int, ok bool) {
	if at < 0 || at > len(b)-directoryLen || string(b[at:at+4]) != directoryMark {
		return e, 0, false
	}
	e, next, ok = readHeader(b, at+6, at+directoryLen)
	e.at = int(binary.LittleEndian.Uint32(b[at+42:]))
	e.body = e.at + localLen + len(e.name)
	return e, next + int(binary.LittleEndian.Uint16(b[at+32:])), ok
}

// place is where a part may be, with what is said of it.
type place struct {
	at    int
	tries []entry
}

// places puts together what headers say of the same place, in order.
func places(b []byte, directory []entry, locals []int) []place {
	byAt := map[int]*place{}
	var list []*place
	get := func(at int) *place {
		p := byAt[at]
		if p == nil {
			p = &place{at: at}
			byAt[at] = p
			list = append(list, p)
		}
		return p
	}
	for _, d := range directory {
		p := get(d.at)
		if l, ok := readLocal(b, d.at); ok {
			there := d
			there.body = l.body
			p.add(there)
			p.add(l)
		}
		p.add(d)
	}
	for _, at := range locals {
		if l, ok := readLocal(b, at); ok {
			get(at).add(l)
		}
	}
	sort.Slice(list, func(i, j int) bool { return list[i].at < list[j].at })
	out := make([]place, len(list))
	for k, p := range list {
		out[k] = *p
	}
	return out
}

func (p *place) add(e entry) {
	for _, t := range p.tries {
		if t == e {
			return
		}
	}
	if len(p.tries) < 4 {
		p.tries = append(p.tries, e)
	}
}

// mostMarks is how many headers are looked at: all that a file can have, twice
// over, and as many again that are none.
const mostMarks = 16 * MostLogs

// directory reads the directory by the record at the end of the archive, and the
// version in its comment, 0 where there is none. It is whole where it leads from
// its start to that record without a fault.
func directory(b []byte) (list []entry, version int, whole bool) {
	tail := max(len(b)-endLen-1<<16, 0)
	end := tail + bytes.LastIndex(b[tail:], []byte(endMark))
	if end < tail || len(b)-end < endLen {
		return nil, 0, false
	}
	if text, ok := strings.CutPrefix(string(b[end+endLen:]), format+", version "); ok {
		version, _ = strconv.Atoi(text)
	}
	n := int(binary.LittleEndian.Uint16(b[end+10:]))
	at := end - int(binary.LittleEndian.Uint32(b[end+12:]))
	for range n {
		e, next, ok := readDirectory(b, at)
		if !ok {
			return nil, version, false
		}
		list = append(list, e)
		at = next
	}
	comment := int(binary.LittleEndian.Uint16(b[end+20:]))
	return list, version, at == end && n > 0 && end+endLen+comment == len(b)
}

// marks looks for headers everywhere.
func marks(b []byte) (directory []entry, locals []int) {
	mark := []byte("PK")
	for at := 0; len(directory)+len(locals) < mostMarks; at += 2 {
		k := bytes.Index(b[at:], mark)
		if k < 0 {
			break
		}
		at += k
		if e, _, ok := readDirectory(b, at); ok {
			directory = append(directory, e)
		} else if _, ok := readLocal(b, at); ok {
			locals = append(locals, at)
		}
	}
	return directory, locals
}

// inflater unpacks parts, within bounds of work.
type inflater struct {
	b       []byte
	r       io.ReadCloser
	scratch []byte
	// What may still be spent, in bytes in and out: on parts that turn out good,
	// and on others.
	good, bad int
}

func newInflater(b []byte) *inflater {
	return &inflater{b: b, good: mostUnpacked, bad: 64<<20 + 4*len(b)}
}

// Why a part is lost, in English.
const (
	whyCut     = say.Later("the file is cut short before its end")
	whySpoilt  = say.Later("its bytes are damaged: they do not fit their check sum")
	whyMethod  = say.Later("it is packed by a method that is not read here")
	whyTooBig  = say.Later("it is larger than it can be")
	whyTooMuch = say.Later("the file unpacks to more than is taken")
	whyHeader  = say.Later("its header is damaged")
	whyMissing = say.Later("it is not there")
)

// part is the content of a part, which is good until the next call, or why there
// is none. most is how large it may be.
func (f *inflater) part(e entry, most int) (content []byte, why string) {
	switch {
	case e.body > len(f.b) || e.packed > len(f.b)-e.body:
		return nil, whyCut
	case e.size > most:
		return nil, whyTooBig
	case e.flags&1 != 0 || e.method != stored && e.method != deflated:
		return nil, whyMethod
	case e.method == stored && e.packed != e.size:
		return nil, whyHeader
	case e.packed+e.size > f.good || f.bad < 0:
		return nil, whyTooMuch
	}
	packed := f.b[e.body : e.body+e.packed]
	content = packed
	all := true
	if e.method == deflated {
		content, all = f.inflate(packed, e.size)
	}
	if !all || len(content) != e.size || crc32.ChecksumIEEE(content) != e.sum {
		f.bad -= len(packed) + len(content)
		return nil, whySpoilt
	}
	f.good -= len(packed) + len(content)
	return content, ""
}

// inflate is what packed unpacks to, size bytes and one more at most, and whether
// packed ended with it.
func (f *inflater) inflate(packed []byte, size int) (out []byte, all bool) {
	in := bytes.NewReader(packed)
	if f.r == nil {
		f.r = flate.NewReader(in)
	} else {
		_ = f.r.(flate.Resetter).Reset(in, nil) // it never fails
	}
	out = f.scratch[:0]
	for len(out) <= size {
		if len(out) == cap(out) { // as bytes come, since the size may be a lie
			grown := make([]byte, len(out), min(2*len(out)+1<<16, size+1))
			copy(grown, out)
			out = grown
		}
		n, err := f.r.Read(out[len(out):min(cap(out), size+1)])
		out = out[:len(out)+n]
		if err != nil {
			all = err == io.EOF && in.Len() == 0
			break
		}
	}
	f.scratch = out[:0]
	return out, all
}
