package unpack

import (
	"archive/zip"
	"bytes"
	"io"

	"plateau/core/say"
)

// ods goes through the sheets of a workbook (OpenDocument 1.3 Part 3, 9).
// All of them are in one document, so that it is gone through once more for
// the hidden ones.
func (w *walker) ods(name string, files map[string]*zip.File) error {
	if err := w.odsLocked(files); err != nil {
		return err
	}
	for _, hidden := range []bool{false, true} {
		x, shut, err := w.open(files, "content.xml")
		if err != nil {
			return err
		}
		if x == nil {
			return errDamaged
		}
		s := &odsRows{x: x, hiddenStyle: map[string]bool{}}
		seen, err := w.odsSheets(name, s, hidden)
		shut()
		if err != nil {
			return asSheetFault("content.xml", err)
		}
		if !seen {
			break
		}
	}
	return nil
}

// odsSheets gives the sheets that are hidden, or those that are not, and tells
// whether there are any hidden ones.
func (w *walker) odsSheets(name string, s *odsRows, hidden bool) (seen bool, err error) {
	for n := 0; ; n++ {
		sheet, isHidden, err := s.nextSheet()
		if err == io.EOF {
			return seen, nil
		}
		if err != nil {
			return seen, err
		}
		if n >= w.use.lim.Entries {
			return seen, errMany(w.use.lim.Entries)
		}
		seen = seen || isHidden
		if isHidden == hidden {
			if err := w.sheet(join(name, sheet), s); err != nil {
				return seen, err
			}
		}
		if err := s.endSheet(); err != nil {
			if s.broken { // was told already, and nothing after it can be found
				return false, nil
			}
			return seen, err
		}
	}
}

// odsLocked looks for parts that need a password (OpenDocument 1.3 Part 2,
// 3.4.1: encryption-data in the manifest).
func (w *walker) odsLocked(files map[string]*zip.File) error {
	return w.each(files, "META-INF/manifest.xml", func(x *xmlReader) error {
		if string(x.name) == "encryption-data" {
			return errLocked
		}
		return nil
	})
}

// namespaces of OpenDocument by the prefixes that a document gives them, which
// are nearly always the customary ones.
type namespaces struct{ office, table, text, style []byte }

func (n *namespaces) learn(x *xmlReader) {
	n.office, n.table, n.text, n.style = []byte("office"), []byte("table"), []byte("text"), []byte("style")
	const urn = "urn:oasis:names:tc:opendocument:xmlns:"
	for _, a := range x.attrs {
		if string(a.space) != "xmlns" {
			continue
		}
		switch string(a.value) {
		case urn + "office:1.0":
			n.office = bytes.Clone(a.name)
		case urn + "table:1.0":
			n.table = bytes.Clone(a.name)
		case urn + "text:1.0":
			n.text = bytes.Clone(a.name)
		case urn + "style:1.0":
			n.style = bytes.Clone(a.name)
		}
	}
}

// odsRows reads the sheets of content.xml and their rows.
type odsRows struct {
	x           *xmlReader
	ns          namespaces
	hiddenStyle map[string]bool // names of table styles
	style       string          // the one that is being read
	inBook      bool            // within office:spreadsheet
	again       int             // times that the last row is to come once more
	value, out  []byte
	broken      bool // something in the sheet was wrong
}

// sheetDepth is that of a sheet: document-content, body, spreadsheet, table.
const sheetDepth = 4

// nextSheet goes to the next sheet; io.EOF after the last.
func (s *odsRows) nextSheet() (name string, hidden bool, err error) {
	x := s.x
	for {
		tok, err := x.next()
		if err != nil {
			return "", false, err
		}
		if tok != startTag {
			continue
		}
		switch depth := x.depth(); {
		case depth == 1:
			s.ns.learn(x)
		case depth == 3 && s.is(s.ns.office, "spreadsheet"):
			s.inBook = true
		case depth == 3 && s.is(s.ns.style, "style"):
			s.style = string(x.attr(s.ns.style, "name"))
		case depth == 4 && s.is(s.ns.style, "table-properties"):
			if string(x.attr(s.ns.table, "display")) == "false" && len(s.style) < 256 && len(s.hiddenStyle) < 4096 {
				s.hiddenStyle[s.style] = true
			}
		case depth == sheetDepth && s.inBook && s.is(s.ns.table, "table"):
			hidden = s.hiddenStyle[string(x.attr(s.ns.table, "style-name"))]
			return string(x.attr(s.ns.table, "name")), hidden, nil
		case depth == sheetDepth && s.inBook: // changes that were tracked, links
			if err := x.skip(); err != nil {
				return "", false, err
			}
		}
	}
}

// endSheet goes to the end of the sheet that is being read.
func (s *odsRows) endSheet() error {
	s.again = 0
	for s.x.depth() >= sheetDepth {
		if _, err := s.x.next(); err != nil {
			return err
		}
	}
	s.broken = false
	return nil
}

func (s *odsRows) is(space []byte, name string) bool {
	return string(s.x.name) == name && bytes.Equal(s.x.space, space)
}

func (s *odsRows) row(t *table) (bool, error) {
	more, err := s.next(t)
	if err != nil {
		err = asSheetFault(say.With("after row %d", t.rows), err)
		s.broken = true
	}
	return more, err
}

func (s *odsRows) next(t *table) (bool, error) {
	if s.again > 0 {
		s.again--
		if t.rows >= mostRows {
			return false, badSheet(say.Error("it has more than %d rows", mostRows))
		}
		t.blank = 0
		return true, nil
	}
	x := s.x
	blank := 0
	for x.depth() >= sheetDepth {
		tok, err := x.next()
		if err != nil {
			return false, err
		}
		if tok != startTag {
			continue
		}
		switch {
		case s.is(s.ns.table, "table-rows"), s.is(s.ns.table, "table-row-group"), s.is(s.ns.table, "table-header-rows"):
		case s.is(s.ns.table, "table-row"):
			times := max(1, x.number(s.ns.table, "number-rows-repeated", 1))
			mark := t.rows // begin minds the limit only where the row is not blank
			t.line = t.line[:0]
			t.cols, t.numbers, t.texts, t.blank = 0, 0, 0, blank
			if err := s.cells(t); err != nil {
				return false, err
			}
			if t.cols > 0 {
				if mark+blank >= mostRows {
					return false, badSheet(say.Error("it has more than %d rows", mostRows))
				}
				s.again = times - 1
				return true, nil
			}
			blank = min(blank+times, mostRows)
		default:
			if err := x.skip(); err != nil {
				return false, err
			}
		}
	}
	return false, nil
}

// cells reads the cells of the row that has begun.
func (s *odsRows) cells(t *table) error {
	x := s.x
	col := 0
	for outside := x.depth() - 1; x.depth() > outside; {
		tok, err := x.next()
		if err != nil {
			return err
		}
		if tok != startTag {
			continue
		}
		if !s.is(s.ns.table, "table-cell") && !s.is(s.ns.table, "covered-table-cell") {
			if err := x.skip(); err != nil {
				return err
			}
			continue
		}
		times := max(1, x.number(s.ns.table, "number-columns-repeated", 1))
		number, err := s.cell(t.rows + t.blank + 1)
		if err != nil {
			return err
		}
		if len(bytes.TrimSpace(s.value)) > 0 {
			for k := range times {
				if number {
					err = t.number(col+k, s.value)
				} else {
					err = t.words(col+k, s.value)
				}
				if err != nil {
					return err
				}
			}
		}
		col = min(col+times, mostColumns+1)
	}
	return nil
}
