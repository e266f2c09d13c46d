package workspace

import (
	"plateau/core/say"
	"plateau/core/trace"
)

// Version is that of the files which are written here.
const Version = 1

// The bounds of a file, whatever its bytes say.
const (
	MostDocument = 32 << 20   // bytes
	MostMeta     = 4 << 20    // bytes
	MostHead     = 64 << 10   // bytes
	MostLogs     = 4096       //
	MostSamples  = 48_000_000 // of all logs together; they take 1.5 GB
	mostTrace    = 512 << 20  // bytes of one
	mostUnpacked = 1 << 30    // bytes of all parts together
)

// Log is one log with all that is kept of it.
type Log struct {
	// Key names the log in the file that was opened; [Pack] gives it one of its
	// own.
	Key    string
	Name   string
	Bytes  int64        // of the file it was read from
	SHA256 string       // of that file in lower-case hex; "" where it is not known
	Meta   []byte       // a JSON object: how it was read; nil where it is lost
	Head   []byte       // the file's first bytes; nil where they are lost, or none
	Trace  *trace.Trace // nil where it is lost, or the log could not be read
}

// Listed is what a file says of a log before that is looked at.
type Listed struct {
	Key, Name string
	Bytes     int64
	SHA256    string
	Head      int // bytes of its head that are kept
	Samples   int // -1 where there is no trace
}

// File is what is good of a file.
type File struct {
	// Version is that of the file. The document is as it was then; all else is
	// made new.
	Version  int
	Document []byte // nil where it is lost, or there is none
	Logs     []Log
	// Packed are the same logs as they lie in the file, whose bytes they hold on
	// to, so that they need not be packed again; nil where a part is lost or old.
	Packed []*Packed
	// Listed are the logs that the file says it has.
	Listed []Listed
	// Lost is what is not there any more, Notes what else is to be said, in
	// sentences.
	Lost  []Lost
	Notes []string
}

// Lost is a part that is not there any more.
type Lost struct {
	Log  string // its name; "" for the document
	Part string // "document", "log", "trace", "head" or "meta"
	At   int    // the byte of the file from which it is damaged
	Why  string // in English, where it is one of few
}

// String is the loss in words: “Alder.csv”, its trace, at byte 1234: ….
func (l Lost) String() string {
	why := say.Text(l.Why)
	if l.Part == "document" {
		return say.With("what was typed and decided, at byte %d: %s. Look for an earlier copy of this file.", l.At, why)
	}
	name := say.Text("a log whose name is lost as well")
	if l.Log != "" {
		name = say.With("“%s”", label(l.Log))
	}
	part := map[string]string{"log": say.Later("all of it"), "trace": say.Later("its trace"), "head": say.Later("its first lines"),
		"meta": say.Later("how it was read")}[l.Part]
	return say.With("%s, %s, at byte %d: %s. Drop the log’s own file again to have it.", name, say.Text(part), l.At, why)
}

// label makes a name from a file fit for a message: one line, no marks that turn
// the direction of writing, not too long.
func label(name string) string {
	var out []rune
	for _, r := range name {
		switch {
		case r < ' ' || r >= 0x7f && r < 0xa0 || r == '\u200e' || r == '\u200f' || r >= '\u2028' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' || r == '\u061c':
		case len(out) < 120:
			out = append(out, r)
		case len(out) == 120:
			out = append(out, '…')
		}
	}
	return string(out)
}

// Errors of [Open]: there is nothing to be had of the file.
var (
	ErrEmpty   = say.LaterError("the file is empty. Look whether it was saved or copied to its end")
	ErrForeign = say.LaterError("it is no saved workspace, or damaged beyond reading. Drop a .plateau file, or an earlier copy of this one")
)

// NewerError says that a file is of a version that is not known here yet.
type NewerError struct{ Version int }

// Error says what to do.
func (e *NewerError) Error() string {
	return say.With("the file is of version %d, and this Plateau reads up to version %d. Reload the page to have the newest Plateau, and open the file again", e.Version, Version)
}
