package engine

import (
	"bytes"
	"reflect"

	"plateau/core/demo"
	"plateau/core/logfile"
)

// demo reads the demo's logs by the same way as any other, and takes its cells'
// datasheets, its tester and its plan, where nothing else was said of them.
func (e *Engine) demo(id int) {
	for _, c := range demo.Cells() {
		if e.cells[c.Name] == nil {
			w := e.cellTyped(c)
			w.Arrived = e.arrivedTyped(demo.Arrived(c.Name))
			e.setCell(&w)
		}
	}
	if testerEmpty(e.tester) {
		w := e.testerTyped(demo.Tester())
		e.setTester(&w)
		e.demoTester = true
	}
	if reflect.ValueOf(e.plan).IsZero() {
		e.plan.Currents = []string{"3", "6", "12", "18"}
	}
	for _, l := range demo.Logs() {
		var text bytes.Buffer
		_, err := l.WriteTo(&text)
		var log *logfile.Log
		if err == nil {
			log, err = logfile.Read(l.Name, bytes.NewReader(text.Bytes()))
		}
		f := e.file(id, l.Name, log, err)
		f.head, f.demo = text.Bytes()[:min(text.Len(), keptHead)], true
		e.put(f)
		id++
	}
}

// dropDemoTester forgets the demo's tester once there are other logs, or none of
// the demo's any more.
func (e *Engine) dropDemoTester() {
	of := map[bool]int{}
	for _, f := range e.files {
		of[f.demo]++
	}
	if e.demoTester && (of[true] == 0 || of[false] > 0) {
		e.demoTester = false
		e.setTester(nil)
	}
}
