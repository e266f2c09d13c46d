package unpack

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"path"
	"strings"

	"plateau/core/say"
)

// zip goes through an archive, or through the sheets of the workbook that it
// is.
func (w *walker) zip(name string, r io.ReaderAt, size int64, depth int) error {
	if err := w.directory(r, size); err != nil {
		return err
	}
	z, err := zip.NewReader(r, size)
	if errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) {
		return w.salvage(name, io.NewSectionReader(r, 0, size), depth)
	}
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) { // nothing is written to a path
		return asFault(err)
	}
	if w.entries += len(z.File); w.entries > w.use.lim.Entries {
		return errMany(w.use.lim.Entries)
	}
	files := map[string]*zip.File{}
	for _, f := range z.File {
		files[strings.ToLower(plainPath(f.Name))] = f
	}
	switch book, f := w.bookKind(files); {
	case f != nil:
		return f
	case book == isXLSX:
		return w.xlsx(name, files)
	case book == isODS:
		return w.ods(name, files)
	}
	for _, f := range z.File {
		if err := w.zipEntry(name, f, depth); err != nil {
			return err
		}
	}
	return nil
}

func (w *walker) zipEntry(name string, f *zip.File, depth int) error {
	entry := plainPath(f.Name)
	if strings.HasSuffix(entry, "/") {
		return nil // a folder
	}
	if why := w.passOver(entry, f.Flags, f.Method); why != nil {
		why.Name = join(name, entry)
		w.left = append(w.left, *why)
		return nil
	}
	in, err := f.Open()
	if err != nil {
		return w.spoilt(join(name, entry), err)
	}
	defer in.Close()
	return w.entry(join(name, entry), in, depth+1)
}

// passOver tells why an entry is not even opened; nil where it is.
func (w *walker) passOver(entry string, flags, method uint16) *LeftOut {
	switch {
	case isHidden(entry):
		return &LeftOut{Why: say.Text("it is a hidden file of an operating system"), Quiet: true}
	case flags&1 != 0: // APPNOTE 4.4.4
		return &LeftOut{Why: errLocked.Error()}
	case method != zip.Store && method != zip.Deflate:
		return &LeftOut{Why: errMethod.Error()}
	}
	return nil
}

// plainPath undoes what some programs do to paths: \ for /, / in front.
func plainPath(name string) string {
	return strings.TrimLeft(strings.ReplaceAll(name, `\`, "/"), "/")
}

func isHidden(entry string) bool {
	for part := range strings.SplitSeq(entry, "/") {
		if strings.HasPrefix(part, ".") && part != "." && part != ".." || part == "__MACOSX" {
			return true
		}
	}
	base := strings.ToLower(path.Base(entry))
	return base == "thumbs.db" || base == "desktop.ini"
}

// mostDirectory is how long the directory of an archive may be. [zip.NewReader]
// holds all of it in memory; a thousand entries take about 0.1 MiB.
const mostDirectory = 4 << 20

// directory refuses an archive by the size of its directory, before that is
// read (APPNOTE 4.3.14 to 4.3.16).
func (w *walker) directory(r io.ReaderAt, size int64) error {
	const record, locator = 22, 20
	tail := make([]byte, min(size, record+locator+1<<16))
	at := size - int64(len(tail))
	if _, err := r.ReadAt(tail, at); err != nil && !errors.Is(err, io.EOF) {
		return asFault(err)
	}
	k := bytes.LastIndex(tail, []byte("PK\x05\x06"))
	if k < 0 || len(tail)-k < record {
		return nil // there is none
	}
	end := tail[k:]
	entries := uint64(binary.LittleEndian.Uint16(end[10:]))
	length := uint64(binary.LittleEndian.Uint32(end[12:]))
	start := uint64(binary.LittleEndian.Uint32(end[16:]))
	if k >= locator && bytes.HasPrefix(tail[k-locator:], []byte("PK\x06\x07")) {
		var end64 [56]byte
		where := binary.LittleEndian.Uint64(tail[k-locator+8:])
		if where < uint64(size) {
			if _, err := r.ReadAt(end64[:], int64(where)); err == nil && bytes.HasPrefix(end64[:], []byte("PK\x06\x06")) {
				entries = binary.LittleEndian.Uint64(end64[32:])
				length = binary.LittleEndian.Uint64(end64[40:])
				start = binary.LittleEndian.Uint64(end64[48:])
			}
		}
	}
	// Where it begins is told twice; NewReader takes either.
	before := uint64(at) + uint64(k)
	if length <= before {
		start = min(start, before-length)
	}
	if entries > uint64(w.use.lim.Entries) || start < before && before-start > mostDirectory {
		return errMany(w.use.lim.Entries)
	}
	return nil
}
