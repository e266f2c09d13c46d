package workspace

import (
	"encoding/binary"

	"plateau/core/say"
)

const (
	slotMark = "PlSlot\x001"
	slotHead = len(slotMark) + 16
	slotTail = 32
)

// Seal makes of a document what is written into a slot:
//
//	8 bytes   "PlSlot", 0, "1"
//	8 bytes   seq, little-endian: one more than that of the slot written before
//	8 bytes   length of the document, little-endian
//	          the document
//	32 bytes  SHA-256 of all before
//
// There are two slots. Each write goes to the one that [Newest] does not name, so
// that whatever becomes of it, the other still has the state before.
func Seal(seq uint64, document []byte) []byte {
	b := make([]byte, 0, slotHead+len(document)+slotTail)
	b = append(b, slotMark...)
	b = binary.LittleEndian.AppendUint64(b, seq)
	b = binary.LittleEndian.AppendUint64(b, uint64(len(document)))
	b = append(b, document...)
	sum := sumOf(b)
	return append(b, sum[:]...)
}

// Newest is the document of the slot that is whole and was written last, its seq,
// and which of the slots it is, from 0; −1 where none is whole. An empty slot was
// never written. Bytes behind what was sealed are left over from a longer write,
// and are no fault. The notes say which slots were not taken and why. The
// document lies in the slot's bytes.
func Newest(slots ...[]byte) (seq uint64, document []byte, which int, notes []string) {
	which = -1
	for k, b := range slots {
		if len(b) == 0 {
			continue
		}
		n, doc, why := unseal(b)
		switch {
		case why != "":
			notes = append(notes, say.With("Copy %d of the autosave was not taken: %s.", k+1, say.Text(why)))
		case which < 0 || n > seq:
			seq, document, which = n, doc, k
		}
	}
	return seq, document, which, notes
}

func unseal(b []byte) (seq uint64, document []byte, why string) {
	const cut = say.Later("it is cut short, as by a crash while it was written")
	switch {
	case len(b) < slotHead+slotTail:
		return 0, nil, cut
	case string(b[:len(slotMark)]) != slotMark:
		return 0, nil, say.Later("it does not begin as one")
	}
	length := binary.LittleEndian.Uint64(b[slotHead-8:])
	if length > uint64(len(b)-slotHead-slotTail) {
		return 0, nil, cut
	}
	end := slotHead + int(length)
	if sumOf(b[:end]) != [slotTail]byte(b[end:end+slotTail]) {
		return 0, nil, say.Later("its check sum does not fit: it was changed, or written in part")
	}
	return binary.LittleEndian.Uint64(b[slotHead-16:]), b[slotHead:end], ""
}
