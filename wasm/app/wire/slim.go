package wire

import "reflect"

// Slimmer leaves out of views what the page was sent before: of files, runs and
// rows of the cut-offs that have not changed there is but the name, and Same.
type Slimmer struct {
	files map[int]File
	runs  map[string]Run
	rows  map[string]CutoffRow
}

// Reset has the next view be whole.
func (s *Slimmer) Reset() { *s = Slimmer{} }

// Slim takes out of a view what was sent.
func (s *Slimmer) Slim(v *View) {
	was := *s
	*s = Slimmer{map[int]File{}, map[string]Run{}, map[string]CutoffRow{}}
	for k, f := range v.Files {
		s.files[f.ID] = f
		if old, ok := was.files[f.ID]; ok && reflect.DeepEqual(old, f) {
			v.Files[k] = File{ID: f.ID, Same: true}
		}
	}
	for k, r := range v.Runs {
		s.runs[r.ID] = r
		if old, ok := was.runs[r.ID]; ok && reflect.DeepEqual(old, r) {
			v.Runs[k] = Run{ID: r.ID, Same: true}
		}
	}
	if v.Cutoffs != nil {
		for k, r := range v.Cutoffs.Rows {
			s.rows[r.Run] = r
			if old, ok := was.rows[r.Run]; ok && reflect.DeepEqual(old, r) {
				v.Cutoffs.Rows[k] = CutoffRow{Run: r.Run, Same: true}
			}
		}
	}
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
