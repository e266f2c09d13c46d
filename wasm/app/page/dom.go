//go:build js && wasm

package page

import (
	"fmt"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/guard"
)

// doc is the document. It is set by Start: a worker has none.
var doc dom.Document

func byID(id string) dom.Element { return doc.GetElementByID(id) }

// el makes an element with attributes ("class=left num", "hidden") and what is
// in it: strings become text, never markup.
func el(tag string, attributes []string, inside ...any) dom.Element {
	e := doc.CreateElement(tag)
	for _, a := range attributes {
		name, value, _ := strings.Cut(a, "=")
		e.SetAttribute(name, value)
	}
	for _, x := range inside {
		switch x := x.(type) {
		case string:
			e.AppendChild(doc.CreateTextNode(x))
		case dom.Node:
			e.AppendChild(x)
		}
	}
	return e
}

func with(attributes ...string) []string { return attributes }

// fill replaces what is in an element.
func fill(e dom.Element, children []dom.Node) {
	f := doc.CreateDocumentFragment()
	for _, c := range children {
		f.AppendChild(c)
	}
	e.Underlying().Call("replaceChildren", f.Underlying())
}

// show hides an element or brings it back.
func show(e dom.Element, visible bool) { e.Underlying().Set("hidden", !visible) }

// callback is a JS function whose panics end as a message on the page.
func callback(work func(args []js.Value)) js.Func {
	return js.FuncOf(func(_ js.Value, args []js.Value) any {
		guard.Run(func() { work(args) }, func(what, stack string) {
			fmt.Println(stack)
			alarm("A fault in Plateau stopped this step (" + what + "). The logs are still there; try again.")
		})
		return nil
	})
}

// on listens for an event.
func on(e dom.Element, event string, work func(target dom.Element)) {
	e.Underlying().Call("addEventListener", event, callback(func(args []js.Value) {
		if t := args[0].Get("target"); t.Truthy() {
			work(dom.WrapElement(t))
		}
	}))
}

// alarm says that something went wrong; say tells of something that went well
// to those who do not see the page.
func alarm(text string) {
	e := byID("fault")
	e.SetTextContent(text)
	show(e, text != "")
}

func say(text string) { byID("status").SetTextContent(text) }
