package publish

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// everything asks for all parts there are.
func everything() Options {
	var o Options
	for _, p := range Parts() {
		o.Parts = append(o.Parts, p.Key)
	}
	return o
}

const drawing = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 360" role="img" aria-label="Curves"><defs><clipPath id="c"><rect width="640" height="360"/></clipPath></defs>` +
	`<g clip-path="url(#c)"><path d="M20 20 C 200 80 400 90 600 320" fill="none" stroke="#0a5" stroke-width="3"/><text x="30" y="340">Capacity / Ah (url(x) \ % #)</text></g></svg>`

var (
	hostileTexts = map[string]string{}
	sampleTexts  = map[string]string{}
)

// allOf are the texts of the hostile post with all its parts, made once.
func allOf(t *testing.T) map[string]string {
	if len(hostileTexts) == 0 {
		hostileTexts = written(t, hostile(), everything())
	}
	return hostileTexts
}

// usual are those of the sample with the usual parts, made once.
func usual(t *testing.T) map[string]string {
	if len(sampleTexts) == 0 {
		sampleTexts = written(t, sample(), Options{})
	}
	return sampleTexts
}

// written are a post's texts by file name.
func written(t *testing.T, p Post, o Options) map[string]string {
	t.Helper()
	texts := map[string]string{}
	for name, write := range map[string]func(io.Writer, Post, Options) error{"post.md": Markdown, "post.bb": BBCode, "post.html": HTML, "post.csv": CSV, "post.tsv": TSV, "post.json": JSON,
		"report.html": func(w io.Writer, p Post, o Options) error {
			return Report(w, p, o, []Picture{{drawing, "Voltage over capacity " + p.Title, "Falling curves"}, {drawing, "Temperature", ""}})
		}} {
		for _, v := range []struct {
			tag            string
			comma, aligned bool
		}{{"", false, false}, {"comma-", true, false}, {"aligned-", false, true}} {
			o := o
			o.Words.Comma, o.Aligned = v.comma, v.aligned
			var b bytes.Buffer
			if err := write(&b, p, o); err != nil {
				t.Fatal(name, err)
			}
			if !utf8.Valid(b.Bytes()) {
				t.Errorf("%s%s is no UTF-8", v.tag, name)
			}
			texts[v.tag+name] = b.String()
		}
	}
	return texts
}

// TestTexts writes each post in each format. With PLATEAU_POSTS they go to that
// folder, where the tests of the scripts read them with libraries of others.
func TestTexts(t *testing.T) {
	for name, p := range map[string]Post{"sample": sample(), "hostile": hostile(), "empty": {}} {
		texts := map[string]map[string]string{"sample": usual(t), "hostile": allOf(t), "empty": written(t, Post{}, everything())}[name]
		for file, text := range texts {
			if strings.ContainsRune(text, 0x202E) && file != "post.json" && !strings.HasSuffix(file, "-post.json") {
				t.Errorf("%s of %s turns the direction of text", file, name)
			}
			if dir := os.Getenv("PLATEAU_POSTS"); dir != "" {
				if err := os.WriteFile(filepath.Join(dir, name+"-"+file), []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
		// Both readers are the standard library's.
		var any map[string]any
		if err := json.Unmarshal([]byte(texts["post.json"]), &any); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for file, comma := range map[string]rune{"post.csv": ',', "comma-post.csv": ';'} {
			r := csv.NewReader(strings.NewReader(texts[file]))
			r.Comma = comma
			rows, err := r.ReadAll()
			if err != nil || len(rows) != 1+len(p.Runs) {
				t.Errorf("%s of %s: %d rows, %v", file, name, len(rows), err)
			}
			if n := strings.Count(texts[file], "\r\n"); n != 1+len(p.Runs) || n != strings.Count(texts[file], "\n") {
				t.Errorf("%s of %s: %d line ends", file, name, n)
			}
		}
	}
}
