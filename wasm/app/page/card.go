//go:build js && wasm

package page

import (
	"strconv"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

const (
	cards = "/card/" // where the site draws previews
	// Many programs cut or refuse longer addresses (common practice, no source).
	mostAddress = 1999
)

// listenCard offers the link with preview where the site has a server that draws
// one, as the build says.
func (p *page) listenCard() {
	location := js.Global().Get("location")
	served := location.Get("protocol").String() != "file:"
	root := js.Global().Get("document").Get("documentElement").Get("dataset").Get("cards")
	show(byID("card"), served && root.Type() == js.TypeString && root.String() == "yes")
	on(byID("card-copy"), "click", func(dom.Element) { p.copyCard(location.Get("origin").String() + cards) })
}

// copyCard has a link made that is short enough, the picture's address too.
func (p *page) copyCard(before string) {
	w := p.linkAsked()
	w.Preview, w.Private, w.Fit = true, false, mostAddress-len(before)-len(".png")
	p.ask(wire.Command{Do: "link", Link: w}, func(r wire.Reply, _ js.Value) {
		m := r.LinkMade
		if m == nil {
			m = &wire.LinkMade{Why: r.Error}
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
		p.copyText(address, "The link with preview is copied: "+strconv.Itoa(len(address))+" characters.", text, byID("card-said"))
	})
}
