package unpack

import (
	"archive/zip"
	"bytes"
	"io"
	"strconv"

	"plateau/core/say"
)

// xlsxSheet gives one sheet of a workbook.
func (w *walker) xlsxSheet(name string, files map[string]*zip.File, at string, b *book) error {
	x, shut, err := w.open(files, at)
	if err != nil {
		return w.spoilt(name, err)
	}
	if x == nil {
		w.leave(name, badSheet(say.Error("%s is missing", clean(at))).Error(), false)
		return nil
	}
	defer shut()
	return w.sheet(name, &xlsxRows{x: x, book: b})
}

// xlsxRows reads the rows of a worksheet (ECMA-376 Part 1, 18.3.1).
type xlsxRows struct {
	x     *xmlReader
	book  *book
	data  bool // within sheetData
	last  int  // row, from 1
	value []byte
	out   []byte
}

func (s *xlsxRows) row(t *table) (bool, error) {
	more, err := s.next(t)
	if err != nil {
		err = asSheetFault(say.With("after row %d", s.last), err)
	}
	return more, err
}

func (s *xlsxRows) next(t *table) (bool, error) {
	x := s.x
	blank := 0
	for {
		tok, err := x.next()
		if err == io.EOF {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		if tok != startTag {
			continue
		}
		switch {
		case x.depth() == 1 && string(x.name) != "worksheet":
			return false, badSheet(say.Error("it is no worksheet"))
		case x.depth() == 2:
			s.data = string(x.name) == "sheetData"
		case x.depth() == 3 && s.data && string(x.name) == "row":
			at := s.last + 1
			if r := x.attr(nil, "r"); r != nil {
				if at, err = strconv.Atoi(string(r)); err != nil || at <= s.last {
					return false, badSheet(say.Error("its rows are out of order after row %d", s.last))
				}
			}
			blank += at - s.last - 1
			s.last = at
			if err := t.begin(blank); err != nil {
				return false, err
			}
			if err := s.cells(t); err != nil {
				return false, err
			}
			if t.cols > 0 {
				return true, nil
			}
			blank++
		}
	}
}

// cells reads the cells of the row that has begun.
func (s *xlsxRows) cells(t *table) error {
	x := s.x
	col := -1
	for outside := x.depth() - 1; x.depth() > outside; {
		tok, err := x.next()
		if err != nil {
			return err
		}
		if tok != startTag {
			continue
		}
		if string(x.name) != "c" {
			if err := x.skip(); err != nil {
				return err
			}
			continue
		}
		col++
		if ref := x.attr(nil, "r"); ref != nil {
			at, ok := column(ref)
			if !ok || at < col {
				return badSheet(say.Error("a cell of row %d is out of order (%q)", s.last, clip(ref)))
			}
			col = at
		}
		if err := s.cell(t, col); err != nil {
			return err
		}
	}
	return nil
}

// cell reads the cell that has begun (ECMA-376 Part 1, 18.3.1.4).
func (s *xlsxRows) cell(t *table, col int) error {
	x := s.x
	kind := string(x.attr(nil, "t"))
	style := x.number(nil, "s", 0)
	s.value = s.value[:0]
	in := false
	for outside := x.depth() - 1; x.depth() > outside; {
		tok, err := x.next()
		if err != nil {
			return err
		}
		switch {
		case tok == startTag && string(x.name) == "is":
			if s.value, err = richText(x, s.value[:0]); err != nil {
				return err
			}
		case tok == startTag && string(x.name) == "v":
			s.value, in = s.value[:0], true
		case tok == startTag: // a formula, say
			if err := x.skip(); err != nil {
				return err
			}
		case tok == endTag:
			in = false
		case in:
			if s.value = append(s.value, x.text...); len(s.value) > longestText {
				return badSheet(say.Error("a cell of row %d has more than %d characters", s.last, longestText))
			}
		}
	}
	return s.put(t, col, kind, style)
}

// put writes a cell by its type (ECMA-376 Part 1, 18.18.11).
func (s *xlsxRows) put(t *table, col int, kind string, style int) error {
	v := s.value
	if kind != "inlineStr" && kind != "str" {
		v = bytes.TrimSpace(v)
	}
	if len(v) == 0 {
		return nil
	}
	switch kind {
	case "s":
		k, err := strconv.Atoi(string(v))
		text, ok := s.book.texts.at(k)
		if err != nil || !ok {
			return badSheet(say.Error("a cell of row %d has a text that is missing", s.last))
		}
		return t.words(col, text)
	case "str":
		return t.words(col, unescapeText(v))
	case "inlineStr":
		return t.words(col, v)
	case "b":
		if string(v) == "1" || string(v) == "true" {
			return t.words(col, []byte("TRUE"))
		}
		return t.words(col, []byte("FALSE"))
	case "e":
		return nil
	case "d":
		if out, ok := appendISO(s.out[:0], v); ok {
			s.out = out
			return t.number(col, out)
		}
		return t.words(col, v)
	}
	f := plain
	if style < len(s.book.formats) {
		f = s.book.formats[style]
	}
	if f == plain && isShortest(v) {
		return t.number(col, v)
	}
	n, ok := parseNumber(v)
	if !ok {
		return badSheet(say.Error("a cell of row %d is marked as a number and is none (%q)", s.last, clip(v)))
	}
	out, ok := appendSerial(s.out[:0], n, f, s.book.epoch)
	if !ok {
		out = appendNumber(s.out[:0], n)
	}
	s.out = out
	return t.number(col, out)
}

// column is the column of a reference such as "AB12", from 0.
func column(ref []byte) (int, bool) {
	n := 0
	for k, c := range ref {
		switch {
		case c >= 'A' && c <= 'Z' && k < 4:
			n = n*26 + int(c-'A') + 1
		case c >= '0' && c <= '9' && k > 0:
			return n - 1, true
		default:
			return 0, false
		}
	}
	return 0, false
}

// clip shortens a text from a file to what fits in a message.
func clip(b []byte) string { return clean(string(b[:min(len(b), 40)])) }
