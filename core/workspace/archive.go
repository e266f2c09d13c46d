package workspace

import (
	"encoding/binary"
	"io"
	"math"

	"plateau/core/say"
)

// Marks and lengths of the headers of an archive (APPNOTE 4.3.7, 4.3.12, 4.3.16).
const (
	localMark     = "PK\x03\x04"
	directoryMark = "PK\x01\x02"
	endMark       = "PK\x05\x06"
	localLen      = 30
	directoryLen  = 46
	endLen        = 22
)

const (
	zipVersion = 20        // 2.0, the first with deflate
	zipDay     = 1<<5 | 1  // 1980-01-01
	zipMode    = 0o100644  // a plain file, on Unix
	zipMost    = 1<<31 - 1 // bytes; more needs ZIP64 somewhere
)

// archive writes parts as a ZIP file. After an error it writes nothing more.
type archive struct {
	w         io.Writer
	at        int
	n         int
	directory []byte
	comment   string
	err       error
}

func (a *archive) write(b []byte) {
	if a.err == nil {
		if a.at+len(b) > zipMost {
			a.err = say.Error("the file would be larger than %d bytes: remove some logs", zipMost)
			return
		}
		_, a.err = a.w.Write(b)
		a.at += len(b)
	}
}

// add writes one part.
func (a *archive) add(q part) {
	le := binary.LittleEndian
	at := a.at
	same := func(b []byte) []byte { // what both headers say
		b = le.AppendUint16(b, zipVersion)
		b = le.AppendUint16(b, 0) // flags
		b = le.AppendUint16(b, q.method)
		b = le.AppendUint16(b, 0) // time
		b = le.AppendUint16(b, zipDay)
		b = le.AppendUint32(b, q.sum)
		b = le.AppendUint32(b, uint32(len(q.packed)))
		b = le.AppendUint32(b, uint32(q.size))
		b = le.AppendUint16(b, uint16(len(q.name)))
		return le.AppendUint16(b, 0) // extra
	}
	local := append(same([]byte(localMark)), q.name...)
	a.write(local)
	a.write(q.packed)
	d := append(a.directory, directoryMark...)
	d = le.AppendUint16(d, 3<<8|zipVersion) // made on Unix
	d = same(d)
	d = le.AppendUint16(d, 0) // comment
	d = le.AppendUint16(d, 0) // disk
	d = le.AppendUint16(d, 0) // attributes inside
	d = le.AppendUint32(d, zipMode<<16)
	d = le.AppendUint32(d, uint32(at))
	a.directory = append(d, q.name...)
	a.n++
}

// end writes the directory.
func (a *archive) end() error {
	le := binary.LittleEndian
	at := a.at
	a.write(a.directory)
	b := le.AppendUint32([]byte(endMark), 0) // disks
	b = le.AppendUint16(b, uint16(min(a.n, math.MaxUint16)))
	b = le.AppendUint16(b, uint16(min(a.n, math.MaxUint16)))
	b = le.AppendUint32(b, uint32(len(a.directory)))
	b = le.AppendUint32(b, uint32(at))
	b = le.AppendUint16(b, uint16(len(a.comment)))
	a.write(append(b, a.comment...))
	return a.err
}
