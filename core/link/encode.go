package link

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"sync"

	"plateau/core/publish"
	"plateau/core/say"
)

// Part is a part of a post that can be left out.
type Part uint16

// The parts. Without Cells the names of the cells stay, without Figures the
// list of runs, without Method the conditions. Notes are the person's own and
// where the cells are from; they are out unless [Options] asks for them.
const (
	Cells Part = 1 << iota
	Figures
	Verdicts
	Ranking
	Findings
	Logs
	Method
	Curves
	Temperatures
	Notes
)

// Parts are all parts with their names, in English.
var Parts = []struct {
	Part
	Name string
}{
	{Cells, say.Later("cells")}, {Figures, say.Later("figures")}, {Verdicts, say.Later("verdicts")}, {Ranking, say.Later("ranking")}, {Findings, say.Later("findings")}, {Logs, say.Later("logs")},
	{Method, say.Later("method")}, {Curves, say.Later("curves")}, {Temperatures, say.Later("temperature curves")}, {Notes, say.Later("private notes")},
}

// DefaultTolerance in V is how far curves are off at most where nothing else is
// asked for.
const DefaultTolerance = 2e-3

// Options say what goes into a link.
type Options struct {
	Out       Part    // left out
	Private   bool    // Notes go in
	Tolerance float64 // of the curves in V; 0 for [DefaultTolerance]
}

func (o Options) has(part Part) bool {
	if part == Notes {
		return o.Private && o.Out&Notes == 0
	}
	return o.Out&part == 0
}

// Encode is the text of a link that holds a post. An error says what is too
// much for one.
func Encode(p publish.Post, o Options) (string, error) { return NewWriter(p).Encode(o) }

// Writer makes links of one post. It keeps curves that were thinned, so that
// a change of what is left out costs little.
type Writer struct {
	post  publish.Post
	known map[int64]packed
}

type packed struct {
	lines     []line
	tolerance int64
}

// NewWriter makes links of a post, which stays as it is from then on.
func NewWriter(p publish.Post) *Writer { return &Writer{post: p, known: map[int64]packed{}} }

func (w *Writer) lines(tolerance float64) packed {
	if !(tolerance > 0) {
		tolerance = DefaultTolerance
	}
	t := micro(tolerance)
	k, ok := w.known[t]
	if !ok {
		k.lines, k.tolerance = lines(&w.post, t)
		w.known[t] = k
	}
	return k
}

// Encode is [Encode] of the writer's post.
func (w *Writer) Encode(o Options) (string, error) {
	body, err := w.body(o)
	if err != nil {
		return "", err
	}
	text := seal(body)
	if len(text) > Longest {
		return "", &Broken{say.Later("This is too much for a link: leave out curves or logs, or send a file.")}
	}
	return text, nil
}

var errPoints error = &Broken{say.Later("The curves have too many points for a link at this tolerance: take a coarser one, or leave the curves out.")}

// The parts of a body.
const (
	textPart = 1 + iota
	sectionPart
	digestPart
	curvePart
	temperaturePart
)

// How a part is packed.
const (
	asItIs = iota
	deflated
	withWords  // deflated after the words of the dictionary
	methodBits = 2
)

func (w *Writer) body(o Options) ([]byte, error) {
	p := w.post
	skip := map[uint64]bool{2: !o.has(Method), 4: !o.has(Cells), 6: !o.has(Figures), 7: !o.has(Findings), 8: !o.has(Verdicts),
		9: !o.has(Ranking), 10: !o.has(Logs), 11: !o.has(Notes)}
	if skip[10] {
		p.Runs = append([]publish.Run(nil), p.Runs...)
		for k := range p.Runs {
			p.Runs[k].Log = -1
		}
	}
	for _, r := range p.Runs {
		if r.Log >= len(p.Logs) && r.Log >= 0 {
			return nil, &Broken{say.With("The run %s is of a log that is not among the logs.", r.Name)}
		}
	}
	c := &codec{index: map[string]int{}, where: say.Later("its post")}
	var all []byte
	for _, s := range c.sections(&p) {
		if skip[s.id] {
			continue
		}
		first := len(c.table)
		c.data, c.where = nil, s.what
		if s.do(); c.err != nil {
			return nil, c.err
		}
		if trivial(c.data) {
			continue
		}
		all = binary.AppendUvarint(all, s.id)
		all = binary.AppendUvarint(all, uint64(first))
		all = binary.AppendUvarint(all, uint64(len(c.data)))
		all = append(all, c.data...)
	}
	var text []byte
	for _, s := range c.table {
		text = append(append(text, s...), 0)
	}
	if len(text) > mostInflated || len(all) > mostInflated || len(c.table) > mostTexts {
		return nil, &Broken{say.Later("This is too much for a link: leave out ranking or findings, or send a file.")}
	}
	body := part(nil, textPart, text)
	body = part(body, sectionPart, all)
	body = part(body, digestPart, c.digests)
	if o.has(Curves) && len(p.Curves) > 0 {
		k := w.lines(o.Tolerance)
		c.data, c.where = nil, say.Later("its curves")
		for _, l := range k.lines {
			if l.run < 0 || l.run >= len(p.Runs) {
				return nil, &Broken{say.Later("A curve is of a run that is not among the runs.")}
			}
		}
		c.curves(&k.lines, &k.tolerance)
		body = part(body, curvePart, c.data)
		if warm(k.lines) && o.has(Temperatures) {
			c.data, c.where = nil, say.Later("its temperature curves")
			c.temperatures(k.lines)
			body = part(body, temperaturePart, c.data)
		}
		if c.err != nil {
			return nil, errPoints
		}
	}
	return body, nil
}

// trivial: nothing but noughts, which a section that is not there stands for.
func trivial(b []byte) bool {
	for _, x := range b {
		if x != 0 {
			return false
		}
	}
	return true
}

func warm(list []line) bool {
	for _, l := range list {
		if len(l.temps) > 0 {
			return true
		}
	}
	return false
}

// presses deflate, without words before and with them; they are kept, since one
// takes a megabyte to make.
var presses [2]sync.Pool

// part adds data to a body in the way that takes the fewest bytes.
func part(body []byte, id int, data []byte) []byte {
	if len(data) == 0 {
		return body
	}
	how, best, method := asItIs, data, deflated
	dict := []byte(nil)
	if id == textPart {
		method, dict = withWords, []byte(words)
	}
	var b bytes.Buffer
	press, _ := presses[method-deflated].Get().(*flate.Writer)
	if press == nil {
		press, _ = flate.NewWriterDict(&b, flate.BestCompression, dict)
	}
	press.Reset(&b)
	if _, err := press.Write(data); err == nil && press.Close() == nil && b.Len() < len(data) {
		how, best = method, b.Bytes()
	}
	presses[method-deflated].Put(press)
	body = binary.AppendUvarint(body, uint64(id<<methodBits|how))
	body = binary.AppendUvarint(body, uint64(len(best)))
	return append(body, best...)
}
