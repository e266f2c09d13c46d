package publish

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestGlance(t *testing.T) {
	p := sample()
	o := &Options{}
	g := o.Glance(&p.Runs[0])
	want := Glance{Name: "Alder 0.98 A", Amps: "0.980 A", Rate: "0.2 It", To: "to 2.50 V", Capacity: "4.983 ± 0.052", Energy: "18.11 ± 0.27", Average: "3.634 ± 0.037", TempMax: "24.5 ± 2.0"}
	if g != want || g.At() != "0.980 A (0.2 It) to 2.50 V" {
		t.Errorf("%+v, %s", g, g.At())
	}
	if g := o.Glance(&p.Runs[2]); !g.Void || g.Remark != "does not count: the rest before it was 4 min" {
		t.Errorf("%+v", g)
	}
	if g := o.Glance(&p.Runs[7]); !strings.HasPrefix(g.Capacity, "at least ") {
		t.Errorf("%+v", g)
	}
	if g := o.Glance(&Run{Capacity: none("x")}); g.At() != "to its own end" || g.Capacity != "" {
		t.Errorf("%+v", g)
	}
	if g := o.Glance(&Run{End: Number{Value: 2.81, U: 0.01}}); g.To != "to its own end, 2.81 V" {
		t.Errorf("%+v", g)
	}
}

// A summary has each cell once, at its lowest current that counts, with what
// became of its claims, and is as long as it may be.
func TestSummary(t *testing.T) {
	p := sample()
	o := &Options{}
	all := o.Summary(&p, 10_000)
	for _, want := range []string{"Alder: 4.983 ± 0.052 Ah, 18.11 ± 0.27 Wh, average 3.634 V at 0.980 A (0.2 It) to 2.50 V; Rated 4.900 Ah: pass, within uncertainty.", "Cedar: ", "; Rated 4.800 Ah: below."} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in %q", want, all)
		}
	}
	p.Runs[0].Void = "the clip slipped"
	if s := o.Summary(&p, 10_000); !strings.HasPrefix(s, "Alder: ") || strings.Contains(s, "0.980 A") {
		t.Errorf("%q", s)
	}
	for _, most := range []int{1, 40, 300} {
		if s := o.Summary(&p, most); utf8.RuneCountInString(s) > most || !strings.HasSuffix(s, "…") {
			t.Errorf("%d: %q", most, s)
		}
	}
	if s := o.Summary(&Post{Title: "Nothing"}, 300); s != "Nothing." {
		t.Errorf("%q", s)
	}
}

// Sections are what HTML has between its lead and its last line.
func TestSections(t *testing.T) {
	p := hostile()
	var part, whole bytes.Buffer
	o := Options{Parts: []string{Verdicts, Findings}}
	if err := Sections(&part, p, o); err != nil {
		t.Fatal(err)
	}
	if err := HTML(&whole, p, o); err != nil {
		t.Fatal(err)
	}
	plain := strings.NewReplacer("h3>", "h2>").Replace(whole.String())
	text := part.String()
	for _, cut := range []string{"</div>\n"} {
		text = strings.ReplaceAll(text, cut, "")
	}
	for strings.Contains(text, "<div ") {
		a := strings.Index(text, "<div ")
		text = text[:a] + text[a+strings.Index(text[a:], ">\n")+2:]
	}
	if len(text) < 1000 || !strings.Contains(plain, text) {
		t.Error("the sections are others than those of HTML")
	}
}
