package main

import (
	"bytes"
	"encoding/binary"
	"regexp"
	"strings"
)

// unused names functions of the runtime that are linked but that nothing in a
// browser can come to call: what writes traces of the execution and profiles of
// the processor, which only runtime/trace and runtime/pprof start; metrics, which
// runtime/metrics reads and settings in GODEBUG count; and what such settings
// have printed. Programs that import one of those packages keep them all.
var unused = regexp.MustCompile(`^runtime\.(` + strings.Join([]string{
	`traceAdvance|traceReadCPU|traceSyncBatch|traceStack$|makeTraceFrame|fpunwindExpand|traceRegisterLabelsAndReasons|dumpStacksRec|dumpTypesRec`,
	`traceWriter\.|traceLocker\.[^o]|\(\*trace(Map|StringTable|RegionAlloc|StackTable|TypeTable|Buf)\)\.`,
	`initMetrics`,
	`schedtrace|printScavTrace|checkFinalizersAndCleanups`,
	`\(\*profBuf\)\.|doRecordGoroutineProfile|tryRecordGoroutineProfile`,
}, "|") + `)`)

// users are the packages that use them.
var users = []string{"runtime/trace.", "runtime/pprof.", "runtime/metrics."}

// trap is the body of a function that is never called: no locals, unreachable.
var trap = []byte{0, 0, opEnd}

// empty takes the bodies of unused functions away. The table has the module's
// own functions, each of them, in their order. A table that is not known leaves
// the bodies.
func (m *module) empty(memory []byte) error {
	t, err := find(memory)
	if err != nil {
		return nil // which dropWords comes upon as well, and says
	}
	never := map[int]bool{}
	for k, f := range t.entries {
		name := t.name(f)
		for _, user := range users {
			if strings.HasPrefix(name, user) {
				return nil
			}
		}
		if unused.MatchString(name) {
			never[k] = true
		}
	}
	codes := m.body(codeSection)
	if codes == nil {
		return errStart
	}
	r := reader{b: *codes}
	n := r.unsigned()
	if n != len(t.entries) {
		return nil
	}
	out := binary.AppendUvarint(nil, uint64(n))
	for k := range n {
		body := r.take(r.unsigned())
		if r.err != nil {
			return r.err
		}
		if never[k] {
			body = trap
		}
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	*codes = out
	return nil
}

func (t *functions) name(f int) string {
	name, _, _ := bytes.Cut(t.b[t.names+t.word(f+nameAt):t.units], []byte{0})
	return string(name)
}
