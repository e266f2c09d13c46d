//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

const (
	cards = "/card/" // where the site draws previews
	// Many programs cut or refuse addresses longer than the first (common
	// practice, no source); up to the second it may be for the sake of curves.
	shortAddress, longAddress = 1999, 3999
)

// listenCard offers the link with preview where the site has a server that draws
// one, as the build says.
func (p *page) listenCard() {
	location := js.Global().Get("location")
	served := location.Get("protocol").String() != "file:"
	root := js.Global().Get("document").Get("documentElement").Get("dataset").Get("cards")
	show(byID("card"), served && root.Type() == js.TypeString && root.String() == "yes")
	before := location.Get("origin").String() + cards
	on(byID("card-copy"), "click", func(dom.Element) { p.copyCard(before, shortAddress) })
	on(byID("card-short"), "click", func(dom.Element) { p.copyCard(before, 0) })
}

// copyCard has a link made, the picture's address of at most so many characters;
// longer where curves are wanted and do not fit, but not with 0, which is for
// the short one whatever it lacks.
func (p *page) copyCard(before string, most int) {
	w := p.linkAsked()
	w.Preview, w.Private, w.Fit = true, false, max(most, shortAddress)-len(before)-len(".png")
	p.ask(wire.Command{Do: "link", Link: w}, func(r wire.Reply, _ js.Value) {
		m := r.LinkMade
		if m == nil {
			m = &wire.LinkMade{Why: r.Error}
		}
		if most == shortAddress && !p.linking.out["curves"] && !hasCurves(m) {
			p.copyCard(before, longAddress)
			return
		}
		text := byID("card-text")
		show(text, m.Text != "")
		setList("card-did", m.Did)
		if m.Text == "" {
			setText(byID("card-said"), m.Why)
			return
		}
		address := before + m.Text
		setValue(text, address)
		long := len(address) > shortAddress
		show(byID("card-short"), long)
		said := say.With("The link with preview is copied: %d characters.", len(address))
		if long {
			said += " " + say.Text("Some forums and chats cut what is longer than 2,000; a shorter one has no curves.")
		}
		p.copyText(address, said, text, byID("card-said"))
	})
}

// hasCurves tells whether a link has curves, or nothing to draw them of.
func hasCurves(m *wire.LinkMade) bool {
	for _, part := range m.Parts {
		if part.Key == "curves" {
			return part.In || part.Chars == 0
		}
	}
	return true
}
