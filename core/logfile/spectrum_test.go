package logfile

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// csv-spectrum (BSD-2-Clause) is twelve small CSV files, each with what it says
// as JSON. They are read from beside the project, and skipped where absent.
func TestCSVSpectrum(t *testing.T) {
	_, here, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference")
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		dir = env
	}
	files, err := filepath.Glob(filepath.Join(dir, "csv-spectrum", "csvs", "*.csv"))
	if err != nil || len(files) == 0 {
		t.Skip("csv-spectrum is not here: this check is skipped")
	}
	if len(files) != 12 {
		t.Errorf("%d files, want 12", len(files))
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".csv")
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			said, err := os.ReadFile(filepath.Join(dir, "csv-spectrum", "json", name+".json"))
			if err != nil {
				t.Fatal(err)
			}
			want := objects(t, said)
			records := records(text, ',')
			head, rows := records[0], records[1:]
			if len(rows) != len(want) {
				t.Fatalf("%d records, want %d: %q", len(rows), len(want), records)
			}
			for k, row := range rows {
				if len(row) != len(head) || len(row) != len(want[k]) {
					t.Fatalf("record %d has %d fields, want %d", k+1, len(row), len(want[k]))
				}
				for c, field := range row {
					// The JSON of this file has another number than its CSV.
					if name == "location_coordinates" && head[c] == "Contact Phone Number" {
						continue
					}
					if w, ok := want[k][head[c]]; !ok || field != w {
						t.Errorf("record %d, %q is %q, want %q", k+1, head[c], field, w)
					}
				}
			}
		})
	}
}

// objects are those of the JSON, be they in an array or one alone.
func objects(t *testing.T, said []byte) []map[string]string {
	var many []map[string]string
	if json.Unmarshal(said, &many) == nil {
		return many
	}
	var one map[string]string
	if err := json.Unmarshal(said, &one); err != nil {
		t.Fatal(err)
	}
	return []map[string]string{one}
}

// records are the fields of each record, the lines of an open quote joined as
// [rows.slow] does.
func records(text []byte, delimiter byte) (all [][]string) {
	var open []byte
	for line := range bytes.SplitSeq(bytes.TrimSuffix(text, []byte("\n")), []byte("\n")) {
		open = append(open, line...)
		if bytes.Count(open, []byte(`"`))%2 == 1 {
			open = append(open, '\n')
			continue
		}
		all = append(all, slices.Clone(splitLine(open, delimiter)))
		open = open[:0]
	}
	return all
}
