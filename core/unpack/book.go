package unpack

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"strings"
)

type bookKind uint8

const (
	noBook bookKind = iota
	isXLSX
	isODS
)

// bookKind tells whether an archive is a workbook, and refuses what is a
// program's file of another kind. files are by their lower-case paths.
func (w *walker) bookKind(files map[string]*zip.File) (bookKind, *Fault) {
	has := func(name string) bool { return files[name] != nil }
	switch {
	case has("xl/workbook.bin"), has("index/document.iwa"):
		return noBook, errBinary
	case has("xl/workbook.xml"):
		return isXLSX, nil
	case has("word/document.xml"), has("ppt/presentation.xml"):
		return noBook, errDocument
	case has("encrypted-package"): // OpenDocument 1.3 Part 2, 3.4.1 and later
		return noBook, errLocked
	case has("mimetype") && has("content.xml"):
		const media = "application/vnd.oasis.opendocument."
		in, err := files["mimetype"].Open()
		if err != nil {
			return noBook, asFault(err)
		}
		defer in.Close()
		text, err := io.ReadAll(io.LimitReader(w.use.count(in), 100))
		if err != nil {
			return noBook, asFault(err)
		}
		what, ok := strings.CutPrefix(strings.TrimSpace(string(text)), media)
		switch {
		case !ok:
			return noBook, nil
		case strings.HasPrefix(what, "spreadsheet"):
			return isODS, nil
		}
		return noBook, errDocument
	case has("content.xml") && has("meta-inf/manifest.xml"):
		return isODS, nil
	}
	if has("[content_types].xml") && has("_rels/.rels") {
		return isXLSX, nil // with its workbook in an unusual place
	}
	return noBook, nil
}

// open opens one XML part of a workbook; nil where it has none such.
func (w *walker) open(files map[string]*zip.File, name string) (*xmlReader, func(), error) {
	f := files[strings.ToLower(strings.TrimPrefix(name, "/"))]
	if f == nil {
		return nil, nil, nil
	}
	if f.Flags&1 != 0 {
		return nil, nil, errLocked
	}
	if f.Method != zip.Store && f.Method != zip.Deflate {
		return nil, nil, errMethod
	}
	in, err := f.Open()
	if err != nil {
		return nil, nil, asFault(err)
	}
	return newXML(w.use.count(in), w.use.lim), func() { in.Close() }, nil
}

// each calls do for every start tag of one XML part, with the reader at it;
// done or not, the part's absence is no error.
func (w *walker) each(files map[string]*zip.File, name string, do func(x *xmlReader) error) error {
	x, shut, err := w.open(files, name)
	if x == nil {
		return err
	}
	defer shut()
	for {
		tok, err := x.next()
		if err == io.EOF {
			return nil
		}
		if err == nil && tok == startTag {
			err = do(x)
		}
		if err != nil {
			return asSheetFault(name, err)
		}
	}
}

// asSheetFault makes errors of reading a part of a workbook into words.
func asSheetFault(place string, err error) error {
	var bad xmlError
	if errors.As(err, &bad) {
		return badSheet(fmt.Errorf("%s: %w", place, err))
	}
	return asFault(err)
}
