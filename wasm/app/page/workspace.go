//go:build js && wasm

package page

import (
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// workspaces is how things stand with what the browser keeps: keep/workspace.js
// tells it.
type workspaces struct {
	Kind     string      `json:"kind"` // "opfs", "indexeddb", "none"
	Why      string      `json:"why"`
	ID       string      `json:"id"`
	Name     string      `json:"name"`
	List     []workspace `json:"list"`
	ReadOnly bool        `json:"readOnly"`
	LockWhy  string      `json:"lockWhy"`
	Kept     string      `json:"kept"` // "kept", "saving", "not"
	KeptWhy  string      `json:"keptWhy"`
	Changes  int         `json:"changes"` // of View.Changes, as far as they are kept
	Notes    []string    `json:"notes"`
}

type workspace struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// workspaceAsk is what can be asked of workspaces.
type workspaceAsk struct {
	Do   string `json:"do"` // "switch", "create", "rename", "remove", "here", "save"
	ID   string `json:"id,omitempty"`
	Name string `json:"name,omitempty"`
}

func (p *page) listenWorkspace() {
	click := func(id string, work func()) { on(byID(id), "click", func(dom.Element) { work() }) }
	click("undo", func() { p.command(wire.Command{Do: "undo"}, nil) })
	click("redo", func() { p.command(wire.Command{Do: "redo"}, nil) })
	click("workspace-save", func() {
		p.askWorkspace(workspaceAsk{Do: "save"}, func() { tell(say.Text("The workspace was saved to a file.")) })
	})
	click("workspace-open", func() { byID("workspace-file").Underlying().Call("click") })
	on(byID("workspace-file"), "change", func(t dom.Element) {
		p.host.Call("addFiles", t.Underlying().Get("files"))
		t.Underlying().Set("value", "")
	})
	click("workspace-here", func() { p.askWorkspace(workspaceAsk{Do: "here"}, nil) })
	create := func() {
		p.askWorkspace(workspaceAsk{Do: "create", Name: value(byID("workspace-new"))}, func() { setValue(byID("workspace-new"), "") })
	}
	rename := func() { p.askWorkspace(workspaceAsk{Do: "rename", Name: value(byID("workspace-rename"))}, nil) }
	click("workspace-create", create)
	click("workspace-renamed", rename)
	onEnter(byID("workspace-new"), create)
	onEnter(byID("workspace-rename"), rename)
	on(byID("workspace-list"), "click", func(t dom.Element) {
		if b := closest(t, "button[data-id]"); b != nil {
			do := b.GetAttribute("data-act")
			if do == "remove" && !js.Global().Call("confirm", say.Text("Remove this workspace with all that is kept in it? This cannot be undone.")).Bool() {
				return
			}
			p.askWorkspace(workspaceAsk{Do: do, ID: b.GetAttribute("data-id")}, func() {
				if do == "remove" {
					focus(byID("workspace-title"))
				}
			})
		}
	})
	// In a field that is typed in, the keys are the browser's.
	doc.Underlying().Call("addEventListener", "keydown", callback(func(args []js.Value) {
		e := args[0]
		if key := e.Get("key"); key.Type() != js.TypeString || !e.Get("ctrlKey").Bool() && !e.Get("metaKey").Bool() || e.Get("altKey").Bool() ||
			closest(wrap(e.Get("target")), "input:not([type=checkbox]):not([type=radio]), textarea, select, dialog") != nil {
			return
		}
		do := ""
		switch key, shift := strings.ToLower(e.Get("key").String()), e.Get("shiftKey").Bool(); {
		case key == "z" && !shift:
			do = "undo"
		case key == "z", key == "y":
			do = "redo"
		default:
			return
		}
		e.Call("preventDefault")
		p.command(wire.Command{Do: do}, nil)
	}))
}

// askWorkspace asks something of workspaces; what is refused is said there.
func (p *page) askWorkspace(a workspaceAsk, then func()) {
	text, err := plain.Marshal(a)
	if err != nil {
		return
	}
	var once js.Func
	once = callback(func(args []js.Value) {
		once.Release()
		r := readReply(args[0].String())
		setText(byID("workspace-error"), r.Error)
		if r.Error != "" {
			if !byID("workspace-fold").Underlying().Get("open").Bool() {
				alarm(r.Error)
			}
			return
		}
		if then != nil {
			then()
		}
	})
	p.host.Call("workspace", string(text), once)
}

// renderWorkspace says how things stand.
func (p *page) renderWorkspace() {
	w := &p.standing
	there := len(p.view.Files)+len(p.view.Cells)+len(p.view.Typed)+len(p.waiting) > 0
	show(byID("workspace"), there || p.view.Undo+p.view.Redo != "" || len(w.List) > 1 || w.ReadOnly || len(w.Notes) > 0 || w.Kept == "not")
	for id, act := range map[string]string{"undo": p.view.Undo, "redo": p.view.Redo} {
		b := byID(id)
		b.Underlying().Set("disabled", act == "" || w.ReadOnly)
		title := say.Text(map[string]string{"undo": say.Later("Undo"), "redo": say.Later("Redo")}[id])
		if act != "" {
			title += ": " + act
		}
		setAttribute(b, "title", title)
		setAttribute(b, "aria-label", title)
	}
	setText(byID("workspace-name"), w.Name)
	setAttribute(byID("workspace"), "data-kept", strconv.Itoa(w.Changes))
	state := ""
	switch {
	case w.ReadOnly:
		state = say.Text("can only be read here")
	case w.Kind == "none":
		state = say.With("is not kept: %s Save a file before you leave.", w.Why)
	case w.Kept == "not":
		state = say.With("is not kept: %s", w.KeptWhy)
	case w.Kept == "saving":
		state = say.Text("is being kept …")
	default:
		state = say.Text("is kept in this browser")
	}
	setText(byID("workspace-state"), state)
	setAttribute(byID("workspace-state"), "class", map[bool]string{true: "wrong", false: "hint"}[w.Kind == "none" || w.Kept == "not"])
	show(byID("workspace-locked"), w.ReadOnly)
	locked := say.Text("This workspace is open in another tab. Here it can only be read.")
	if w.LockWhy != "" {
		locked += " " + w.LockWhy
	}
	setText(findIn(byID("workspace-locked"), "span"), locked)
	setList("workspace-notes", w.Notes)
	setText(byID("workspace-count"), strconv.Itoa(max(1, len(w.List))))
	show(byID("workspace-fold"), w.Kind != "none")
	var rows []markup
	for _, other := range w.List {
		if other.ID == w.ID {
			rows = append(rows, mk("li", nil, mk("strong", nil, other.Name), " ", mk("span", with("class=hint"), say.Text("open here"))))
			continue
		}
		rows = append(rows, mk("li", nil, mk("span", nil, other.Name), " ",
			mk("button", with("type=button", "class=quiet", "data-act=switch", "data-id="+other.ID, "aria-label="+say.With("Turn to %s", other.Name)), say.Text("Turn to it")), " ",
			mk("button", with("type=button", "class=quiet", "data-act=remove", "data-id="+other.ID, "aria-label="+say.With("Remove %s", other.Name)), say.Text("Remove"))))
	}
	putRows(byID("workspace-list"), rows)
	if !hasFocus(byID("workspace-rename")) {
		setValue(byID("workspace-rename"), w.Name)
	}
}

// takeFresh forgets what the page remembers of another state of the engine.
func (p *page) takeFresh() {
	p.settled, p.due = nil, nil
	clear(p.recalledCells)
	clear(p.hidden)
	p.narrow, p.far = narrow{}, ""
	setValue(byID("find"), "")
	p.from, p.to, p.hoverX = nil, nil, nil
	p.host.Get("chart").Call("resetZoom")
	p.waitingOnly()
	p.command(wire.Command{Do: "view", DecimalComma: decimalComma()}, func(r wire.Reply, _ js.Value) {
		if v := r.View; v != nil && len(v.Files)+len(v.Cells)+len(v.Typed) == 0 && !hasSpecification(&v.Tester) {
			p.retell()
		}
	})
}

// waitingOnly keeps of the logs announced those that wait.
func (p *page) waitingOnly() {
	for id := range p.known {
		if !p.isWaiting(id) {
			delete(p.known, id)
			delete(p.answered, id)
			delete(p.recalled, id)
		}
	}
}
