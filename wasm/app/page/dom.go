//go:build js && wasm

package page

import (
	"fmt"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/guard"
)

// doc is the document. It is set by Start: a worker has none.
var doc dom.Document

// byID is an element of the static page, which never goes away.
func byID(id string) dom.Element {
	e, ok := elements[id]
	if !ok {
		e = wrap(doc.Underlying().Call("getElementById", id))
		elements[id] = e
	}
	return e
}

var elements = map[string]dom.Element{}

// el makes an element with attributes ("class=left num", "hidden") and what is
// in it: strings become text, never markup. It goes past the wrappers of dom,
// which ask the browser a dozen things about each new element.
func el(tag string, attributes []string, inside ...any) dom.Element {
	e := doc.Underlying().Call("createElement", tag)
	for _, a := range attributes {
		name, value, _ := strings.Cut(a, "=")
		e.Call("setAttribute", name, value)
	}
	for k, x := range inside {
		if n, ok := x.(dom.Node); ok {
			inside[k] = n.Underlying()
		}
	}
	if len(inside) > 0 {
		e.Call("append", inside...)
	}
	return wrap(e)
}

// wrap makes an element of a value; nil of null. The wrappers that dom itself
// looks up for each kind of element are not needed here, and cost a lot.
func wrap(v js.Value) dom.Element {
	if !v.Truthy() {
		return nil
	}
	return &dom.BasicElement{BasicNode: &dom.BasicNode{Value: v}}
}

// find is the first element that a selector picks, findIn the first inside
// another, findAll all of them, closest the nearest around one; nil for none.
func find(selector string) dom.Element { return wrap(doc.Underlying().Call("querySelector", selector)) }

func findIn(e dom.Element, selector string) dom.Element {
	return wrap(e.Underlying().Call("querySelector", selector))
}

func findAll(selector string) []dom.Element { return allOf(doc.Underlying(), selector) }

func findAllIn(e dom.Element, selector string) []dom.Element { return allOf(e.Underlying(), selector) }

func allOf(root js.Value, selector string) []dom.Element {
	list := root.Call("querySelectorAll", selector)
	all := make([]dom.Element, list.Length())
	for k := range all {
		all[k] = wrap(list.Index(k))
	}
	return all
}

func closest(e dom.Element, selector string) dom.Element {
	return wrap(e.Underlying().Call("closest", selector))
}

func with(attributes ...string) []string { return attributes }

// fill replaces what is in an element.
func fill(e dom.Element, children []dom.Node) {
	var values []any
	for _, c := range children {
		values = append(values, c.Underlying())
	}
	e.Underlying().Call("replaceChildren", values...)
}

// refillWith puts children into an element unless they are what is there.
func refillWith(e dom.Element, children []dom.Node) {
	there := e.Underlying().Get("children")
	same := there.Length() == len(children)
	for k := 0; same && k < len(children); k++ {
		same = there.Index(k).Equal(children[k].Underlying())
	}
	if !same {
		fill(e, children)
	}
}

// refill replaces what is in an element that has parts to unfold, and leaves
// those open that were: they are known by their data-part.
func refill(e dom.Element, children []dom.Node) { keepOpen(e, func() { fill(e, children) }) }

func keepOpen(e dom.Element, refill func()) {
	open := findAllIn(e, "details[open][data-part]")
	refill()
	for _, was := range open {
		for _, d := range findAllIn(e, "details[data-part]") {
			if d.GetAttribute("data-part") == was.GetAttribute("data-part") {
				d.Underlying().Set("open", true)
			}
		}
	}
}

// style sets a custom property, which an attribute must not under the policy of
// the page.
func style(e dom.Element, name, value string) {
	e.Underlying().Get("style").Call("setProperty", name, value)
}

// show hides an element or brings it back.
func show(e dom.Element, visible bool) { e.Underlying().Set("hidden", !visible) }

// showSection hides a section of the page or brings it back, and the link to it.
// A rule of style that asks whether there is one would have the whole page
// looked through at each change.
func showSection(e dom.Element, visible bool) {
	show(e, visible)
	if link := find("nav a[href='#" + e.ID() + "']"); link != nil {
		show(link, visible)
	}
}

// setAttribute sets an attribute unless it is so already.
func setAttribute(e dom.Element, name, value string) {
	if e.GetAttribute(name) != value {
		e.SetAttribute(name, value)
	}
}

func focus(e dom.Element) { e.Underlying().Call("focus") }

// value is what a control is set to.
func value(e dom.Element) string { return e.Underlying().Get("value").String() }

func setValue(e dom.Element, text string) {
	if value(e) != text { // so that a cursor in it stays where it is
		e.Underlying().Set("value", text)
	}
}

func checked(e dom.Element) bool { return e.Underlying().Get("checked").Bool() }

// callback is a JS function whose panics end as a message on the page.
func callback(work func(args []js.Value)) js.Func {
	return js.FuncOf(func(_ js.Value, args []js.Value) any {
		guard.Run(func() { work(args) }, func(what, stack string) {
			fmt.Println(stack)
			alarm(say.With("A fault in Plateau stopped this step (%s). The logs are still there; try again.", what))
		})
		return nil
	})
}

// on listens for an event.
func on(e dom.Element, event string, work func(target dom.Element)) {
	e.Underlying().Call("addEventListener", event, callback(func(args []js.Value) {
		if t := args[0].Get("target"); t.Truthy() {
			work(wrap(t))
		}
	}))
}

// onEnter listens for the enter key.
func onEnter(e dom.Element, work func()) {
	e.Underlying().Call("addEventListener", "keydown", callback(func(args []js.Value) {
		if args[0].Get("key").String() == "Enter" && !args[0].Get("isComposing").Bool() {
			args[0].Call("preventDefault")
			work()
		}
	}))
}

// alarm says that something went wrong; tell says what went well, to those who do
// not see the page.
func alarm(text string) {
	e := byID("fault")
	e.SetTextContent(text)
	show(e, text != "")
}

func tell(text string) { byID("spoken").SetTextContent(text) }
