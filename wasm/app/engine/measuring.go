package engine

import "plateau/core/measure"

// measure works out every run's figures anew: of those that are not in view when
// they are asked for.
func (e *Engine) measure() {
	for _, f := range e.files {
		for _, r := range f.runs {
			if r.late = e.far[r.id]; r.late {
				e.late = true
				continue
			}
			e.measureRun(f, r)
		}
	}
}

// settle works out what was put off.
func (e *Engine) settle() {
	if !e.late {
		return
	}
	e.late = false
	for _, f := range e.files {
		for _, r := range f.runs {
			if r.late {
				e.measureRun(f, r)
			}
		}
	}
}

// setFar says which runs are not in view.
func (e *Engine) setFar(runs []string) {
	e.far = map[string]bool{}
	for _, id := range runs {
		e.far[id] = true
	}
}

// measureCells works out the runs of some cells anew.
func (e *Engine) measureCells(changed map[string]bool) {
	for _, f := range e.files {
		for _, r := range f.runs {
			if changed[r.cell] {
				e.measureRun(f, r)
			}
		}
	}
	e.checkTyped()
}

func (e *Engine) measureRun(f *file, r *run) {
	r.late = false
	l := e.level(r, e.cutoff)
	r.whole = e.level(r, 0)
	r.res, r.err, r.budgets, r.use = l.res, l.err, l.budgets, l.use
	r.checks = measure.Findings(measure.Facts{Run: r.Run, Results: r.res, Cutoff: e.cutoff, Cell: e.cellNamed(r.cell), Tester: e.spec,
		Words: e.words, Charge: r.charge, WentBack: f.log.WentBack, WentBackLine: f.log.WentBackLine,
		Restarts: f.log.Restarts, RestartLine: f.log.RestartLine})
}
