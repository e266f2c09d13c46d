package wire

import "reflect"

// Slimmer leaves out of views what the page was sent before: of files, runs and
// rows of the cut-offs that have not changed there is but the name, and Same; of
// the cells nothing. What has changed and is not in view may come later.
type Slimmer struct {
	files map[int]File
	runs  map[string]Run
	rows  map[string]CutoffRow
	cells []Cell
	far   map[string]bool
}

// Reset has the next view be whole.
func (s *Slimmer) Reset() { *s = Slimmer{far: s.far} }

// Far names the runs whose rows are not in view.
func (s *Slimmer) Far(runs []string) {
	s.far = map[string]bool{}
	for _, id := range runs {
		s.far[id] = true
	}
}

// Slim takes out of a view what was sent, and what can come later, and says in it
// whether there is such. All is in the view where whole.
func (s *Slimmer) Slim(v *View, whole bool) {
	was := *s
	*s = Slimmer{map[int]File{}, map[string]Run{}, map[string]CutoffRow{}, v.Cells, was.far}
	if was.cells != nil && reflect.DeepEqual(was.cells, v.Cells) {
		v.Cells, v.CellsSame = []Cell{}, true
	}
	for k, f := range v.Files {
		s.files[f.ID] = f
		if old, ok := was.files[f.ID]; ok && reflect.DeepEqual(old, f) {
			v.Files[k] = File{ID: f.ID, Same: true}
		}
	}
	for k, r := range v.Runs {
		old, ok := was.runs[r.ID]
		same, later := s.leave(r.ID, ok && !r.Late && reflect.DeepEqual(old, r), ok, r.Late, whole)
		if s.runs[r.ID] = r; later {
			s.runs[r.ID], v.More = old, true
		}
		if same || later {
			v.Runs[k] = Run{ID: r.ID, Same: true}
		}
	}
	if v.Cutoffs == nil {
		return
	}
	for k, r := range v.Cutoffs.Rows {
		old, ok := was.rows[r.Run]
		same, later := s.leave(r.Run, ok && !r.Late && reflect.DeepEqual(old, r), ok, r.Late, whole)
		if s.rows[r.Run] = r; later {
			s.rows[r.Run], v.More = old, true
		}
		if same || later {
			v.Cutoffs.Rows[k] = CutoffRow{Run: r.Run, Same: true}
		}
	}
}

// leave tells whether a row is left out: since it is the same, or since it comes
// later.
func (s *Slimmer) leave(run string, same, had, late, whole bool) (bool, bool) {
	return same, late || had && !same && !whole && s.far[run]
}

// Fill puts into a view what was left out, from the view before. False says
// that something is not in that: the whole view is to be asked for.
func (v *View) Fill(before *View) bool {
	files, runs, rows := map[int]File{}, map[string]Run{}, map[string]CutoffRow{}
	for _, f := range before.Files {
		files[f.ID] = f
	}
	for _, r := range before.Runs {
		runs[r.ID] = r
	}
	if before.Cutoffs != nil {
		for _, r := range before.Cutoffs.Rows {
			rows[r.Run] = r
		}
	}
	whole := true
	if v.CellsSame {
		v.Cells, whole = before.Cells, before.Cells != nil
	}
	for k, f := range v.Files {
		if f.Same {
			was, ok := files[f.ID]
			v.Files[k], whole = was, whole && ok
		}
	}
	for k, r := range v.Runs {
		if r.Same {
			was, ok := runs[r.ID]
			v.Runs[k], whole = was, whole && ok
		}
	}
	if v.Cutoffs != nil {
		for k, r := range v.Cutoffs.Rows {
			if r.Same {
				was, ok := rows[r.Run]
				v.Cutoffs.Rows[k], whole = was, whole && ok
			}
		}
	}
	return whole
}
