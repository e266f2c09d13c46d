package workspace

import (
	"bytes"
	"strings"

	"plateau/core/say"
	"plateau/core/trace"
)

// Open reads a file as far as it is good. It does not keep b, but for
// [File.Packed]. An error says that there is nothing to be had: [ErrEmpty],
// [ErrForeign], or a [*NewerError], with which the file has its version and
// [File.Listed].
func Open(b []byte) (*File, error) { return open(b, Version, upgrades) }

// opener is a file on its way in.
type opener struct {
	b      []byte
	in     *inflater
	file   *File
	steps  []upgrade // from the file's version to the reader's
	listed map[string]bool
	wants  bool // it says that there is a document
	groups map[string]*group
	bad    []loss
	done   map[int]int // places that were read, and where each ends
	room   int         // samples that are still taken
	// Where the list of logs and the document end, and the last thing does that
	// was not cut short.
	head, last int
}

// loss is a part that was found damaged.
type loss struct {
	folder, base string
	at           int
	why          string
}

// group is what was found of one log.
type group struct {
	at    int // of its first part
	info  bool
	meta  []byte
	head  []byte
	trace *trace.Trace
	Listed
	sums  [3][32]byte
	parts [3]*part
}

func open(b []byte, version int, steps []upgrade) (*File, error) {
	if len(b) == 0 {
		return nil, ErrEmpty
	}
	o := &opener{b: b, in: newInflater(b), file: &File{}, listed: map[string]bool{},
		groups: map[string]*group{}, done: map[int]int{}, room: MostSamples}
	list, said, sound := directory(b)
	found := places(b, list, nil)
	searched := false
	search := func() {
		if !searched {
			more, locals := marks(b)
			found, searched = places(b, append(list, more...), locals), true
		}
	}
	if !sound {
		search()
	}
	hasManifest := o.manifest(found)
	if !hasManifest {
		search()
		hasManifest = o.manifest(found)
	}
	if o.file.Version == 0 {
		o.file.Version = said
	}
	if o.file.Version == 0 {
		o.file.Version = version
	}
	if o.file.Version > version {
		return o.file, &NewerError{o.file.Version}
	}
	if o.file.Version < 1 || version-o.file.Version > len(steps) {
		return nil, ErrForeign
	}
	o.steps = steps[len(steps)-(version-o.file.Version):]
	o.pass(found)
	if !searched && (len(o.bad) > 0 || o.incomplete()) {
		search()
		o.pass(found)
	}
	if len(o.groups) == 0 && o.file.Document == nil && !hasManifest {
		return nil, ErrForeign
	}
	if !sound {
		o.note(say.Text("The directory at the end of the file is damaged or missing. All parts were looked for without it; save the file again."))
	}
	if !hasManifest {
		o.note(say.Text("The list of logs in the file is damaged. The logs are in the order in which they lie in it."))
	}
	o.assemble(hasManifest)
	return o.file, nil
}

func (o *opener) note(s string) { o.file.Notes = append(o.file.Notes, s) }

// roles of a part, by the last names of its path: which log it belongs to, and
// how large it can be; 0 for what is none of ours.
func role(name string) (folder, base string, most int) {
	name = strings.ReplaceAll(name, `\`, "/")
	k := strings.LastIndexByte(name, '/')
	folder, base = name[:max(k, 0)], name[k+1:]
	folder = folder[strings.LastIndexByte(folder, '/')+1:]
	switch base {
	case manifestName:
		return "", base, MostMeta
	case documentName:
		return "", base, MostDocument
	case infoName:
		most = MostMeta + 1<<12
	case headName:
		most = MostHead
	case traceName:
		most = mostTrace
	}
	if folder == "" {
		return "", base, 0
	}
	return folder, base, most
}

// manifest looks for the list of logs and the version.
func (o *opener) manifest(found []place) bool {
	for _, p := range found {
		for _, e := range p.tries {
			if _, base, most := role(e.name); base == manifestName {
				if content, _ := o.in.part(e, most); content != nil && o.readManifest(content) {
					o.head = e.body + e.packed
					o.done[p.at] = o.head
					return true
				}
			}
		}
	}
	return false
}

func (o *opener) readManifest(b []byte) bool {
	if validObject(b) != nil {
		return false
	}
	var says string
	var version int64
	var list []Listed
	each(b, func(name string, value []byte) {
		switch name {
		case "format":
			says = unquote(value)
		case "version":
			version, _ = whole(value)
		case "document":
			o.wants = string(value) == "true"
		case "logs":
			each(value, func(_ string, value []byte) {
				if l := readListed(value); l.Key != "" && len(list) < MostLogs {
					list = append(list, l)
				}
			})
		}
	})
	if says != format || version < 1 || version > 1<<30 {
		return false
	}
	o.file.Version, o.file.Listed = int(version), list
	for _, l := range list {
		o.listed[l.Key] = true
	}
	return true
}

// readListed reads what plateau.json and log.json both say of a log.
func readListed(b []byte) Listed {
	l := Listed{Samples: -1}
	each(b, func(name string, value []byte) {
		n, ok := whole(value)
		switch {
		case name == "key":
			l.Key = unquote(value)
		case name == "name":
			l.Name = unquote(value)
		case name == "sha256":
			l.SHA256 = unquote(value)
		case !ok || n < 0:
		case name == "bytes":
			l.Bytes = n
		case name == "head":
			l.Head = int(min(n, MostHead))
		case name == "samples":
			l.Samples = int(min(n, MostSamples))
		}
	})
	return l
}

// incomplete tells whether something that is listed was not found.
func (o *opener) incomplete() bool {
	if o.wants && o.file.Document == nil || len(o.file.Listed) == 0 && !o.wants {
		return true
	}
	for _, l := range o.file.Listed {
		if g := o.groups[l.Key]; g == nil || !g.info || l.Head > 0 && g.head == nil || l.Samples >= 0 && g.trace == nil {
			return true
		}
	}
	return false
}

// pass goes through places in order and takes what is good. What it took once it
// does not take again.
func (o *opener) pass(found []place) {
	o.bad = o.bad[:0]
	end := 0
	for _, p := range found {
		if p.at < end {
			continue // a mark in the bytes of a part
		}
		if to, ok := o.done[p.at]; ok {
			end = to
			continue
		}
		var first *loss
		good := false
		for _, e := range o.inOrder(p.tries) {
			folder, base, most := role(e.name)
			if most == 0 || base == manifestName {
				continue
			}
			content, why := o.in.part(e, most)
			if why == "" {
				why = o.take(folder, base, e, content)
			}
			if why == "" {
				end, good = e.body+e.packed, true
				o.done[p.at] = end
				break
			}
			if first == nil {
				first = &loss{folder, base, p.at, why}
			}
		}
		if !good && first != nil {
			o.bad = append(o.bad, *first)
		}
	}
}

// inOrder are the tries whose names lead to a listed log, then the others.
func (o *opener) inOrder(tries []entry) []entry {
	var likely, rest []entry
	for _, e := range tries {
		if folder, _, _ := role(e.name); folder == "" || o.listed[folder] {
			likely = append(likely, e)
		} else {
			rest = append(rest, e)
		}
	}
	return append(likely, rest...)
}

// take takes the content of a part in, or tells why it cannot be.
func (o *opener) take(folder, base string, e entry, content []byte) (why string) {
	as := part{name: base, method: e.method, sum: e.sum, size: e.size, packed: o.b[e.body : e.body+e.packed], at: e.at}
	var err error
	for _, step := range o.steps {
		if content, err = step(base, content); err != nil {
			return say.With("it cannot be put together again: %s", err)
		}
	}
	if base == documentName {
		if err := validObject(content); err != nil {
			return err.Error()
		}
		if o.file.Document == nil {
			o.file.Document = bytes.Clone(content)
			o.head = e.body + e.packed
		}
		return ""
	}
	g := o.groups[folder]
	if g == nil {
		if len(o.groups) >= MostLogs {
			return whyTooMuch
		}
		g = &group{at: e.at, Listed: Listed{Samples: -1}, sums: o.groupSums()}
		o.groups[folder] = g
	}
	g.at = min(g.at, e.at)
	switch {
	case base == infoName && !g.info:
		if err = validObject(content); err != nil {
			return err.Error()
		}
		each(content, func(name string, value []byte) {
			if name == "meta" {
				g.meta = bytes.Clone(value)
			}
		})
		g.info, g.Listed = true, readListed(content)
		g.keep(0, as, content)
	case base == headName && g.head == nil:
		g.head = bytes.Clone(content)
		g.keep(1, as, content)
	case base == traceName && g.trace == nil:
		if g.trace, err = trace.ReadColumns(content, o.room); err != nil {
			g.trace = nil
			return err.Error()
		}
		o.room -= g.trace.Len()
		g.keep(2, as, content)
	}
	return ""
}

func (g *group) keep(k int, as part, content []byte) {
	g.parts[k], g.sums[k] = &as, sumOf(content)
}

// groupSums are those of parts that are not there.
func (o *opener) groupSums() (sums [3][32]byte) {
	for k := range sums {
		sums[k] = sumOf(nil)
	}
	return sums
}
