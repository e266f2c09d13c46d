package unpack

import "io"

// Limits bound what a packed file may make of itself.
type Limits struct {
	// Bytes is how much may come out of all decompressors together, and how
	// much text may be made of sheets.
	Bytes int64
	// Ratio is how many times its own size a file may unpack to, once that is
	// more than a MiB. Deflate reaches 1032 on zeros; logs and sheets 5 to 50.
	Ratio int64
	// Entries is how many files an archive may hold.
	Entries int
	// Cells of all sheets together, those left blank between others included.
	Cells int64
	// Depth of nested XML elements.
	Depth int
	// Held is how many bytes may lie in memory at a time (texts of a workbook,
	// an archive in an archive); four times the packed file comes on top.
	Held int64
}

// Default fits every log that a spreadsheet program can show.
var Default = Limits{
	Bytes: 512 << 20, Ratio: 200, Entries: 1000, Cells: 20_000_000, Depth: 64, Held: 16 << 20,
}

const ratioFrom = 1 << 20

// meter adds up what a walk has used.
type meter struct {
	lim    Limits
	packed int64 // size of the packed file
	out    int64 // bytes that came out of decompressors
	text   int64 // bytes of text made of sheets
	cells  int64
	held   int64
}

// count is r, the output of a decompressor, under the limits.
func (m *meter) count(r io.Reader) io.Reader { return &counted{r, m} }

type counted struct {
	r io.Reader
	m *meter
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	m := c.m
	m.out += int64(n)
	// Nothing is given with these: a caller may go on as long as bytes come.
	if m.out > m.lim.Bytes {
		return 0, errBig(m.lim.Bytes)
	}
	if m.out > ratioFrom && m.out/m.lim.Ratio > m.packed {
		return 0, errRatio
	}
	return n, err
}

// made counts text and cells made of a sheet.
func (m *meter) made(bytes, cells int) error {
	m.text += int64(bytes)
	m.cells += int64(cells)
	if m.text > m.lim.Bytes {
		return errBig(m.lim.Bytes)
	}
	if m.text > 16*ratioFrom && m.text/m.lim.Ratio > m.packed {
		return errRatio
	}
	if m.cells > m.lim.Cells {
		return errCells(m.lim.Cells)
	}
	return nil
}

// hold counts memory that is kept until it is released.
func (m *meter) hold(n int64) error {
	m.held += n
	if m.held > m.lim.Held+4*m.packed {
		return errHeld
	}
	return nil
}

func (m *meter) release(n int64) { m.held -= n }
