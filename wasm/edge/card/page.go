package card

import (
	"bytes"
	_ "embed"
	"errors"
	"html"
	"io"
	"strconv"
	"strings"

	"plateau/core/publish"
)

//go:embed card.css
var style string

var errTooMuch = errors.New("too much for a preview")

const (
	head = `<!doctype html>
<html lang="en" prefix="og: https://ogp.me/ns#">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<meta name="robots" content="noindex">
`
	mark = `<svg class="mark" viewBox="0 0 32 32" aria-hidden="true" focusable="false"><path class="axes" d="M5 3v24h24"/><path class="curve" d="M9 6c1.2 4.4 3.4 5.6 7 6l5 .7c3.4.5 4.6 3.3 5 9.3"/></svg>`
	top  = "</head>\n<body>\n<header>" + mark + "<p>Plateau <span>what a lithium cell really gives</span></p></header>\n<main>\n"
	end  = "</main>\n</body>\n</html>\n"

	mostDescribed = 300 // characters
	mostTitle     = 120
	mostFigures   = 200 // discharges in the table
)

// words are how a card writes numbers.
var words = publish.Options{}

// below are the parts that stand folded under the figures.
var below = []string{publish.Conditions, publish.Instrument, publish.Working, publish.Details, publish.Leaders, publish.Standing, publish.Datasheets, publish.Logs}

// page writes a card. site is the origin, "https://example.org".
func page(w io.Writer, p *publish.Post, site, payload string) error {
	if !small(p) {
		return errTooMuch
	}
	var b strings.Builder
	title := publish.Shortened(publish.Title(p), mostTitle)
	summary := words.Summary(p, mostDescribed)
	alt := alternative(p)
	image := Prefix + payload + ".png"
	b.WriteString(head)
	b.WriteString("<title>" + escape(title) + " – Plateau</title>\n")
	meta := func(kind, name, content string) {
		b.WriteString("<meta " + kind + `="` + name + `" content="` + escape(content) + "\">\n")
	}
	meta("name", "description", summary)
	for _, m := range [...][2]string{
		{"og:title", title}, {"og:type", "article"}, {"og:url", site + Prefix + payload}, {"og:description", summary}, {"og:site_name", "Plateau"},
		{"og:image", site + image}, {"og:image:type", "image/png"}, {"og:image:width", "1200"}, {"og:image:height", "630"}, {"og:image:alt", alt},
	} {
		meta("property", m[0], m[1])
	}
	b.WriteString("<style>" + style + "</style>\n" + top)
	b.WriteString("<h1>" + escape(titled(p)) + "</h1>\n<p class=\"made\">" + escape(about(p)) + "</p>\n")
	if s := publish.Caution(p); s != "" {
		b.WriteString(`<p class="caution"><strong>Caution:</strong> ` + escape(s) + "</p>\n")
	}
	b.WriteString(`<p class="open"><a class="button" href="/#` + payload + `">Open in Plateau</a> <span>curves to read off, to compare with your own; there the data stays in the address and is sent to no server</span></p>` + "\n")
	b.WriteString(`<img src="` + image + `" width="1200" height="630" alt="` + escape(alt) + "\">\n")
	figures(&b, p)
	verdicts(&b, p)
	findings(&b, p)
	var more strings.Builder
	if err := publish.Sections(&more, *p, publish.Options{Parts: below}); err != nil {
		return err
	}
	if more.Len() > 0 {
		b.WriteString("<details>\n<summary>How it was measured, and the rest of the figures</summary>\n" + more.String() + "</details>\n")
	}
	b.WriteString("<footer><p>" + escape(publish.Made(p)) + " This page is drawn from what stands in its own address; the site keeps nothing of it. It does not check the figures: they are those of whoever made the link.</p>" +
		"<p>Cells can vent and burn: follow the datasheet and local rules, and ask a qualified person.</p></footer>\n" + end)
	if b.Len() > mostPage {
		return errTooMuch
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// titled is a post's title without its day.
func titled(p *publish.Post) string {
	if p.Title == "" {
		return "Measurements of cells"
	}
	return p.Title
}

// about is when a post was made, and what is in it.
func about(p *publish.Post) string {
	return strings.Join(present(p.Day, plural(len(p.Runs), "discharge")+" of "+plural(max(len(p.Cells), 1), "cell")), " · ")
}

func escape(s string) string { return html.EscapeString(s) }

// alternative says in words what is on the picture.
func alternative(p *publish.Post) string {
	var names []string
	for k := range p.Curves {
		if n := p.Curves[k].Run; n < len(p.Runs) {
			names = append(names, words.Glance(&p.Runs[n]).Name)
		}
	}
	if names == nil {
		return "The main figures of " + publish.Title(p) + "; the page has them as a table."
	}
	return publish.Shortened("Voltage over discharged charge of "+strings.Join(names, ", "), 250) + ". The figures are in the page’s table."
}

// figures is the table of discharges.
func figures(b *strings.Builder, p *publish.Post) {
	if len(p.Runs) == 0 {
		b.WriteString("<p>There is no discharge in this link.</p>\n")
		return
	}
	warm := false
	var rows []publish.Glance
	for k := range p.Runs[:min(len(p.Runs), mostFigures)] {
		g := words.Glance(&p.Runs[k])
		warm = warm || g.TempMax != ""
		rows = append(rows, g)
	}
	b.WriteString(`<h2>Figures</h2>` + "\n" + `<table class="figures"><caption>± is the expanded uncertainty, k = 2 (about 95 %)</caption><thead><tr><th scope="col">Discharge</th>`)
	heads := [][2]string{{"Capacity", "Ah"}, {"Energy", "Wh"}, {"Average", "V"}}
	if warm {
		heads = append(heads, [2]string{"Highest temp.", "°C"})
	}
	for _, h := range heads {
		b.WriteString(`<th scope="col" class="n">` + h[0] + " <small>/&nbsp;" + h[1] + "</small></th>")
	}
	b.WriteString("</tr></thead>\n<tbody>\n")
	for _, g := range rows {
		class := ""
		if g.Void {
			class = ` class="void"`
		}
		b.WriteString("<tr" + class + `><th scope="row">` + escape(g.Name) + "<small>" + escape(g.At()))
		if g.Remark != "" {
			b.WriteString("<em>" + escape(g.Remark) + "</em>")
		}
		b.WriteString("</small></th>")
		figs := []string{g.Capacity, g.Energy, g.Average}
		if warm {
			figs = append(figs, g.TempMax)
		}
		for _, f := range figs {
			b.WriteString(`<td class="n">` + number(f) + "</td>")
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</tbody></table>\n")
	if n := len(p.Runs) - len(rows); n > 0 {
		b.WriteString("<p>And " + plural(n, "more discharge") + " on the full page.</p>\n")
	}
}

// plural counts things: "1 discharge", "3 discharges".
func plural(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return strconv.Itoa(n) + " " + what
}

// number is a figure whose uncertainty goes to the next line where there is no
// room.
func number(s string) string {
	if s == "" {
		return `<span class="none">—</span>`
	}
	value, u, ok := strings.Cut(s, " ± ")
	if least, is := strings.CutPrefix(value, "at least "); is {
		value = "≥ " + least
	}
	out := "<b>" + escape(value) + "</b>"
	if ok {
		out += " <span>± " + escape(u) + "</span>"
	}
	return out
}

// verdicts are the claims with the word on each.
func verdicts(b *strings.Builder, p *publish.Post) {
	var rows bytes.Buffer
	for k := range p.Verdicts {
		v := &p.Verdicts[k]
		rows.WriteString("<li><p>" + escape(v.Cell) + `: <strong class="` + gradeClass(v.Grade) + `">` + escape(v.Word) + "</strong></p><p>" + escape(v.Claim))
		if v.Sentence != "" {
			rows.WriteString(". " + escape(v.Sentence))
		}
		rows.WriteString("</p></li>\n")
	}
	if rows.Len() > 0 {
		b.WriteString("<h2>Against the datasheet</h2>\n<ul class=\"verdicts\">\n" + rows.String() + "</ul>\n")
	}
}

// gradeClass is how a verdict looks, which its word says as well.
func gradeClass(grade string) string {
	switch grade {
	case "pass", "pass-within", "above":
		return "pass"
	case "below", "under":
		return "fault"
	case "below-within":
		return "near"
	}
	return "open"
}

// findings are what is doubtful, faults and what is about safety before the
// notes.
func findings(b *strings.Builder, p *publish.Post) {
	lists := map[string]*strings.Builder{"safety": {}, "fault": {}, "caution": {}, "note": {}}
	for k := range p.Runs {
		r := &p.Runs[k]
		name := words.Glance(r).Name
		for _, c := range r.Checks {
			kind := c.Severity
			switch {
			case c.Safety:
				kind = "safety"
			case kind != "fault" && kind != "caution":
				kind = "note"
			}
			lists[kind].WriteString("<li class=\"" + kind + "\"><strong>" + escape(name) + ":</strong> " + escape(c.Text) + "</li>\n")
		}
	}
	loud, notes := lists["safety"].String()+lists["fault"].String()+lists["caution"].String(), lists["note"].String()
	if loud+notes == "" {
		return
	}
	b.WriteString("<h2>What is doubtful</h2>\n")
	if loud != "" {
		b.WriteString("<ul class=\"findings\">\n" + loud + "</ul>\n")
	}
	if notes != "" {
		b.WriteString("<details><summary>Notes</summary>\n<ul class=\"findings\">\n" + notes + "</ul></details>\n")
	}
}

// faultPage says what is wrong. payload is the data where the full page may
// still make something of it; empty where there is none.
func faultPage(w io.Writer, why, payload string) {
	where := "/"
	if payload != "" {
		where = "/#" + payload
	}
	io.WriteString(w, head+"<title>No preview – Plateau</title>\n<style>"+style+"</style>\n"+top+
		"<h1>No preview</h1>\n<p>"+escape(why)+"</p>\n<p class=\"open\"><a class=\"button\" href=\""+where+"\">Open Plateau</a></p>\n"+end)
}
