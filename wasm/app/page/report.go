//go:build js && wasm

package page

import (
	"fmt"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// report shows what a person can send to get help with a log. Nothing is
// copied before it has been seen.
func (p *page) report(f wire.File) {
	browser := js.Global().Get("navigator").Get("userAgent").String()
	p.command(wire.Command{Do: "report", File: f.ID, Text: browser}, func(r wire.Reply, _ js.Value) {
		if r.Report == nil {
			return
		}
		byID("report-name").SetTextContent(f.Name)
		byID("report-copied").SetTextContent("")
		setValue(byID("report-text"), r.Report.Text)
		byID("report").SetAttribute("data-file", fmt.Sprint(f.ID))
		openDialog("report")
		byID("report-text").Underlying().Set("scrollTop", 0)
		focus(byID("report-copy"))
	})
}

func (p *page) listenReport() {
	text := byID("report-text")
	on(byID("report-copy"), "click", func(dom.Element) {
		var once js.Func
		once = callback(func(args []js.Value) {
			once.Release()
			if args[0].Bool() {
				byID("report-copied").SetTextContent(say.Text("Copied."))
				return
			}
			focus(text)
			text.Underlying().Call("select")
			byID("report-copied").SetTextContent(say.Text("The browser does not let the page copy. The text is marked: copy it with Ctrl+C, or ⌘C."))
		})
		p.host.Call("copy", value(text), once)
	})
	on(byID("report-close"), "click", func(dom.Element) { closeDialog("report") })
	on(byID("report"), "close", func(dom.Element) { focusAct(byID("report").GetAttribute("data-file"), "report") })
}

func openDialog(id string) {
	if d := byID(id).Underlying(); !d.Get("open").Bool() {
		d.Call("showModal")
	}
}

func closeDialog(id string) { byID(id).Underlying().Call("close") }

// focusAct puts the focus back on a button in the list of logs, or, where it is
// gone, on the head of the list.
func focusAct(file string, do ...string) {
	for _, d := range do {
		if b := find(fmt.Sprintf(`#logs li[data-id="%s"] button[data-act="%s"]`, file, d)); b != nil {
			focus(b)
			return
		}
	}
	focus(byID("logs-title"))
}
