//go:build js && wasm

package page

import (
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/plain"
)

// A form stands for a struct of texts: each of its controls names the field it
// is for in data-field ("maxPower", "voltage.0.gain").

// readForm takes what is typed into a form; what this has no field for stays.
func readForm(form dom.Element, into any) error {
	root := js.Global().Get("Object").New()
	for _, e := range findAllIn(form, "[data-field]") {
		text := strings.TrimSpace(value(e))
		at, path := root, strings.Split(e.GetAttribute("data-field"), ".")
		// An empty field of a row makes no row.
		if text == "" && len(path) > 2 || e.GetAttribute("type") == "radio" && !checked(e) {
			continue
		}
		for k, name := range path[:len(path)-1] {
			if at.Get(name).IsUndefined() {
				kind := "Object"
				if _, err := strconv.Atoi(path[k+1]); err == nil {
					kind = "Array"
				}
				at.Set(name, js.Global().Get(kind).New())
			}
			at = at.Get(name)
		}
		at.Set(path[len(path)-1], text)
	}
	return plain.Unmarshal([]byte(js.Global().Get("JSON").Call("stringify", root).String()), into)
}

// fillForm shows a struct in a form, and what is wrong at the fields. What is
// being typed stays, and so does what was refused.
func fillForm(form dom.Element, from any, wrong map[string]string) {
	text, err := plain.Marshal(from)
	if err != nil {
		return
	}
	root := js.Global().Get("JSON").Call("parse", string(text))
	for _, e := range findAllIn(form, "[data-field]") {
		field := e.GetAttribute("data-field")
		at := root
		for _, name := range strings.Split(field, ".") {
			if at.Type() == js.TypeObject {
				at = at.Get(name)
			}
		}
		now := ""
		if at.Type() == js.TypeString {
			now = at.String()
		}
		switch {
		case e.GetAttribute("type") == "radio":
			e.Underlying().Set("checked", value(e) == now)
		case hasFocus(e), wrong[field] != "" && now == "":
		default:
			setValue(e, now)
		}
		setWrong(e, wrong[field])
	}
}

// setWrong says at a control what is wrong with what it holds; nothing, for "".
func setWrong(e dom.Element, why string) {
	id := e.ID() + "-error"
	e.SetAttribute("aria-invalid", strconv.FormatBool(why != ""))
	said := wrap(doc.Underlying().Call("getElementById", id))
	if said == nil {
		if why == "" {
			return
		}
		said = el("span", with("class=field-error", "id="+id))
		closest(e, ".box").AppendChild(said)
		e.SetAttribute("aria-describedby", id)
	}
	setText(said, why)
}

// blank is a field for a number or a short text.
func blank(id, field string, attributes ...string) dom.Element {
	return el("input", append(with("type=text", "id="+id, "data-field="+field, "autocomplete=off", "spellcheck=false"), attributes...))
}
