//go:build js && wasm

package page

import (
	"slices"
	"strconv"
	"strings"
	"syscall/js"
	"unicode/utf8"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// markup is an element, or several, that are not made yet. Of long tables it is
// written out and made at one go, since each call out of Go takes as long as a
// whole row does in the browser.
type markup string

const separator = "\x1f" // see loader/build.js

// mk writes an element, as el makes one. An attribute "--u=4ch" is a custom
// property.
func mk(tag string, attributes []string, inside ...any) markup {
	room := 2*len("<"+separator) + len(tag)
	for _, a := range attributes {
		room += len("@"+separator) + len(a)
	}
	for _, x := range inside {
		switch x := x.(type) {
		case markup:
			room += len(x)
		case string:
			room += len("="+separator) + len(x)
		}
	}
	var b strings.Builder
	b.Grow(room)
	token := func(kind byte, text string) {
		b.WriteByte(kind)
		b.WriteString(escaped(text))
		b.WriteString(separator)
	}
	token('<', tag)
	for _, a := range attributes {
		token('@', a)
	}
	for _, x := range inside {
		switch x := x.(type) {
		case markup:
			b.WriteString(string(x))
		case string:
			token('=', x)
		}
	}
	token('>', "")
	return markup(b.String())
}

func mkText(text string) markup { return markup("=" + escaped(text) + separator) }

// inText is an element as it stands in a text, which is written "="+text+separator.
func inText(element markup) string { return separator + string(element) + "=" }

// into puts more at the end of a written element.
func into(element, more markup) markup {
	return element[:len(element)-len(">"+separator)] + more + ">" + separator
}

func escaped(text string) string { return strings.ReplaceAll(text, separator, " ") }

// written is an element of a list of things.
func written[T any](tag string, attributes []string, list []T, each func(T) markup) markup {
	var b strings.Builder
	for _, x := range list {
		b.WriteString(string(each(x)))
	}
	return mk(tag, attributes, markup(b.String()))
}

// put replaces what is in an element, and leaves open what was unfolded, and the
// focus on what folds.
func put(e dom.Element, parts ...markup) {
	var b strings.Builder
	for _, part := range parts {
		b.WriteString(string(part))
	}
	part := ""
	if has := wrap(doc.Underlying().Get("activeElement")); has != nil && has.TagName() == "SUMMARY" && e.Contains(has) {
		part = closest(has, "details").GetAttribute("data-part")
	}
	keepOpen(e, func() { js.Global().Get("plateau").Call("build", e.Underlying(), b.String()) })
	if part == "" {
		return
	}
	for _, fold := range findAllIn(e, "details[data-part]") {
		if fold.GetAttribute("data-part") == part {
			focus(findIn(fold, "summary"))
		}
	}
}

// versions count how often what is shown of something came anew, by kind and
// name; kept are rows as they were written last.
type versions map[string]int

type kept struct {
	version int
	shape   string // of all rows together
	row     markup
}

// recall is a row as it was written last, if nothing of it has changed, else as
// work writes it.
func (p *page) recall(name, shape string, work func() markup) markup {
	v := p.versions[name]
	if k, ok := p.kept[name]; ok && k.version == v && k.shape == shape {
		return k.row
	}
	row := work()
	p.kept[name] = kept{v, shape, row}
	return row
}

// rowsPut are the rows that elements hold, by their ids.
var rowsPut = map[string][]markup{}

// putRows puts one element for each row, and leaves those that are as they were.
// Nothing else may fill the element.
func putRows(e dom.Element, rows []markup) {
	id := e.ID()
	was := rowsPut[id]
	rowsPut[id] = slices.Clone(rows)
	changed := 0
	for k := range rows {
		if k < len(was) && was[k] != rows[k] {
			changed++
		}
	}
	if len(was) != len(rows) || changed > len(rows)/2 {
		put(e, rows...)
		return
	}
	for k := range rows {
		if was[k] != rows[k] {
			js.Global().Get("plateau").Call("rebuild", e.Underlying(), k, string(rows[k]))
		}
	}
}

// mkSwatch, mkHead, mkFigure and mkFigureIn are written as swatch
// and so on are made.
func mkSwatch(colour int) markup {
	return mk("span", with("class=swatch", "aria-hidden=true", "data-colour="+strconv.Itoa(colour%8), "data-dash="+strconv.Itoa(colour/8%4)))
}

func mkHead(text, class string) markup {
	name, unit, ok := strings.Cut(text, " / ")
	if ok {
		return mk("th", with("scope=col", "class="+class), name+" ", mk("span", nil, "/ "+unit))
	}
	return mk("th", with("scope=col", "class="+class), name)
}

func mkFigure(f wire.Figure, before string) markup {
	if f.Value == "" {
		return mk("span", with("class=none", "title="+f.Why), "–", mk("span", with("class=unseen"), f.Why))
	}
	all := mkText(before) + mk("span", with("class=value"), f.Value)
	if f.U != "" {
		all += mkText(" ") + mk("span", with("class=u"), uncertainty(f))
	}
	return all
}

func mkFigureIn(f wire.Figure, unit string) markup {
	if f.Value == "" {
		why := f.Why
		if why == "" {
			why = say.Text("none")
		}
		return mk("span", with("class=why"), why)
	}
	return mk("span", with("class=figure"), mkFigure(f, ""), " ", mk("span", with("class=unit"), unit))
}

// mkFigureCells are a column of a table. Its uncertainties get the same room, so
// that the numbers before them stand in line.
func mkFigureCells(figures []wire.Figure, before func(k int) string, attributes ...string) []markup {
	widest := widestU(figures)
	cells := make([]markup, len(figures))
	for k, f := range figures {
		cells[k] = mkFigureCell(f, before(k), widest, attributes)
	}
	return cells
}

// widestU is how many characters the widest uncertainty of a column takes.
func widestU(figures []wire.Figure) (widest int) {
	for _, f := range figures {
		if f.U != "" {
			widest = max(widest, utf8.RuneCountInString(uncertainty(f)))
		}
	}
	return widest
}

// mkFigureCell is one figure of a column whose uncertainties get so much room.
func mkFigureCell(f wire.Figure, before string, widest int, attributes []string) markup {
	room, rest := attributes, markup("")
	if widest > 0 {
		room = append(with("--u="+strconv.Itoa(widest)+"ch"), attributes...)
		if f.Value == "" || f.U == "" {
			rest = mkText(" ") + mk("span", with("class=u"))
		}
	}
	return mk("td", room, mkFigure(f, before), rest)
}

func bare(int) string { return "" }

// made is a single written element, made.
func made(m markup) dom.Element {
	box := el("div", nil)
	put(box, m)
	return wrap(box.Underlying().Get("firstElementChild"))
}
