//go:build !js

package unpack

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// python is an interpreter that has both writers of workbooks; the test is
// skipped where there is none.
func python(t *testing.T) string {
	t.Helper()
	for _, dir := range append([]string{""}, filepath.SplitList(os.Getenv("PATH"))...) {
		path, err := exec.LookPath(filepath.Join(dir, "python3"))
		if err == nil && exec.Command(path, "-c", "import openpyxl, odf").Run() == nil {
			return path
		}
	}
	t.Skip("no python3 with openpyxl and odfpy here: the comparison with other writers is skipped")
	return ""
}

// randomTable makes rows of all kinds of cells for the script, and what they are as
// text, by means of the standard library alone.
func randomTable(rng *rand.Rand, rows int) (cells [][]any, want string) {
	texts := []string{"Voltage / V", `a "quoted", text`, "Spannung", "電圧", "=1+1", "0,5", " x ", "<&>", "a;b", "it's"}
	var b strings.Builder
	width := 1
	for range rows {
		row := []any{}
		fields := []string{}
		last := 0
		for c := range 1 + rng.IntN(8) {
			var kind string
			var value any
			var text string
			switch rng.IntN(8) {
			case 0, 1, 2:
				x := math.Float64frombits(rng.Uint64())
				if math.IsNaN(x) || math.IsInf(x, 0) || rng.IntN(3) > 0 {
					x = math.Round(rng.NormFloat64()*1e4) / 1e4
				}
				x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 16, 64), 64) // one writer keeps 16 digits
				kind, value = "n", x
				text = strconv.FormatFloat(x, 'f', -1, 64)
				if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e15) {
					text = strconv.FormatFloat(x, 'e', -1, 64)
				}
			case 3:
				kind, value = "s", texts[rng.IntN(len(texts))]
				text = strings.TrimSpace(value.(string))
				if strings.ContainsAny(text, `,"`) {
					text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
				}
			case 4:
				kind, value = "b", rng.IntN(2) == 0
				text = strings.ToUpper(strconv.FormatBool(value.(bool)))
			case 5:
				// From 1901 to 2099, since what is older counts as time elapsed.
				at := time.Date(1901, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rng.Int64N(6_000_000_000_000)) * time.Millisecond)
				kind, value = "t", at.Format("2006-01-02T15:04:05.000")
				text = at.Format("2006-01-02T15:04:05.000")
				text = strings.TrimSuffix(text, ".000")
			case 6:
				at := time.Date(1901, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rng.IntN(70_000))
				kind, value = "d", at.Format(time.DateOnly)
				text = at.Format(time.DateOnly)
			default:
				row = append(row, nil)
				fields = append(fields, "")
				continue
			}
			row = append(row, []any{kind, value})
			fields = append(fields, text)
			last = c + 1
		}
		cells = append(cells, row)
		if last > 0 {
			width = max(width, last)
			b.WriteString(strings.Join(fields[:last], ",") + strings.Repeat(",", width-last))
		}
		b.WriteString("\n")
	}
	// Two rows that make the sheet one of a log, times elapsed in them.
	for _, seconds := range []float64{0.5, 359_999.25} {
		cells = append(cells, []any{[]any{"e", seconds}, []any{"n", 3.98}})
	}
	pad := strings.Repeat(",", max(width-2, 0))
	b.WriteString("0:00:00.500,3.98" + pad + "\n99:59:59.250,3.98" + pad + "\n")
	return cells, b.String()
}

// Workbooks by other writers (openpyxl and odfpy) hold what was put into them,
// number for number to the last bit.
func TestOtherWritersBooks(t *testing.T) {
	interpreter := python(t)
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 4))
		cells, want := randomTable(rng, 120)
		dir := t.TempDir()
		data, err := json.Marshal(cells)
		if err != nil {
			t.Fatal(err)
		}
		table := filepath.Join(dir, "table.json")
		if err := os.WriteFile(table, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(interpreter, filepath.Join("testdata", "write_books.py"), table, dir).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		for _, name := range []string{"book.xlsx", "book.ods"} {
			b, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			got := only(t, b)
			if got == want {
				continue
			}
			gotLines, wantLines := strings.Split(got, "\n"), strings.Split(want, "\n")
			for k := range min(len(gotLines), len(wantLines)) {
				if gotLines[k] != wantLines[k] {
					t.Fatalf("seed %d, %s, line %d:\n%s\nwant\n%s", seed, name, k+1, gotLines[k], wantLines[k])
				}
			}
			t.Fatalf("seed %d, %s: %d lines, want %d", seed, name, len(gotLines), len(wantLines))
		}
	}
}
