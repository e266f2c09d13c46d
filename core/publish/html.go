package publish

import (
	"io"
	"strings"
)

// HTML writes a post as a fragment: headings, paragraphs, lists and tables, with
// no style, script or address. Texts of the post are escaped.
func HTML(w io.Writer, p Post, o Options) error {
	return put(w, render(&p, &o, &fragment{top: "h2", below: "h3"}))
}

// fragment writes HTML. In a report tables can be scrolled.
type fragment struct {
	out        strings.Builder
	top, below string
	scroll     bool
}

var markupless = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escapeHTML makes a text one line that is no markup, in content and between
// quotes.
func escapeHTML(s string) string { return markupless.Replace(line(s)) }

func (f *fragment) text() string { return f.out.String() }

// element writes an element around content that is HTML already.
func (f *fragment) element(tag, content string) {
	name, _, _ := strings.Cut(tag, " ")
	f.out.WriteString("<" + tag + ">" + content + "</" + name + ">\n")
}

func (f *fragment) title(text string) { f.element(f.top, escapeHTML(text)) }

func (f *fragment) head(text string) { f.element(f.below, escapeHTML(text)) }

func (f *fragment) item(x item) string {
	if head := escapeHTML(x.head); head != "" {
		return "<strong>" + head + ":</strong> " + escapeHTML(x.text)
	}
	return escapeHTML(x.text)
}

func (f *fragment) para(x item) { f.element("p", f.item(x)) }

func (f *fragment) list(items []item) {
	f.out.WriteString("<ul>\n")
	for _, x := range items {
		f.element("li", f.item(x))
	}
	f.out.WriteString("</ul>\n")
}

func (f *fragment) picture(html string) { f.out.WriteString(html) }

func (f *fragment) table(t *table) {
	name := escapeHTML(t.name)
	if f.scroll {
		class := "wide"
		if t.half {
			class = "wide half"
		}
		f.out.WriteString(`<div class="` + class + `" role="region" tabindex="0" aria-label="` + name + "\">\n")
	}
	f.out.WriteString("<table>\n<caption>" + name + "</caption>\n<thead>\n<tr>")
	cell := func(tag string, c int, text string) {
		class := ""
		if t.right[c] {
			class = ` class="n"`
		}
		name, _, _ := strings.Cut(tag, " ")
		f.out.WriteString("<" + tag + class + ">" + escapeHTML(text) + "</" + name + ">")
	}
	for c, h := range t.heads {
		cell(`th scope="col"`, c, h)
	}
	f.out.WriteString("</tr>\n</thead>\n<tbody>\n")
	for _, r := range t.rows {
		f.out.WriteString("<tr>")
		for c, text := range r {
			if c == 0 {
				cell(`th scope="row"`, c, text)
			} else {
				cell("td", c, text)
			}
		}
		f.out.WriteString("</tr>\n")
	}
	f.out.WriteString("</tbody>\n</table>\n")
	if f.scroll {
		f.out.WriteString("</div>\n")
	}
}
