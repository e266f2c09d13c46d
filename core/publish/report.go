package publish

import (
	"io"
	"strings"

	"plateau/core/say"
)

// Picture is a chart for a report.
type Picture struct {
	SVG     string // a whole document
	Caption string
	// Alternative says in words what is seen; empty where Caption does.
	Alternative string
}

// Report writes a post as an HTML document that needs nothing else: its style is
// in it, its pictures as well, and its policy forbids any request. Pictures that
// could reach out are refused with an error that wraps [ErrPicture].
func Report(w io.Writer, p Post, o Options, pictures []Picture) error {
	for k := range pictures {
		x := &pictures[k]
		if err := checkSVG(x.SVG); err != nil {
			return say.Error("picture %d (%s): %w", k+1, line(x.Caption), err)
		}
		o.pictures = append(o.pictures, block{picture: shown(x)})
	}
	r := &fragment{top: "h1", below: "h2", scroll: true}
	body := render(&p, &o, r)
	return put(w, reportStart+say.Text("en")+reportHead+"<title>"+escapeHTML(titled(&p))+"</title>\n<style>"+reportStyle+"</style>\n</head>\n<body>\n<main>\n"+
		body+"</main>\n</body>\n</html>\n")
}

// Between the two stands the language: a table of texts has its own, as RFC 5646
// writes it, for "en".
const reportStart, reportHead = `<!DOCTYPE html>
<html lang="`, `">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'">
`

// shown is a picture as an image: there nothing in it can run, its styles and
// ids stay its own, and no request comes of it.
func shown(x *Picture) string {
	alt := x.Alternative
	if line(alt) == "" {
		alt = x.Caption
	}
	return `<figure><img src="data:image/svg+xml,` + percent(x.SVG) + `" alt="` + escapeHTML(alt) + `"><figcaption>` + escapeHTML(x.Caption) + "</figcaption></figure>\n"
}

// percent is a text as the data of an address, by RFC 3986 2.1: what is neither
// unreserved nor harmless between quotes becomes %XX.
func percent(s string) string {
	const hex = "0123456789ABCDEF"
	var b strings.Builder
	b.Grow(len(s) + len(s)/4)
	for k := range len(s) {
		c := s[k]
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("-_.~/:=,;() ", c) >= 0 {
			b.WriteByte(c)
			continue
		}
		b.Write([]byte{'%', hex[c>>4], hex[c&15]})
	}
	return b.String()
}

const reportStyle = `
:root { color-scheme: light dark; --ink: #1b1f24; --dim: #57606a; --line: #c9d1d9; --paper: #fff; --band: #f3f5f7; --mark: #8a3b00 }
@media (prefers-color-scheme: dark) { :root { --ink: #e6e9ed; --dim: #a3adb8; --line: #3b444e; --paper: #14181d; --band: #1d2329; --mark: #ffb77a } }
body { margin: 0; background: var(--paper); color: var(--ink); font: 16px/1.5 system-ui, sans-serif }
main { max-width: 80rem; margin: 0 auto; padding: 1rem }
h1 { font-size: 1.6rem; line-height: 1.25; margin: 0.5rem 0 }
h2 { font-size: 1.15rem; margin: 1.6rem 0 0.4rem; break-after: avoid }
h1, p, li, figcaption { overflow-wrap: anywhere }
td, th { overflow-wrap: break-word; max-width: 26em }
p { margin: 0.4rem 0 }
ul { margin: 0.4rem 0; padding-left: 1.2rem }
.wide { overflow-x: auto }
.wide:focus-visible { outline: 3px solid var(--mark); outline-offset: 2px }
table { border-collapse: collapse; font-size: 0.875rem; font-variant-numeric: tabular-nums }
caption { text-align: left; color: var(--dim); padding: 0.2rem 0 }
th, td { text-align: left; vertical-align: top; padding: 0.2rem 0.6rem; border-bottom: 1px solid var(--line); min-width: 3.5em }
thead th { background: var(--band); vertical-align: bottom }
tbody th { font-weight: 600; min-width: 8em }
td:not(.n) { min-width: 9em }
.half td { max-width: none }
.n { text-align: right }
tbody .n { white-space: nowrap }
figure { display: inline-block; box-sizing: border-box; width: calc(50% - 1rem); min-width: min(100%, 30rem); margin: 0.4rem 0.6rem 0.4rem 0; vertical-align: top; break-inside: avoid }
img { width: 100%; height: auto; background: #fff; border: 1px solid var(--line) }
figcaption { color: var(--dim); font-size: 0.875rem }
@page { size: A4; margin: 7mm 9mm }
@media print {
:root { --ink: #000; --dim: #333; --line: #bbb; --paper: #fff; --band: #eee; --mark: #000 }
body { font-size: 7pt; line-height: 1.22 }
main { max-width: none; padding: 0 }
h1 { font-size: 12pt; margin: 0 }
h2 { font-size: 8.5pt; margin: 1.2mm 0 0.3mm }
p, ul { margin: 0.4mm 0 }
ul { columns: 2; column-gap: 5mm; padding-left: 0 }
li { margin-left: 4mm; break-inside: avoid }
caption { display: none }
table { font-size: 6.5pt; line-height: 1.15 }
.half { columns: 2; column-gap: 5mm }
.half table { font-size: 5.5pt; line-height: 1.1 }
.half th, .half td { padding: 0.1mm 0.4mm; max-width: 24em }
th, td, tbody th, td:not(.n) { padding: 0.1mm 1mm; min-width: 0 }
thead th { max-width: 9em }
tr { break-inside: avoid }
.wide { overflow: visible }
figure { width: 49%; min-width: 0; margin: 0.5mm 0 }
img { max-height: 40mm; object-fit: contain; object-position: left; border: 0 }
figcaption { font-size: 6.5pt }
}
`
