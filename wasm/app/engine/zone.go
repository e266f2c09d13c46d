package engine

import (
	"encoding/binary"
	"slices"
	"time"

	"plateau/wasm/app/wire"
)

// zoneOf is the zone of a clock by its offsets from UTC; UTC, and false, where
// none are given. The browser knows its zone's rules, and the engine none: it is
// told the offsets, and writes them as a file of zones (RFC 8536), which the time
// package reads.
func zoneOf(offsets []wire.Offset) (*time.Location, bool) {
	list := slices.Clone(offsets[:min(len(offsets), 250)])
	list = slices.DeleteFunc(list, func(o wire.Offset) bool {
		return o.Minutes < -24*60 || o.Minutes > 24*60 || o.From < -1<<40 || o.From > 1<<40
	})
	slices.SortStableFunc(list, func(a, b wire.Offset) int { return int(max(min(a.From-b.From, 1), -1)) })
	list = slices.CompactFunc(list, func(a, b wire.Offset) bool { return a.From == b.From })
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
