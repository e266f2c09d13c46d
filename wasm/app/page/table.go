//go:build js && wasm

package page

import (
	"strconv"
	"strings"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// table is a plain one of the engine's. Rows of one cell that have heads of
// their own stand together under its name.
func table(t wire.Table, caption string) markup {
	var heads markup
	for k, text := range t.Heads {
		class := ""
		if k > 0 && words(t, k-1) {
			class = "words"
		}
		heads += mkHead(text, class)
	}
	columns := make([][]markup, max(0, len(t.Heads)-1))
	for k := range columns {
		columns[k] = figureColumn(t, k)
	}
	var bodies, rows markup
	group := ""
	for k, row := range t.Rows {
		grouped := row.Cell != "" && row.Cell != row.Head
		if grouped && row.Cell != group {
			bodies, rows = bodies+mk("tbody", nil, rows), mk("tr", with("class=group"), mk("th", with("scope=rowgroup"), mkSwatch(row.Colour), row.Cell),
				mk("td", with("colspan="+strconv.Itoa(max(1, len(columns))))))
			group = row.Cell
		}
		inside := rowHead(row, !grouped && row.Cell != "")
		for _, c := range columns {
			inside += c[k]
		}
		class := "class="
		if grouped {
			class = "class=grouped"
		}
		rows += mk("tr", with(class), inside)
	}
	return mk("table", nil, mk("caption", with("class=unseen"), caption), mk("thead", nil, mk("tr", nil, heads)), bodies, mk("tbody", nil, rows))
}

func rowHead(row wire.TableRow, line bool) markup {
	var inside markup
	if line {
		inside = mkSwatch(row.Colour)
	}
	inside += mkText(row.Head)
	if row.Note != "" {
		inside += mk("small", nil, row.Note)
	}
	return mk("th", with("scope=row"), inside, marked(row.Mark))
}

// marked says what is particular of a row.
func marked(mark string) markup {
	if mark == "" {
		return ""
	}
	class := "class="
	if strings.HasPrefix(mark, say.Text("over the permitted current")) {
		class = "class=mark-word"
	}
	return mk("small", with(class), mark)
}

// figureColumn is the k-th of a table's figures.
func figureColumn(t wire.Table, k int) []markup {
	list := make([]wire.Figure, len(t.Rows))
	for i, row := range t.Rows {
		if k < len(row.Fields) {
			list[i] = row.Fields[k]
		}
	}
	if !words(t, k) {
		return mkFigureCells(list, bare)
	}
	cells := make([]markup, len(list))
	for i, f := range list {
		cells[i] = mk("td", with("class=words"), mkFigure(f, ""))
	}
	return cells
}

// words tells whether a column holds sentences, not figures.
func words(t wire.Table, k int) bool {
	for _, row := range t.Rows {
		if k < len(row.Fields) && len(row.Fields[k].Value) > 24 {
			return true
		}
	}
	return false
}

// listed are sentences as items of a list.
func listed(class string, sentences []string) markup {
	if len(sentences) == 0 {
		return ""
	}
	return written("ul", with("class="+class), sentences, listItem)
}

func listItem(sentence string) markup { return mk("li", nil, sentence) }

// setList fills a list with sentences, and hides it where there are none.
func setList(id string, sentences []string) {
	var items markup
	for _, s := range sentences {
		items += listItem(s)
	}
	put(byID(id), items)
	show(byID(id), len(sentences) > 0)
}

// setWhy says why there is nothing, and hides what would be there.
func setWhy(id, why string, rest ...string) {
	setText(byID(id), why)
	show(byID(id), why != "")
	for _, r := range rest {
		show(byID(r), why == "")
	}
}
