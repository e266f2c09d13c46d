package wire

import "plateau/wasm/app/plain"

// Slimmer leaves out of views what the page was sent before: of files, runs and
// rows of the cut-offs that have not changed there is but the name, and Same.
type Slimmer struct{ sent map[string]string }

// Reset has the next view be whole.
func (s *Slimmer) Reset() { s.sent = nil }

// Slim takes out of a view what was sent.
func (s *Slimmer) Slim(v *View) {
	if s.sent == nil {
		s.sent = map[string]string{}
	}
	was := s.sent
	s.sent = map[string]string{}
	same := func(key string, x any) bool {
		text, err := plain.Marshal(x)
		s.sent[key] = string(text)
		old, ok := was[key]
		return err == nil && ok && old == string(text)
	}
	for k, f := range v.Files {
		if same("file "+f.Name+"\x00"+string(rune(f.ID)), f) {
			v.Files[k] = File{ID: f.ID, Same: true}
		}
	}
	for k, r := range v.Runs {
		if same("run "+r.ID, r) {
			v.Runs[k] = Run{ID: r.ID, Same: true}
		}
	}
	if v.Cutoffs != nil {
		for k, r := range v.Cutoffs.Rows {
			if same("cutoffs "+r.Run, r) {
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
