package unpack

import (
	"bufio"
	"compress/flate"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"io"
	"strings"

	"plateau/core/say"
)

// salvage goes through an archive that has lost its directory, which is at its
// end: what was cut short while it was copied. Each entry has a header of its
// own as well (APPNOTE 4.3.7), so that the whole ones in front can be had.
func (w *walker) salvage(name string, r io.Reader, depth int) error {
	in := bufio.NewReaderSize(r, 32<<10)
	whole := 0
	for {
		h, err := readLocal(in)
		if errors.Is(err, errDirectory) && whole > 0 {
			return nil
		}
		if err != nil {
			break
		}
		entry := plainPath(h.name)
		if lower := strings.ToLower(entry); lower == "[content_types].xml" || lower == "mimetype" || strings.HasPrefix(lower, "xl/") {
			return errDamaged // half a workbook is none
		}
		if w.entries++; w.entries > w.use.lim.Entries {
			return errMany(w.use.lim.Entries)
		}
		part := join(name, entry)
		body := h.body(in)
		if body == nil {
			break // its end cannot be told
		}
		why := w.passOver(entry, h.flags, h.method)
		switch {
		case why != nil:
			why.Name = part
			w.left = append(w.left, *why)
		case strings.HasSuffix(entry, "/"):
		default:
			if err := w.entry(part, body, depth+1); err != nil {
				return err
			}
		}
		if _, err := io.Copy(io.Discard, w.use.count(body)); err != nil {
			var f *Fault
			if errors.As(err, &f) && f.final {
				return f
			}
			break // nothing after it can be found
		}
		whole++
	}
	if whole == 0 {
		return errDamaged
	}
	why := say.Text("the archive is damaged or was cut short after its first file")
	if whole > 1 {
		why = say.With("the archive is damaged or was cut short after its first %d files", whole)
	}
	w.leave(join(name, say.Text("the rest")), why+". "+say.Text(hintDamaged), false)
	return nil
}

// local is what matters of an entry's own header.
type local struct {
	name          string
	flags, method uint16
	sum           uint32
	packed        int64
}

// errDirectory says that all entries came before.
var errDirectory = errors.New("the directory begins")

func readLocal(in *bufio.Reader) (local, error) {
	switch mark, _ := in.Peek(4); string(mark) {
	case "PK\x03\x04":
	case "PK\x01\x02":
		return local{}, errDirectory
	default:
		return local{}, errDamaged
	}
	var b [30]byte
	if _, err := io.ReadFull(in, b[:]); err != nil {
		return local{}, err
	}
	u16 := func(at int) uint16 { return binary.LittleEndian.Uint16(b[at:]) }
	h := local{flags: u16(6), method: u16(8), sum: binary.LittleEndian.Uint32(b[14:]),
		packed: int64(binary.LittleEndian.Uint32(b[18:]))}
	name := make([]byte, u16(26))
	if _, err := io.ReadFull(in, name); err != nil {
		return local{}, err
	}
	h.name = string(name)
	_, err := in.Discard(int(u16(28)))
	return h, err
}

// trailing says that the sizes and the check sum come after the data.
func (h local) trailing() bool { return h.flags&8 != 0 }

// body is the entry's content, with its check sum proved at the end; nil where
// nothing tells where it ends.
func (h local) body(in *bufio.Reader) io.Reader {
	locked := h.flags&1 != 0
	switch {
	case !h.trailing() && h.packed < 1<<32-1:
		packed := &io.LimitedReader{R: in, N: h.packed}
		if locked || h.method > 8 || h.method > 0 && h.method < 8 {
			return packed
		}
		if h.method == 0 {
			return &proved{r: packed, want: h.sum, rest: packed}
		}
		return &proved{r: flate.NewReader(bufio.NewReader(packed)), want: h.sum, rest: packed}
	case h.trailing() && h.method == 8 && !locked:
		// Deflate knows its own end, and reads no byte beyond it.
		return &proved{r: flate.NewReader(in), trailer: in}
	}
	return nil
}

// proved is the content of an entry; it ends with an error where the check sum
// does not fit.
type proved struct {
	r       io.Reader
	sum     uint32
	want    uint32
	rest    *io.LimitedReader // what is left of the packed bytes
	trailer *bufio.Reader     // has the check sum, where want is not known
	end     error
}

func (p *proved) Read(b []byte) (int, error) {
	if p.end != nil {
		return 0, p.end
	}
	n, err := p.r.Read(b)
	p.sum = crc32.Update(p.sum, crc32.IEEETable, b[:n])
	if errors.Is(err, io.EOF) {
		err = p.finish()
	}
	p.end = err
	return n, err
}

func (p *proved) finish() error {
	if p.trailer != nil {
		return p.descriptor()
	}
	if p.rest.N > 0 {
		if _, err := io.Copy(io.Discard, p.rest); err != nil {
			return err
		}
	}
	if p.rest.N > 0 || p.sum != p.want {
		return errDamaged
	}
	return io.EOF
}

// descriptor reads what follows the data: a mark that may be missing, the check
// sum, then two sizes of four or eight bytes (APPNOTE 4.3.9). Where the next
// header begins tells which.
func (p *proved) descriptor() error {
	b, err := p.trailer.Peek(28)
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	for _, mark := range []string{"PK\x07\x08", ""} {
		if !strings.HasPrefix(string(b), mark) {
			continue
		}
		for _, sizes := range []int{8, 16} {
			n := len(mark) + 4 + sizes
			if len(b) < n || binary.LittleEndian.Uint32(b[len(mark):]) != p.sum {
				continue
			}
			if next := b[n:]; len(next) >= 4 && !strings.HasPrefix(string(next), "PK") {
				continue
			}
			if _, err := p.trailer.Discard(n); err != nil {
				return err
			}
			return io.EOF
		}
	}
	return errDamaged
}
