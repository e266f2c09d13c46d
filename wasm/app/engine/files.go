package engine

import (
	"path"
	"slices"
	"sort"
	"strings"
)

// put adds a file in the order of the ids.
func (e *Engine) put(f *file) {
	e.remove(f.id)
	e.files = append(e.files, f)
	sort.SliceStable(e.files, func(i, j int) bool { return e.files[i].id < e.files[j].id })
	for _, r := range f.runs {
		r.colour = uncoloured
	}
	e.colour()
	e.dropDemoTester()
}

// uncoloured marks a run that has no colour yet.
const uncoloured = -1

// colour gives runs without a colour the first ones that are free.
func (e *Engine) colour() {
	taken := map[int]bool{}
	for _, r := range e.all(nil) {
		taken[r.colour] = true
	}
	c := 0
	for _, r := range e.all(nil) {
		if r.colour != uncoloured {
			continue
		}
		for taken[c] {
			c++
		}
		r.colour, taken[c] = c, true
	}
}

func (e *Engine) remove(id int) {
	for k, f := range e.files {
		if f.id == id {
			e.files = slices.Delete(e.files, k, k+1)
			if f.own != nil {
				e.part()
			}
			e.dropDemoTester()
			return
		}
	}
}

// all lists the runs of every file, those hidden aside.
func (e *Engine) all(hidden []string) []*run {
	skip := map[string]bool{}
	for _, id := range hidden {
		skip[id] = true
	}
	var runs []*run
	for _, f := range e.files {
		for _, r := range f.runs {
			if !skip[r.id] {
				runs = append(runs, r)
			}
		}
	}
	return runs
}

// stem is a file's name without its ending; of a part of a packed file ("book.xlsx
// › Sheet 1.5", "logs.zip › a.csv") both names, since the part tells it from others.
func stem(name string) string {
	const within = " › "
	if k := strings.LastIndex(name, within); k >= 0 {
		part := name[k+len(within):]
		if !strings.HasSuffix(strings.ToLower(name[:k]), ".xlsx") && !strings.HasSuffix(strings.ToLower(name[:k]), ".ods") {
			part = stem(part)
		}
		return stem(name[:k]) + within + part
	}
	return strings.TrimSuffix(name, path.Ext(name))
}
