package workspace

import (
	"bytes"
	"sort"
)

// assemble makes logs of what was found, and lists what was not.
func (o *opener) assemble(hasManifest bool) {
	f := o.file
	o.last = bytes.LastIndex(o.b, []byte(directoryMark))
	for _, end := range o.done {
		o.last = max(o.last, end)
	}
	for _, b := range o.bad {
		if b.why != whyCut {
			o.last = max(o.last, b.at+1)
		}
	}
	last := o.head // where the part before ends
	if at := o.lostAt("", documentName, &last); f.Document == nil && (o.wants || !hasManifest && at.why != whyMissing) {
		f.Lost = append(f.Lost, Lost{"", "document", at.at, at.why})
	}
	keys := make([]string, 0, len(o.groups))
	for _, l := range f.Listed {
		keys = append(keys, l.Key)
	}
	var others []string
	for key := range o.groups {
		if !o.listed[key] {
			others = append(others, key)
		}
	}
	sort.Slice(others, func(i, j int) bool { return o.groups[others[i]].at < o.groups[others[j]].at })
	for _, b := range o.bad { // logs of which nothing is good, and no list tells
		if b.folder != "" && !o.listed[b.folder] && o.groups[b.folder] == nil {
			o.listed[b.folder] = true
			others = append(others, b.folder)
		}
	}
	for k, key := range append(keys, others...) {
		var said Listed
		if k < len(keys) {
			said = f.Listed[k]
		} else {
			said = Listed{Samples: -1}
		}
		o.log(key, said, k < len(keys), &last)
	}
}

// log adds one log, or what is lost of it.
func (o *opener) log(key string, said Listed, sure bool, last *int) {
	f := o.file
	g := o.groups[key]
	if g == nil {
		at := o.lostAt(key, "", last)
		f.Lost = append(f.Lost, Lost{said.Name, "log", at.at, at.why})
		return
	}
	if g.info {
		name := g.Listed
		said, sure = name, true
	}
	for _, x := range []struct {
		base, part string
		lost       bool
	}{
		{infoName, "meta", !g.info},
		{headName, "head", g.head == nil && said.Head > 0},
		{traceName, "trace", g.trace == nil && said.Samples >= 0},
	} {
		at := o.lostAt(key, x.base, last)
		if x.lost || !sure && at.why != whyMissing && at.why != "" {
			f.Lost = append(f.Lost, Lost{said.Name, x.part, at.at, at.why})
		}
	}
	f.Logs = append(f.Logs, Log{Key: key, Name: said.Name, Bytes: said.Bytes, SHA256: said.SHA256, Meta: g.meta, Head: g.head, Trace: g.trace})
	f.Packed = append(f.Packed, g.packed(said, len(o.steps) > 0))
}

// lostAt is where a part is damaged, or would be: behind the one before, whose end
// last is moved to. An empty base is any part of the folder.
func (o *opener) lostAt(folder, base string, last *int) loss {
	for _, b := range o.bad {
		if b.folder == folder && (base == "" || b.base == base) {
			return b
		}
	}
	if g := o.groups[folder]; g != nil {
		for k, name := range []string{infoName, headName, traceName} {
			if p := g.parts[k]; p != nil && name == base {
				*last = o.done[p.at]
				return loss{}
			}
		}
	}
	if o.last <= *last {
		return loss{folder, base, len(o.b), whyCut}
	}
	return loss{folder, base, *last, whyMissing}
}

// packed is the log as it lies in the file, where all of it does.
func (g *group) packed(said Listed, old bool) *Packed {
	if old || !g.info || said.Head > 0 && g.head == nil || said.Samples >= 0 && g.trace == nil {
		return nil
	}
	said.Key = keyOf(g.sums[0], g.sums[1], g.sums[2])
	if g.trace != nil {
		said.Samples = g.trace.Len()
	}
	said.Head = len(g.head)
	out := &Packed{Listed: said}
	for _, p := range g.parts {
		if p != nil {
			q := *p
			q.name = "logs/" + said.Key + "/" + q.name
			out.parts = append(out.parts, q)
		}
	}
	return out
}
