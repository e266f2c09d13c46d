package engine

import (
	"encoding/binary"
	"sort"
	"time"

	"plateau/wasm/app/wire"
)

// zoneOf is the zone of a clock by its offsets from UTC; UTC, and false, where
// none are given. The browser knows its zone's rules, and the engine none: it is
// told the offsets, and writes them as a file of zones (RFC 8536), which the time
// package reads.
func zoneOf(offsets []wire.Offset) (*time.Location, bool) {
	var list []wire.Offset
	for _, o := range offsets[:min(len(offsets), 250)] {
		if o.Minutes < -24*60 || o.Minutes > 24*60 || o.From < -1<<40 || o.From > 1<<40 {
			continue
		}
		list = append(list, o)
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].From < list[j].From })
	if len(list) == 0 {
		return time.UTC, false
	}
	head := func(b []byte, n int) []byte {
		b = append(b, "TZif2"...)
		b = append(b, make([]byte, 15)...)
		// Counts: marks of UTC, of standard time, leap seconds, transitions, types,
		// letters of names.
		names := 0
		if n > 0 {
			names = 1
		}
		for _, count := range []int{0, 0, 0, n, n, names} {
			b = binary.BigEndian.AppendUint32(b, uint32(count))
		}
		return b
	}
	b := head(head(nil, 0), len(list))
	for _, o := range list {
		b = binary.BigEndian.AppendUint64(b, uint64(o.From))
	}
	for k := range list {
		b = append(b, byte(k))
	}
	for _, o := range list {
		b = append(binary.BigEndian.AppendUint32(b, uint32(int32(o.Minutes*60))), 0, 0)
	}
	b = append(b, "\x00\n\n"...)
	zone, err := time.LoadLocationFromTZData("", b)
	if err != nil {
		return time.UTC, false
	}
	return zone, true
}
