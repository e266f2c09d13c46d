package engine

import (
	"bytes"

	"plateau/core/measure"
	"plateau/core/publish"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// download is the results of all discharges as CSV.
func (e *Engine) download() (*wire.Download, error) {
	var rows []publish.Row
	for _, f := range e.files {
		for _, r := range f.runs {
			if r.err == nil {
				rows = append(rows, publish.Row{Run: r.name, File: f.name, Results: r.res, Budgets: r.budgets, Cell: r.cell, Void: r.void,
					AtLeast: r.res.Ending == measure.NotReached})
			}
		}
	}
	if len(rows) == 0 {
		return nil, say.Error("There are no results to download.")
	}
	var b bytes.Buffer
	if err := publish.ResultsCSV(&b, rows); err != nil {
		return nil, err
	}
	return &wire.Download{Name: "results.csv", Type: "text/csv;charset=utf-8", Text: b.String()}, nil
}
