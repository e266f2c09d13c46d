package unpack

import (
	"archive/zip"
	"io"
	"path"
	"strconv"
	"strings"

	"plateau/core/say"
)

// book is what all sheets of one .xlsx share.
type book struct {
	epoch   int      // days since 1970-01-01 of day 0
	formats []format // by the index that a cell's style is
	texts   texts
}

// sheetAt is one sheet as the workbook lists it.
type sheetAt struct {
	name, path string
	hidden     bool
}

// xlsx goes through the sheets of a workbook (ECMA-376 Part 1, 18).
func (w *walker) xlsx(name string, files map[string]*zip.File) error {
	at, err := w.workbookPath(files)
	if err != nil {
		return err
	}
	b := &book{epoch: epoch1900, texts: texts{use: &w.use}}
	defer func() { w.use.release(b.texts.held) }()
	sheets, err := w.workbook(files, at, b)
	if err != nil {
		return err
	}
	folder := path.Dir(at)
	if err := w.styles(files, path.Join(folder, "styles.xml"), b); err != nil {
		return err
	}
	if err := w.sharedStrings(files, path.Join(folder, "sharedStrings.xml"), b); err != nil {
		return err
	}
	for _, hidden := range []bool{false, true} {
		for _, s := range sheets {
			if s.hidden != hidden {
				continue
			}
			if err := w.xlsxSheet(join(name, s.name), files, s.path, b); err != nil {
				return err
			}
		}
	}
	return nil
}

// workbookPath follows the package's own relationships to the workbook
// (ECMA-376 Part 2, 9.3).
func (w *walker) workbookPath(files map[string]*zip.File) (string, error) {
	at := "xl/workbook.xml"
	err := w.each(files, "_rels/.rels", func(x *xmlReader) error {
		if string(x.name) == "Relationship" && strings.HasSuffix(string(x.attr(nil, "Type")), "/officeDocument") {
			if to := target("", x); files[strings.ToLower(to)] != nil {
				at = to
			}
		}
		return nil
	})
	if err == nil && files[strings.ToLower(at)] == nil {
		err = errDocument
	}
	return at, err
}

// target is where a relationship leads to from a folder; empty where that is
// outside of the package.
func target(folder string, x *xmlReader) string {
	if string(x.attr(nil, "TargetMode")) == "External" {
		return ""
	}
	to := strings.ReplaceAll(string(x.attr(nil, "Target")), `\`, "/")
	if !strings.HasPrefix(to, "/") {
		to = path.Join("/", folder, to)
	}
	return strings.TrimPrefix(path.Clean(to), "/")
}

// workbook lists the sheets, and finds which date system they keep.
func (w *walker) workbook(files map[string]*zip.File, at string, b *book) ([]sheetAt, error) {
	folder, file := path.Split(at)
	paths := map[string]string{}
	err := w.each(files, folder+"_rels/"+file+".rels", func(x *xmlReader) error {
		// Charts and dialogues are sheets too, of other types.
		if string(x.name) == "Relationship" && strings.HasSuffix(string(x.attr(nil, "Type")), "/worksheet") && len(paths) < w.use.lim.Entries {
			if to, id := target(folder, x), x.attr(nil, "Id"); len(to)+len(id) < 1024 {
				paths[string(id)] = to
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	var sheets []sheetAt
	err = w.each(files, at, func(x *xmlReader) error {
		switch {
		case x.depth() == 1 && string(x.name) != "workbook":
			return errDocument
		case x.depth() == 2 && string(x.name) == "workbookPr":
			if v := string(x.attr(nil, "date1904")); v == "1" || v == "true" || v == "on" {
				b.epoch = epoch1904
			}
		case x.depth() == 3 && string(x.name) == "sheet":
			s := sheetAt{name: clean(string(x.attr(nil, "name")))}
			for _, a := range x.attrs {
				if len(a.space) > 0 && string(a.name) == "id" {
					s.path = paths[string(a.value)]
				}
			}
			state := string(x.attr(nil, "state"))
			s.hidden = state == "hidden" || state == "veryHidden"
			if s.path != "" {
				sheets = append(sheets, s)
			}
			if len(sheets) > w.use.lim.Entries {
				return errMany(w.use.lim.Entries)
			}
		}
		return nil
	})
	return sheets, err
}

// mostStyles is how many cell formats a workbook can have (64 000 in practice).
const mostStyles = 1 << 17

// styles finds which cell formats are dates and times (ECMA-376 Part 1, 18.8).
func (w *walker) styles(files map[string]*zip.File, at string, b *book) error {
	own := map[int]format{}
	cells := false
	return w.each(files, at, func(x *xmlReader) error {
		if x.depth() == 2 {
			cells = string(x.name) == "cellXfs"
		}
		if x.depth() != 3 {
			return nil
		}
		switch {
		case string(x.name) == "numFmt":
			own[x.number(nil, "numFmtId", 0)] = formatOf(string(x.attr(nil, "formatCode")))
		case cells && string(x.name) == "xf":
			id := x.number(nil, "numFmtId", 0)
			f, ok := own[id]
			if !ok {
				f = builtIn(id)
			}
			b.formats = append(b.formats, f)
		}
		if len(own) > mostStyles || len(b.formats) > mostStyles {
			return badSheet(say.Error("more than %d styles", mostStyles))
		}
		return nil
	})
}

// texts are the shared texts of a workbook, kept in pieces that are never
// copied.
type texts struct {
	use   *meter
	held  int64
	piece [][]byte
	ends  []uint32 // where each text ends, counted over all pieces
}

// textPiece is also the longest text that is kept whole.
const textPiece = 256 << 10

// add keeps a copy of one text. It never lies in two pieces: what is left of a
// piece goes unused then.
func (s *texts) add(text []byte) error {
	const perText = 8 // of ends, with room to grow
	last := len(s.piece) - 1
	need := int64(perText)
	if last < 0 || len(s.piece[last])+len(text) > textPiece {
		need += textPiece
	}
	s.held += need
	if err := s.use.hold(need); err != nil {
		return err
	}
	if need > perText {
		s.piece = append(s.piece, make([]byte, 0, textPiece))
		last++
	}
	s.piece[last] = append(s.piece[last], text...)
	s.ends = append(s.ends, uint32(last*textPiece+len(s.piece[last])))
	return nil
}

func (s *texts) at(k int) ([]byte, bool) {
	if k < 0 || k >= len(s.ends) {
		return nil, false
	}
	end := s.ends[k]
	from := uint32(0)
	if k > 0 {
		from = s.ends[k-1]
	}
	// An end at the edge of two pieces is that of the first.
	p := uint32(0)
	if end > 0 {
		p = (end - 1) / textPiece
	}
	from = max(from, p*textPiece)
	return s.piece[p][from-p*textPiece : end-p*textPiece], true
}

// sharedStrings keeps the texts that cells share (ECMA-376 Part 1, 18.4).
func (w *walker) sharedStrings(files map[string]*zip.File, at string, b *book) error {
	x, shut, err := w.open(files, at)
	if x == nil {
		return err
	}
	defer shut()
	var text []byte
	for {
		tok, err := x.next()
		if err == io.EOF {
			return nil
		}
		if err == nil && tok == startTag && x.depth() == 2 && string(x.name) == "si" {
			if text, err = richText(x, text[:0]); err == nil {
				err = b.texts.add(text)
			}
		}
		if err != nil {
			return asSheetFault(at, err)
		}
	}
}

// richText is the text of the element that has begun, its t elements in a row,
// without what only tells how it is spoken (ECMA-376 Part 1, 18.4.8, 18.4.6).
func richText(x *xmlReader, to []byte) ([]byte, error) {
	in := false
	for outside := x.depth() - 1; x.depth() > outside; {
		tok, err := x.next()
		if err != nil {
			return to, err
		}
		switch {
		case tok == startTag && string(x.name) == "rPh":
			if err := x.skip(); err != nil {
				return to, err
			}
		case tok == startTag:
			in = string(x.name) == "t"
		case tok == endTag:
			in = false
		case in:
			if to = append(to, x.text...); len(to) > longestText {
				return to, badSheet(say.Error("a text of more than %d characters", longestText))
			}
		}
	}
	return unescapeText(to), nil
}

// unescapeText undoes _xHHHH_, which stands for a character that XML could not
// hold (ECMA-376 Part 1, 22.9.2.19).
func unescapeText(b []byte) []byte {
	s := string(b)
	if !strings.Contains(s, "_x") {
		return b
	}
	to := b[:0]
	for k := 0; k < len(s); k++ {
		if rest := s[k:]; len(rest) >= 7 && rest[0] == '_' && rest[1] == 'x' && rest[6] == '_' {
			if r, err := strconv.ParseUint(rest[2:6], 16, 16); err == nil {
				to = append(to, string(rune(r))...)
				k += 6
				continue
			}
		}
		to = append(to, s[k])
	}
	return to
}
