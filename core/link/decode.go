package link

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"io"
	"unicode/utf8"

	"plateau/core/publish"
	"plateau/core/say"
)

const (
	mostInflated = 1 << 20 // bytes of one part
	mostTexts    = 50_000
)

// Decode reads a link's text, or the whole address that it ends; blanks, line
// ends, escapes and stops that programs add are no hindrance. What it gives has
// the private parts as far as the link has. Errors are [*Broken] or [Newer],
// and say what to do.
func Decode(text string) (publish.Post, error) {
	body, err := open(text)
	if err != nil {
		return publish.Post{}, err
	}
	parts, err := split(body)
	if err != nil {
		return publish.Post{}, err
	}
	c := &codec{reading: true, digests: parts[digestPart]}
	var p publish.Post
	c.where = say.Later("its text")
	c.texts(parts[textPart])
	c.post(&p, parts[sectionPart])
	for _, r := range p.Runs {
		if c.where = say.Later("its list of runs"); r.Log >= len(p.Logs) {
			c.fail(say.Later("a run is of a log that is not there"))
		}
	}
	var list []line
	var tolerance int64
	if data := parts[curvePart]; len(data) > 0 {
		c.where, c.data = say.Later("its curves"), data
		c.curves(&list, &tolerance)
		for _, l := range list {
			if c.err == nil && (l.run >= len(p.Runs) || len(l.volts) == 0) {
				c.fail(say.Later("a curve is of a run that is not there"))
			}
		}
	}
	if data := parts[temperaturePart]; len(data) > 0 && c.err == nil {
		c.where, c.data = say.Later("its temperature curves"), data
		c.temperatures(list)
	}
	if c.err != nil {
		return publish.Post{}, c.err
	}
	if len(list) > 0 {
		take(&p, list, tolerance)
	}
	return p, nil
}

// split unpacks a body's parts. Parts of unknown numbers are from later
// versions and can be done without; so can ones packed in an unknown way, but
// for those that are known.
func split(body []byte) (map[uint64][]byte, error) {
	parts := map[uint64][]byte{}
	damaged := &Broken{say.Later("This link is damaged: its parts do not fit together. Ask for it again.")}
	for len(body) > 0 {
		head, n := binary.Uvarint(body)
		if n <= 0 {
			return nil, damaged
		}
		size, m := binary.Uvarint(body[n:])
		if m <= 0 || size > uint64(len(body)-n-m) {
			return nil, damaged
		}
		data := body[n+m : n+m+int(size)]
		body = body[n+m+int(size):]
		id := head >> methodBits
		if id < textPart || id > temperaturePart {
			continue
		}
		if parts[id] != nil {
			return nil, damaged
		}
		var err error
		switch head & (1<<methodBits - 1) {
		case asItIs:
		case deflated:
			data, err = inflated(data, nil)
		case withWords:
			data, err = inflated(data, []byte(words))
		default:
			return nil, Newer{}
		}
		if err != nil {
			return nil, err
		}
		parts[id] = data
	}
	return parts, nil
}

func inflated(data, dict []byte) ([]byte, error) {
	r := flate.NewReaderDict(bytes.NewReader(data), dict)
	out, err := io.ReadAll(io.LimitReader(r, mostInflated+1))
	switch {
	case len(out) > mostInflated:
		return nil, &Broken{say.Later("This link unpacks to more than a link holds. Do not trust it; ask for another.")}
	case err != nil:
		return nil, &Broken{say.Later("This link is damaged: it does not unpack. Ask for it again.")}
	}
	return out, nil
}

// texts reads the table of texts, each of which ends with a byte 0.
func (c *codec) texts(data []byte) {
	if !utf8.Valid(data) {
		c.fail(say.Later("bytes are no UTF-8"))
		return
	}
	for len(data) > 0 && c.err == nil {
		k := bytes.IndexByte(data, 0)
		if k < 0 || len(c.table) >= mostTexts {
			c.fail(say.Later("a text has no end"))
			return
		}
		c.table = append(c.table, clean(string(data[:k]), true))
		data = data[k+1:]
	}
}

// post reads the sections. Those of unknown numbers, and what follows in one of
// a known number, are from later versions.
func (c *codec) post(p *publish.Post, data []byte) {
	sections := c.sections(p)
	next := 0
	for len(data) > 0 && c.err == nil {
		c.where, c.data = say.Later("its list of sections"), data
		var id, first, size uint64
		c.uint(&id)
		c.uint(&first)
		c.uint(&size)
		if c.err != nil || size > uint64(len(c.data)) || first > uint64(len(c.table)) {
			c.fail(say.Later("a length does not fit"))
			return
		}
		own := c.data[:size]
		data = c.data[size:]
		for next < len(sections) && sections[next].id < id {
			next++
		}
		if next == len(sections) || sections[next].id != id {
			continue
		}
		c.where, c.data, c.next = sections[next].what, own, int(first)
		sections[next].do()
		next++
	}
}
