package publish

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"strings"
	"testing"

	"plateau/core/quantity"
)

// Two significant digits in U, the figure to its last one, never finer and never
// nought: GUM 7.2.6; its example in 7.2.4 is a mass of 100.021 47 g with
// u = 0.35 mg, written 100.021 47 ± 0.000 79 when expanded by 2.26.
func TestFigure(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		n        Number
		decimals int
		comma    bool
		want     string
	}{
		{Number{Value: 100.02147, U: 0.00079}, 3, false, "100.02147 ± 0.00079"},
		{Number{Value: 100.02147, U: 0.00079}, 3, true, "100,02147 ± 0,00079"},
		{Number{Value: 4.98312, U: 0.0518}, -4, false, "4.983 ± 0.052"},
		{Number{Value: 4.98312, U: 0.0996}, -4, false, "4.98 ± 0.10"},
		{Number{Value: 4.98312, U: 1.3}, -4, false, "5.0 ± 1.3"},
		{Number{Value: 498.312, U: 23}, -4, false, "498 ± 23"},
		{Number{Value: -0.0412, U: 0.012}, -4, false, "−0.041 ± 0.012"},
		{Number{Value: 4.98312}, -4, false, "4.983"},
		{Number{Value: 3.65}, 3, false, "3.650"},
		{Number{Value: 4.98312, U: 0.05, AtLeast: true}, -4, false, "at least 4.983 ± 0.050"},
		{Number{Value: 4, U: 1e-12}, -4, false, "4.000000 ± 0.000001"},
		{Number{Value: 4, U: nan}, -4, false, "4.000"},
		{Number{Value: 4, U: math.Inf(1)}, -4, false, "4.000"},
		{Number{Value: nan, U: 1}, -4, false, ""},
		{Number{Value: math.Inf(-1)}, -4, false, ""},
		{Number{Value: 1.5e300}, -4, true, "1,500e+300"},
	} {
		o := Options{Words: quantity.Words{Comma: c.comma}}
		if got := o.figure(&c.n, c.decimals); got != c.want {
			t.Errorf("%+v is %q, want %q", c.n, got, c.want)
		}
	}
}

func TestFootnotes(t *testing.T) {
	f := &footnotes{}
	if a, b, c := f.mark("one"), f.mark(" "), f.mark("one\n"); a != "¹" || b != "" || c != "¹" {
		t.Errorf("marks %q, %q, %q", a, b, c)
	}
	if raised(120) != "¹²⁰" {
		t.Error(raised(120))
	}
}

// What the marks of the sample must come to, in the text that has no markup.
func TestPost(t *testing.T) {
	texts := usual(t)
	md, _ := strings.CutSuffix(texts["post.md"], "\n")
	lines := strings.Split(md, "\n")
	if lines[0] != "# Four cells for the gauges, 2026-11-25" || lines[len(lines)-1] != "Made with Plateau 0.3." {
		t.Errorf("first line %q, last line %q", lines[0], lines[len(lines)-1])
	}
	for text, times := range map[string]int{"k = 2": 1, "Decimal mark: point.": 1, "at least 3.924 ± 0.041": 1, "Void, does not count: the rest before it was 4 min": 1,
		"| over |": 3, "| typed |": 1, "| void ¹ |": 1, "— ² |": 2, "not for imitation": 1, "ask a qualified person": 1, "under 0.1 %": 1, "+0.083 ± 0.052": 1,
		"10 s after the load step": 1, "Cells of one row that share a letter": 1, "is assumed \\(common": 0, "Birch cost": 0, "lot Alder": 0, "http": 0} {
		if n := strings.Count(md, text); n != times {
			t.Errorf("%q is there %d times, want %d", text, n, times)
		}
	}
	if comma := texts["comma-post.md"]; !strings.Contains(comma, "Decimal mark: comma.") || !strings.Contains(comma, "4,983 ± 0,052") || strings.Contains(comma, "4.983 ±") {
		t.Error("the decimal comma is not kept to")
	}
	calm := sample()
	for k := range calm.Runs {
		calm.Runs[k].Over, calm.Runs[k].Checks = false, nil
	}
	if caution(&calm) != "" {
		t.Error("a caution where there is no ground for one")
	}
}

func TestParts(t *testing.T) {
	heads := func(p Post, o Options) (s []string) {
		for _, x := range o.sections(&p) {
			s = append(s, x.key)
		}
		return s
	}
	if got := strings.Join(heads(sample(), Options{Parts: []string{Logs, "no such", Notes, Logs, Figures, ""}}), " "); got != "logs notes figures" {
		t.Errorf("parts %q", got)
	}
	if got := heads(Post{}, everything()); got != nil {
		t.Errorf("an empty post has parts %q", got)
	}
	if got := heads(sample(), Options{Parts: []string{}}); got != nil {
		t.Errorf("no parts asked for, given %q", got)
	}
	if got := strings.Join(heads(sample(), Options{}), " "); got != "conditions leaders figures details verdicts ranking findings inspection cells tester method logs" {
		t.Errorf("usual parts %q", got)
	}
	seen := map[string]bool{}
	for _, p := range Parts() {
		if seen[p.Key] || p.Title == "" {
			t.Errorf("part %+v", p)
		}
		seen[p.Key] = true
	}
	// What is private is in no format unless asked for.
	for file, text := range usual(t) {
		if strings.Contains(text, "cost too much") || strings.Contains(text, "lot Alder") || strings.Contains(text, "a shop") {
			t.Errorf("%s tells private notes", file)
		}
	}
	if md := written(t, sample(), everything())["post.md"]; !strings.Contains(md, "cost too much") || !strings.Contains(md, "lot Alder") {
		t.Error("private notes are asked for and left out")
	}
	brief := Options{Brief: true}
	if n := len(brief.findings(&Post{Runs: []Run{{Checks: []Check{{"note", "a", false}, {"note", "b", true}, {"fault", "c", false}}}}})); n != 2 {
		t.Errorf("%d findings in brief, want 2", n)
	}
}

// Full-width brackets cannot be read as tags; so there are no others than ours.
func TestBBCodeTags(t *testing.T) {
	for _, tag := range []string{"", "aligned-"} {
		whole := allOf(t)[tag+"post.bb"]
		text := whole
		for _, own := range []string{"[b]", "[/b]", "[list]", "[/list]", "[*]", "[table]", "[/table]", "[tr]", "[/tr]", "[td]", "[/td]", "[code]", "[/code]"} {
			if open := strings.Replace(own, "[/", "[", 1); own != open && strings.Count(whole, own) != strings.Count(whole, open) {
				t.Errorf("%d %s, %d %s", strings.Count(whole, open), open, strings.Count(whole, own), own)
			}
			text = strings.ReplaceAll(text, own, "")
		}
		if k := strings.IndexAny(text, "[]"); k >= 0 {
			t.Errorf("%sa bracket that is not ours: %q", tag, text[max(0, k-20):min(len(text), k+20)])
		}
	}
}

// OWASP names these starts as those of formulas ("CSV Injection").
func TestFormulas(t *testing.T) {
	for file, comma := range map[string]rune{"post.csv": ',', "comma-post.csv": ';', "post.tsv": '\t'} {
		r := csv.NewReader(strings.NewReader(allOf(t)[file]))
		r.Comma, r.LazyQuotes = comma, comma == '\t'
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(file, err)
		}
		for _, row := range rows {
			for _, f := range row {
				start := strings.TrimLeft(f, "\" \u200b")
				if _, err := quantity.Parse(f, quantity.None); start != "" && err != nil && strings.ContainsAny(start[:1], "=+-@") || strings.HasPrefix(start, "＝") {
					t.Errorf("%s has a formula %q", file, f)
				}
			}
		}
	}
	for in, want := range map[string]string{"-1": "'-1", "a=1": "a=1", "\u200b@x": "'\u200b@x", "＋1": "'＋1", "": "", "'=1": "''=1", "'a": "'a"} {
		if got := field(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

func TestPictures(t *testing.T) {
	head := `<svg xmlns="http://www.w3.org/2000/svg" width="4" height="3">`
	good := []string{drawing, `<?xml version="1.0"?>` + "\n" + drawing + "\n", head + `<style>.a{fill:url(#g)}</style><!-- url(http://x) --><text>url(http://x) onload=1</text></svg>`,
		head + `<style><![CDATA[.a{fill:red}]]></style><use xlink:href="#a"/><image href="data:image/png;base64,AAAA"/></svg>`}
	for _, s := range good {
		if err := checkSVG(s); err != nil {
			t.Errorf("%s: %v", s, err)
		}
	}
	bad := []string{"", "x", "<svg></svg>", "<html></html>", head, head + "<g</svg>", head + "<!-- </svg>"}
	for _, inner := range []string{"<script>1</script>", "<SCRIPT/>", "<svg:script/>", `<g onclick="x"/>`, `<g OnLoad = 'x'/>`, `<g a="1"/onclick="x"/>`, `<g a="1"onclick="x"/>`, "<foreignObject/>", `<use href="http://x/y"/>`,
		`<use xlink:href="//x"/>`, `<use href=" javascript:x"/>`, `<image href="data:image/svg+xml,x"/>`, `<image src=x />`, `<a href="#x"/>`, `<g style="fill:url(http://x)"/>`, `<g fill="url('//x')"/>`, `<g style="fill:&#117;rl(//x)"/>`,
		"<style>@import 'x';</style>", "<style>a{b:url(x)}</style>", `<style>a{b:\75rl(x)}</style>`, "<style><![CDATA[a{b:url(x)}]]></style>", "<!DOCTYPE svg>", "<!ENTITY x 'y'>", `<?xml-stylesheet href="x"?>`, `<set attributeName="href"/>`, `<g x="1`, "<g x/>"} {
		bad = append(bad, head+inner+"</svg>")
	}
	for _, s := range bad {
		var b bytes.Buffer
		err := Report(&b, sample(), Options{}, []Picture{{SVG: s}})
		if !errors.Is(err, ErrPicture) || b.Len() > 0 {
			t.Errorf("%s: %v, %d bytes", s, err, b.Len())
		}
	}
}

// A byte that stands in the data of an address must be allowed there: RFC 3986,
// 2.2 to 2.4, and none may end the attribute.
func TestReportHoldsNoAddress(t *testing.T) {
	for name, texts := range map[string]map[string]string{"sample": usual(t), "hostile": allOf(t)} {
		text := texts["report.html"]
		for _, data := range strings.Split(text, `src="`)[1:] {
			data, _, _ = strings.Cut(data, `"`)
			if strings.ContainsAny(data, "<>#&'\n") || !strings.HasPrefix(data, "data:image/svg+xml,%3Csvg") {
				t.Errorf("%s: %.80q", name, data)
			}
		}
		if n := strings.Count(text, " href="); name == "sample" && n > 0 {
			t.Errorf("%d addresses", n)
		}
	}
}

func FuzzLine(f *testing.F) {
	for _, s := range nasty {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p := Post{Title: s, Method: []string{s}, Conditions: []Line{{s, s}}, Runs: []Run{{Cell: s, Name: s, Void: s, Capacity: none(s)}}}
		texts := written(t, p, everything())
		if n := strings.Count(texts["post.tsv"], "\n"); n != 2 {
			t.Errorf("%d lines of TSV", n)
		}
		if strings.Contains(strings.ToLower(texts["post.html"]), "<script") || strings.Count(texts["post.html"], "<table>") > 2 {
			t.Error("markup in HTML")
		}
	})
}

func FuzzPicture(f *testing.F) {
	f.Add(drawing)
	f.Add(`<svg xmlns="http://www.w3.org/2000/svg"><g a='1' b="2"/><style>x</style></svg>`)
	f.Fuzz(func(t *testing.T, s string) {
		if checkSVG(s) == nil && strings.Contains(strings.ToLower(s), "<script") && !strings.Contains(s, "<!--") && !strings.Contains(s, "CDATA") && !strings.Contains(s, "\"") {
			t.Error("a program is let in")
		}
	})
}
