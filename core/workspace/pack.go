package workspace

import (
	"bytes"
	"compress/flate"
	"hash/crc32"
	"io"
	"strconv"

	"plateau/core/say"
)

// part is one member of the archive.
type part struct {
	name   string
	method uint16
	sum    uint32 // CRC-32
	size   int    // unpacked
	packed []byte
	at     int // of its header in the file that it is from
}

// The methods of APPNOTE 4.4.5 that are used.
const (
	stored   = 0
	deflated = 8
)

// packer deflates one part after the other.
type packer struct{ w *flate.Writer }

// level is where a log's columns get no smaller by much.
const level = 5

func (p *packer) pack(name string, b []byte) part {
	var out bytes.Buffer
	if p.w == nil {
		p.w, _ = flate.NewWriter(&out, level) // fails for a bad level alone
	} else {
		p.w.Reset(&out)
	}
	_, _ = p.w.Write(b) // a Buffer takes all
	_ = p.w.Close()
	q := part{name: name, method: deflated, sum: crc32.ChecksumIEEE(b), size: len(b), packed: out.Bytes()}
	if len(q.packed) >= len(b) {
		q.method, q.packed = stored, b
	}
	return q
}

// Packed is a log ready to be written, to an autosave or into a file.
type Packed struct {
	Listed
	parts []part
}

// Size is how many bytes it takes in a file, its folder aside.
func (p *Packed) Size() int {
	n := 0
	for _, q := range p.parts {
		n += len(q.packed)
	}
	return n
}

// Pack packs a log. It fails where the log is out of bounds, its meta no JSON
// object, or its trace not sound ([trace.Trace.AppendColumns]).
func Pack(l Log) (*Packed, error) {
	var p packer
	return p.log(l)
}

func (p *packer) log(l Log) (*Packed, error) {
	bad := func(err error) (*Packed, error) {
		return nil, say.Error("the log “%s” cannot be saved: %w", label(l.Name), err)
	}
	if l.Meta == nil {
		l.Meta = []byte("{}")
	}
	if err := validObject(l.Meta); err != nil {
		return bad(say.Error("how it was read: %w", err))
	}
	if len(l.Meta)+len(l.Name) > MostMeta || len(l.Head) > MostHead || len(l.SHA256) > 64 || l.Bytes < 0 {
		return bad(say.Error("what is kept of it beside the trace is out of bounds"))
	}
	out := &Packed{Listed: Listed{Name: l.Name, Bytes: l.Bytes, SHA256: l.SHA256, Head: len(l.Head), Samples: -1}}
	var columns []byte
	if l.Trace != nil {
		var err error
		if columns, err = l.Trace.AppendColumns(nil); err != nil {
			return bad(err)
		}
		if out.Samples = l.Trace.Len(); len(columns) > mostTrace || out.Samples > MostSamples {
			return bad(say.Error("it has more than %d samples", MostSamples))
		}
	}
	info := out.appendFields(append([]byte(nil), '{'))
	info = append(append(append(info, ",\n\"meta\":"...), l.Meta...), "}\n"...)
	out.Key = keyOf(sumOf(info), sumOf(l.Head), sumOf(columns))
	folder := "logs/" + out.Key + "/"
	out.parts = append(out.parts, p.pack(folder+infoName, info))
	if len(l.Head) > 0 {
		out.parts = append(out.parts, p.pack(folder+headName, l.Head))
	}
	if l.Trace != nil {
		out.parts = append(out.parts, p.pack(folder+traceName, columns))
	}
	return out, nil
}

// keyOf names a log by its parts.
func keyOf(info, head, trace [32]byte) string {
	var s Sum
	for _, x := range [][32]byte{info, head, trace} {
		_, _ = s.Write(x[:])
	}
	return s.Hex()[:32]
}

// appendFields writes the fields that plateau.json and log.json share.
func (l Listed) appendFields(b []byte) []byte {
	b = appendText(append(b, `"name":`...), l.Name)
	b = strconv.AppendInt(append(b, `,"bytes":`...), l.Bytes, 10)
	b = appendText(append(b, `,"sha256":`...), l.SHA256)
	b = strconv.AppendInt(append(b, `,"head":`...), int64(l.Head), 10)
	return strconv.AppendInt(append(b, `,"samples":`...), int64(l.Samples), 10)
}

// Write writes a file: the document, a JSON object, which may be nil, and the
// logs in the order in which they are shown, each once. Errors are those of w, or
// say what is out of bounds.
func Write(w io.Writer, document []byte, logs []*Packed) error {
	return write(w, Version, document, logs)
}

// Bytes is the log as an archive of its own, which [Open] reads.
func (p *Packed) Bytes() []byte {
	var b bytes.Buffer
	b.Grow(p.Size() + 1024)
	_ = write(&b, Version, nil, []*Packed{p}) // a Buffer takes all
	return b.Bytes()
}

func write(w io.Writer, version int, document []byte, logs []*Packed) error {
	if document != nil {
		if err := validObject(document); err != nil {
			return say.Error("the document cannot be saved: %w", err)
		}
	}
	samples, size := 0, len(document)
	var once []*Packed
	seen := map[string]bool{}
	for _, l := range logs {
		if seen[l.Key] {
			continue
		}
		seen[l.Key], once = true, append(once, l)
		samples += max(l.Samples, 0)
		for _, q := range l.parts {
			size += q.size
		}
	}
	logs = once
	switch {
	case len(document) > MostDocument:
		return say.Error("the document takes %d bytes, at most %d can be saved", len(document), MostDocument)
	case len(logs) > MostLogs:
		return say.Error("there are %d logs, at most %d can be saved in one file: remove some", len(logs), MostLogs)
	case samples > MostSamples || size > mostUnpacked:
		return say.Error("the logs have %d samples, at most %d can be saved in one file: remove some logs", samples, MostSamples)
	}
	var p packer
	b := append([]byte(nil), `{"format":"`+format+`","version":`...)
	b = strconv.AppendInt(b, int64(version), 10)
	b = strconv.AppendBool(append(b, `,"document":`...), document != nil)
	b = append(b, ",\"logs\":["...)
	for k, l := range logs {
		if k > 0 {
			b = append(b, ',')
		}
		b = appendText(append(b, "\n{\"key\":"...), l.Key)
		b = append(l.appendFields(append(b, ',')), '}')
	}
	b = append(b, "\n]}\n"...)
	a := archive{w: w, comment: format + ", version " + strconv.Itoa(version)}
	a.add(p.pack(manifestName, b))
	if document != nil {
		a.add(p.pack(documentName, document))
	}
	for _, l := range logs {
		for _, q := range l.parts {
			a.add(q)
		}
	}
	return a.end()
}

// The names of the parts, and what the file says it is.
const (
	manifestName = "plateau.json"
	documentName = "document.json"
	infoName     = "log.json"
	headName     = "head"
	traceName    = "trace"
	format       = "Plateau workspace"
)
