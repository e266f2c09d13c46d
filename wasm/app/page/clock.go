//go:build js && wasm

package page

import (
	"syscall/js"

	"plateau/wasm/app/wire"
)

// clockOffsets are those of the reader's clock from a week before a day and time
// ("2026-11-30T09:00", or now) to five years after it. The browser does not list
// them: each change is looked for between two days on which they differ.
func clockOffsets(start string) []wire.Offset {
	const week = 7 * 24 * 3600
	date := js.Global().Get("Date")
	at := func(second float64) int {
		return -date.New(second * 1000).Call("getTimezoneOffset").Int()
	}
	begin := date.New(start).Call("getTime").Float() / 1000
	if !(begin > -6e10 && begin < 2e11) { // none is typed
		begin = date.Call("now").Float() / 1000
	}
	from := int64(begin) - week
	offsets := []wire.Offset{{From: from, Minutes: at(float64(from))}}
	for end := from + 5*366*24*3600; from < end; from += week {
		low, high := from, from+week
		was, now := offsets[len(offsets)-1].Minutes, at(float64(high))
		if was == now {
			continue
		}
		for high-low > 1 {
			if mid := (low + high) / 2; at(float64(mid)) == was {
				low = mid
			} else {
				high = mid
			}
		}
		offsets = append(offsets, wire.Offset{From: high, Minutes: now})
	}
	return offsets
}
