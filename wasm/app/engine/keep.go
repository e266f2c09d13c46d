package engine

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"

	"plateau/core/logfile"
	"plateau/core/say"
	"plateau/core/workspace"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// keptLog is what is kept of a log beside its first bytes and its trace.
type keptLog struct {
	Read  *logfile.Kept `json:"read,omitempty"` // nil for one that was not read
	Key   string        `json:"key,omitempty"`  // names its header
	Rules *wire.Rules   `json:"rules,omitempty"`
	// What is wrong with it, where it was not read.
	Fault    string `json:"fault,omitempty"`
	Line     int    `json:"line,omitempty"`
	Column   int    `json:"column,omitempty"`
	Got      string `json:"got,omitempty"`
	Hint     string `json:"hint,omitempty"`
	Question string `json:"question,omitempty"`
	About    string `json:"about,omitempty"`
}

// source is the log as it was read.
func (f *file) source() *logfile.Log {
	if f.own != nil {
		return f.own
	}
	return f.log
}

// pack makes a log ready to be kept.
func (f *file) pack() (*workspace.Packed, error) {
	k := keptLog{Key: f.key, Rules: f.asRuled, Question: f.question, About: f.about}
	l := workspace.Log{Name: f.name, Bytes: f.bytes, SHA256: f.sha, Head: f.head}
	if log := f.source(); log != nil {
		read := log.Keep()
		k.Read, l.Trace, l.Bytes = &read, log.Trace, log.Bytes
	}
	if f.fault != nil {
		k.Fault, k.Line, k.Column, k.Got, k.Hint = f.fault.Err.Error(), f.fault.Line, f.fault.Column, f.fault.Got, f.fault.Hint
	}
	var err error
	if l.Meta, err = plain.Marshal(k); err != nil {
		return nil, err
	}
	return workspace.Pack(l)
}

// unpack is a log that was kept. What is damaged of it is said as its fault.
func unpack(l workspace.Log) *file {
	f := &file{name: l.Name, head: l.Head, sha: l.SHA256, bytes: l.Bytes}
	var k keptLog
	lost := func(why string) *file {
		f.fault = &logfile.Fault{File: l.Name, Err: errors.New(why), Hint: say.Later("Drop the log itself again to have it read anew.")}
		return f
	}
	if l.Meta == nil || plain.Unmarshal(l.Meta, &k) != nil {
		return lost(say.Later("what was kept of this log cannot be read"))
	}
	f.key, f.question, f.about, f.asRuled = k.Key, k.Question, k.About, k.Rules
	f.rules, _ = rulesOf(k.Rules)
	f.ruled = k.Rules != nil
	if k.Fault != "" {
		f.fault = &logfile.Fault{File: l.Name, Line: k.Line, Column: k.Column, Got: k.Got, Err: errors.New(k.Fault), Hint: k.Hint}
	}
	switch {
	case k.Read == nil && k.Fault == "":
		return lost(say.Later("what was kept of this log says nothing of it"))
	case k.Read == nil:
		return f
	case l.Trace == nil:
		return lost(say.Later("the samples that were kept of this log are lost"))
	}
	log, err := k.Read.Log(l.Trace)
	if err != nil {
		return lost(say.With("what was kept of this log does not fit together: %s", err))
	}
	f.log = log
	return f
}

// Seal is the document as it is written into a slot, and the keys of the logs
// that it names.
func (e *Engine) Seal() (slot []byte, keys []string, err error) {
	d := e.document()
	for k, f := range e.files {
		if err := e.prepare(f); err != nil {
			return nil, nil, err
		}
		d.Logs[k].Log = f.kept
		keys = append(keys, f.kept)
	}
	text, err := plain.Marshal(d)
	if err != nil {
		return nil, nil, err
	}
	e.seq++
	return workspace.Seal(e.seq, text), keys, nil
}

// Prepare packs one log, so that sealing need not pack many at once.
func (e *Engine) Prepare(id int) error {
	if f := e.find(id); f != nil {
		return e.prepare(f)
	}
	return nil
}

// prepare packs a log that has no key yet. What was packed stays until it is
// fetched: the log may be another by then.
func (e *Engine) prepare(f *file) error {
	if f.kept != "" {
		return nil
	}
	p, err := f.pack()
	if err != nil {
		return err
	}
	if e.packed == nil {
		e.packed = map[string]*workspace.Packed{}
	}
	f.kept, e.packed[p.Key] = p.Key, p
	return nil
}

// Blob is a log as it is kept under its key.
func (e *Engine) Blob(key string) ([]byte, error) {
	if p := e.packed[key]; p != nil {
		delete(e.packed, key)
		return p.Bytes(), nil
	}
	for _, f := range e.files {
		if f.kept == key {
			p, err := f.pack()
			if err != nil {
				return nil, err
			}
			return p.Bytes(), nil
		}
	}
	return nil, say.Error("there is no log %s", key)
}

// Kept begins to take over what was kept: the newest whole document of the slots,
// whose place is returned (-1 for none), and the keys of its logs, which are to be
// given before [Engine.Restore].
// An error says that what was kept is not to be taken, nor to be written over.
func (e *Engine) Kept(slots ...[]byte) (which int, keys []string, notes []string, err error) {
	r := &restoring{logs: map[string]workspace.Log{}}
	seq, text, which, notes := workspace.Newest(slots...)
	if which >= 0 {
		if err := plain.Unmarshal(text, &r.document); err != nil || r.document.Version > documentVersion {
			return which, nil, notes, say.Error("what was kept here is of a newer Plateau, and stays as it is: reload the page to have the newest")
		}
	}
	e.seq, e.restoring = seq, r
	for _, l := range r.document.Logs {
		keys = append(keys, l.Log)
	}
	return which, keys, notes, nil
}

// Files are the numbers of the logs.
func (e *Engine) Files() []int {
	var ids []int
	for _, f := range e.files {
		ids = append(ids, f.id)
	}
	return ids
}

// restoring is a document on its way in.
type restoring struct {
	document document
	logs     map[string]workspace.Log
}

// Give takes one log's bytes as they were kept under its key.
func (e *Engine) Give(key string, blob []byte) {
	if e.restoring == nil {
		return
	}
	if f, err := workspace.Open(blob); err == nil && len(f.Logs) == 1 {
		e.restoring.logs[key] = f.Logs[0]
	}
}

// Restore brings the state to what was kept; nothing can be undone then.
func (e *Engine) Restore() {
	r := e.restoring
	if r == nil {
		return
	}
	e.restoring = nil
	files := make([]*file, len(r.document.Logs))
	for k, l := range r.document.Logs {
		kept, ok := r.logs[l.Log]
		if !ok {
			kept = workspace.Log{Name: l.Name}
		}
		files[k] = unpack(kept)
		files[k].kept = l.Log
		if !ok {
			files[k].kept = ""
		}
		files[k].id = l.ID
	}
	e.begin(r.document, files)
}

// begin takes a document over the whole state.
func (e *Engine) begin(d document, files []*file) {
	order := make([]int, len(files))
	seen := map[int]bool{}
	most := 0
	for k, f := range files {
		order[k] = k
		most = max(most, f.id)
	}
	for _, f := range files { // numbers are to differ, whatever the document says
		if f.id < 1 || f.id > 1<<30 || seen[f.id] {
			most++
			f.id = most
		}
		seen[f.id] = true
	}
	sort.Slice(order, func(i, j int) bool { return files[order[i]].id < files[order[j]].id })
	logs, sorted := make([]documentLog, len(files)), make([]*file, len(files))
	for k, at := range order {
		logs[k], sorted[k] = d.Logs[at], files[at]
	}
	d.Logs = logs
	e.reading, e.far = nil, nil
	e.files = nil
	e.take(d, sorted)
	e.history = history{}
}

// SaveFile writes the whole state as one file.
func (e *Engine) SaveFile() ([]byte, error) {
	d := e.document()
	var packed []*workspace.Packed
	have := map[string]bool{}
	for k, f := range e.files {
		p, err := f.pack()
		if err != nil {
			return nil, err
		}
		f.kept = p.Key
		d.Logs[k].Log = p.Key
		if !have[p.Key] {
			packed = append(packed, p)
		}
		have[p.Key] = true
	}
	text, err := plain.Marshal(d)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := workspace.Write(&b, text, packed); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// OpenFile takes over a saved file as far as it is good, in place of what is
// there, which can be brought back by undoing. The notes say what is lost.
func (e *Engine) OpenFile(name string, b []byte) (notes []string, err error) {
	w, err := workspace.Open(b)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var d document
	if w.Document != nil && (plain.Unmarshal(w.Document, &d) != nil || d.Version > documentVersion) {
		return nil, say.Error("%s: what was typed and decided is of a newer Plateau. Reload the page to have the newest, and open the file again", name)
	}
	before := moment{e.document(), slices.Clone(e.files), say.With("opening %s", clip(name))}
	past := e.history.past
	files := make([]*file, 0, len(w.Logs))
	var logs []documentLog
	used := map[int]bool{}
	for _, l := range d.Logs {
		for k, from := range w.Logs {
			if from.Key == l.Log { // the same log twice is kept once
				used[k] = true
				f := unpack(from)
				f.id = l.ID
				files, logs = append(files, f), append(logs, l)
				break
			}
		}
	}
	for k, from := range w.Logs { // those that the document has lost, or never knew
		if !used[k] {
			files, logs = append(files, unpack(from)), append(logs, documentLog{Name: from.Name})
		}
	}
	d.Logs = logs
	e.begin(d, files)
	e.history.past = append(past, before)
	e.changes++
	for _, l := range w.Lost {
		notes = append(notes, say.With("Lost: %s", l.String()))
	}
	return append(notes, w.Notes...), nil
}

// Changes counts how often the state has changed.
func (e *Engine) Changes() int { return e.changes }

// hash takes the SHA-256 of a log's file, by which it can be told again.
func (e *Engine) hash(id int, hex string) {
	f := e.find(id)
	if f == nil || len(hex) != 64 || strings.Trim(hex, "0123456789abcdef") != "" || f.sha == hex {
		return
	}
	f.sha, f.kept = hex, ""
	e.changes++
}
