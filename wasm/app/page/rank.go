//go:build js && wasm

package page

import (
	"slices"
	"sort"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

func (p *page) listenRanking(one *section) {
	on(byID("ranking"), "change", func(dom.Element) { p.askAgain(one) })
}

func (p *page) rankCommand() wire.Command {
	return wire.Command{Do: "rank", Figure: chosen("ranking-figure"), Over: checked(byID("ranking-over"))}
}

func (p *page) renderRanked(r wire.Reply, _ js.Value) {
	k := r.Ranked
	if k == nil {
		k = &wire.Ranked{Why: r.Error}
	}
	setWhy("ranking-why", k.Why)
	show(byID("ranking-order"), len(k.Rates) > 0)
	show(byID("ranking-over-box"), k.Over || checked(byID("ranking-over")))
	setList("ranking-basis", k.Basis)
	setList("ranking-sums", k.Sums)
	show(byID("ranking-overall"), len(k.Overall) > 0)
	put(byID("ranking-overall"), leaders(k))
	var blocks markup
	for _, rate := range k.Rates {
		blocks += rankedRate(k.Figure, rate)
	}
	put(byID("ranking-rates"), blocks)
}

// leaders is the overall table: who leads at which rate.
func leaders(k *wire.Ranked) markup {
	figure, _, _ := strings.Cut(k.Figure, " / ")
	return mk("table", nil, mk("caption", with("class=unseen"), say.With("%s: who leads at which current", figure)),
		mk("thead", nil, mk("tr", nil, mkHead(say.Text("At"), ""), mkHead(say.Text("Leads"), "words"))),
		written("tbody", nil, k.Overall, func(l wire.Leader) markup {
			return mk("tr", nil, mk("th", with("scope=row"), l.Rate), mk("td", with("class=words"), l.Words))
		}))
}

// rankedRate is the order at one rate, with what is to be said of it.
func rankedRate(figureHead string, rate wire.RankedRate) markup {
	inside := mk("h3", nil, rate.Rate)
	if rate.Why != "" {
		inside += mk("p", with("class=why"), rate.Why)
	}
	if len(rate.Cells) > 0 {
		inside += mk("div", with("class=scroll", "tabindex=0", "role=region", "aria-label="+say.With("Order at %s", rate.Rate)), order(figureHead, rate))
	}
	inside += listed("gaps", rate.Gaps)
	if len(rate.Out) > 0 {
		inside += mk("h4", nil, say.Text("Without a rank")) + written("ul", with("class=out"), rate.Out, unranked)
	}
	return mk("section", with("class=rank"), inside)
}

func unranked(o wire.RankedOut) markup {
	before, what := "", markup("")
	if o.AtLeast {
		before = atLeast
	}
	if o.Figure.Value != "" {
		what = mk("span", with("class=figure"), mkFigure(o.Figure, before))
	}
	return mk("li", nil, mk("strong", nil, o.Name), what, mk("span", nil, o.Why))
}

// order is the table of the ranked cells, the first one first.
func order(figureHead string, rate wire.RankedRate) markup {
	list, letters := make([]wire.Figure, len(rate.Cells)), make([]string, len(rate.Cells))
	for k, c := range rate.Cells {
		list[k], letters[k] = c.Figure, c.Letters
	}
	heads := mkHead(say.Text("Cell"), "") + mkHead(figureHead, "") + mkHead(say.Text("Runs"), "")
	letterCells := mkLetters(letters)
	if letterCells != nil {
		heads += mkHead(say.Text("Letters"), "words")
	}
	var rows markup
	for k, td := range mkFigureCells(list, bare) {
		c := rate.Cells[k]
		inside := mk("th", with("scope=row"), mkSwatch(c.Colour), c.Cell, marked(c.Mark)) + td + mk("td", nil, strconv.Itoa(c.N))
		if letterCells != nil {
			inside += letterCells[k]
		}
		rows += mk("tr", nil, inside)
	}
	return mk("table", nil, mk("caption", with("class=unseen"), say.With("Order at %s", rate.Rate)), mk("thead", nil, mk("tr", nil, heads)), mk("tbody", nil, rows))
}

// mkLetters is a column of letters, each in a place of its own, so that those
// that are shared stand in line; nil where there are none.
func mkLetters(of []string) []markup {
	var all []rune
	for _, letters := range of {
		for _, r := range letters {
			if r != ' ' && !slices.Contains(all, r) {
				all = append(all, r)
			}
		}
	}
	if all == nil {
		return nil
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i] < all[j] })
	cells := make([]markup, len(of))
	for k, letters := range of {
		var inside markup
		for at, r := range all {
			if strings.ContainsRune(letters, r) {
				inside += mk("span", with("class=letter", "--at="+strconv.Itoa(at+1)), string(r))
			}
		}
		cells[k] = mk("td", with("class=words"), mk("span", with("class=letters"), inside))
	}
	return cells
}
