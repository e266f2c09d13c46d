//go:build js && wasm

package page

import (
	"slices"
	"strconv"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// mostPreview is how many characters of a post are shown.
const mostPreview = 100_000

// postChoice is how posts are written, kept from one visit to the next: the parts
// in their order, and those that are in.
type postChoice struct {
	Format  string   `json:"format,omitempty"`
	Order   []string `json:"order,omitempty"`
	In      []string `json:"in,omitempty"`
	Aligned bool     `json:"aligned,omitempty"`
	Brief   bool     `json:"brief,omitempty"`
}

// publishing is what the section for posts remembers.
type publishing struct {
	choice postChoice
	parts  []wire.PublishedPart
	last   wire.Published
	one    *section
}

// pictureOptions are those of loader/pictures.js.
type pictureOptions struct {
	Format string   `json:"format,omitempty"`
	Width  int      `json:"width,omitempty"`
	Scale  int      `json:"scale,omitempty"`
	Name   string   `json:"name,omitempty"`
	Source string   `json:"source,omitempty"`
	Hidden []string `json:"hidden,omitempty"`
	Only   []string `json:"only,omitempty"`
}

func (p *page) listenPublish(one *section) {
	p.posting.one = one
	store := p.host.Get("post")
	if plain.Unmarshal([]byte(store.Call("read").String()), &p.posting.choice) != nil {
		p.posting.choice = postChoice{}
	}
	c := &p.posting.choice
	if e := find("input[name=post-format][value='" + c.Format + "']"); c.Format != "" && e != nil {
		e.Underlying().Set("checked", true)
	}
	byID("post-aligned").Underlying().Set("checked", c.Aligned)
	byID("post-brief").Underlying().Set("checked", c.Brief)
	changed := func() {
		c.Format, c.Aligned, c.Brief = chosen("post-format"), checked(byID("post-aligned")), checked(byID("post-brief"))
		if text, err := plain.Marshal(*c); err == nil {
			store.Call("write", string(text))
		}
		p.askAgain(one)
	}
	on(byID("post-form"), "change", func(t dom.Element) {
		if key := t.GetAttribute("data-part-of"); key != "" {
			p.settleParts()
			c.In = slices.DeleteFunc(c.In, func(k string) bool { return k == key })
			if checked(t) {
				c.In = append(c.In, key)
			}
		}
		changed()
	})
	on(byID("post-parts"), "click", func(t dom.Element) {
		b := closest(t, "button[data-move]")
		if b == nil {
			return
		}
		p.settleParts()
		by := 1
		if b.GetAttribute("data-move") == "up" {
			by = -1
		}
		key := b.GetAttribute("data-key")
		k := slices.Index(c.Order, key)
		if to := k + by; k >= 0 && to >= 0 && to < len(c.Order) {
			c.Order[k], c.Order[to] = c.Order[to], c.Order[k]
		}
		p.renderParts()
		if again := find("#post-parts button[data-key='" + key + "'][data-move=" + b.GetAttribute("data-move") + "]"); again != nil {
			focus(again)
		}
		changed()
	})
	on(byID("post-copy"), "click", func(dom.Element) { p.copyPost() })
	on(byID("post-save"), "click", func(dom.Element) { p.savePost(p.posting.last) })
	on(byID("post-report"), "click", func(dom.Element) { p.saveReport() })
	for _, format := range []string{"svg", "png"} {
		on(byID("post-"+format), "click", func(dom.Element) { p.savePictures(format) })
	}
}

// publishCommand asks for the post as it is chosen.
func (p *page) publishCommand() wire.Command {
	w := &wire.Publish{Format: chosen("post-format"), Title: value(byID("post-title")), Private: value(byID("post-private")), Day: today(),
		Aligned: checked(byID("post-aligned")), Brief: checked(byID("post-brief"))}
	for _, key := range p.posting.choice.Order {
		if slices.Contains(p.posting.choice.In, key) {
			w.Parts = append(w.Parts, key)
		}
	}
	return wire.Command{Do: "publish", Publish: w}
}

// settleParts fills in the usual choice where nobody has chosen yet, and parts
// that there were not at an earlier visit.
func (p *page) settleParts() { p.posting.choice = p.posting.settled() }

// settled is the choice with the usual one where nobody has chosen.
func (g *publishing) settled() postChoice {
	c := g.choice
	c.Order, c.In = slices.Clone(c.Order), slices.Clone(c.In)
	for _, part := range g.parts {
		if !slices.Contains(c.Order, part.Key) {
			c.Order = append(c.Order, part.Key)
			if part.Usual {
				c.In = append(c.In, part.Key)
			}
		}
	}
	return c
}

func (p *page) renderPublished(r wire.Reply, _ js.Value) {
	a := r.Published
	if a == nil {
		a = &wire.Published{Why: r.Error}
	}
	p.posting.last = *a
	if len(a.Parts) > 0 {
		p.posting.parts = a.Parts
	}
	p.renderParts()
	setWhy("post-why", a.Why)
	p.askLink()
	text := a.Text
	cut := ""
	if len(text) > mostPreview {
		text, cut = text[:mostPreview], say.Text("Only the beginning is shown; what is copied or saved is whole.")
	}
	setText(byID("post-text"), text)
	setText(byID("post-cut"), cut)
	for _, id := range []string{"post-copy", "post-save", "post-report", "post-svg", "post-png"} {
		byID(id).Underlying().Set("disabled", a.Text == "")
	}
	show(byID("post-text"), a.Text != "")
}

// renderParts lists the parts in their order.
func (p *page) renderParts() {
	titles := map[string]wire.PublishedPart{}
	for _, part := range p.posting.parts {
		titles[part.Key] = part
	}
	c := p.posting.settled()
	var rows []markup
	for k, key := range c.Order {
		part, ok := titles[key]
		if !ok {
			continue
		}
		box := with("type=checkbox", "data-part-of="+key)
		if slices.Contains(c.In, key) {
			box = append(box, "checked")
		}
		title := part.Title
		if part.Only != "" {
			title = say.With("%s (%s alone)", title, part.Only)
		}
		move := func(way, arrow, label string, off bool) markup {
			attributes := with("type=button", "class=quiet", "data-move="+way, "data-key="+key, "aria-label="+label)
			if off {
				attributes = append(attributes, "disabled")
			}
			return mk("button", attributes, arrow)
		}
		rows = append(rows, mk("li", nil, mk("label", nil, mk("input", box), title),
			move("up", "↑", say.With("Move up: %s", part.Title), k == 0), move("down", "↓", say.With("Move down: %s", part.Title), k+1 == len(c.Order))))
	}
	putRows(byID("post-parts"), rows)
}

func (p *page) copyPost() {
	p.copyText(p.posting.last.Text, say.With("Copied: %d characters.", len([]rune(p.posting.last.Text))), byID("post-text"), byID("post-said"))
}

// copyText copies a text, and says so; where that is not allowed, that it can be
// copied from the page.
func (p *page) copyText(text, done string, from, said dom.Element) {
	var once js.Func
	once = callback(func(args []js.Value) {
		once.Release()
		if !args[0].Bool() {
			done = say.Text("The browser does not let the page copy. Mark the text below and copy it with Ctrl+C, or ⌘C.")
			focus(from)
		}
		setText(said, done)
	})
	p.host.Call("copy", text, once)
}

func (p *page) savePost(a wire.Published) {
	if a.Text == "" {
		return
	}
	p.host.Call("saveText", a.Text, a.Name, a.Type)
	setText(byID("post-said"), say.With("%s was saved.", a.Name))
}

// pictureOptions are what the page is set to.
func (p *page) pictureOptions() pictureOptions {
	width, err := strconv.Atoi(value(byID("post-width")))
	if err != nil || width < 320 || width > 4096 {
		width = 1200
	}
	scale := 1
	if checked(byID("post-double")) {
		scale = 2
	}
	name := value(byID("post-title"))
	if name == "" {
		name = "charts"
	}
	return pictureOptions{Width: width, Scale: scale, Name: name, Source: say.Text("Made with Plateau"), Hidden: p.hiddenRuns()}
}

func (p *page) savePictures(format string) {
	o := p.pictureOptions()
	o.Format = format
	text, err := plain.Marshal(o)
	if err != nil {
		return
	}
	setText(byID("post-said"), say.Text("The pictures are being drawn."))
	var once js.Func
	once = callback(func(args []js.Value) {
		once.Release()
		said := say.Text("The pictures were saved in one zip file.")
		if why := args[0].String(); why != "" {
			said = say.With("The pictures could not be made: %s", why)
		}
		setText(byID("post-said"), said)
	})
	p.host.Call("savePictures", string(text), once)
}

// saveReport saves the report, with its two main charts.
func (p *page) saveReport() {
	o := p.pictureOptions()
	o.Width, o.Scale, o.Only = 1000, 1, []string{"discharge curves", "energy over current"}
	text, err := plain.Marshal(o)
	if err != nil {
		return
	}
	setText(byID("post-said"), say.Text("The report is being made."))
	var once js.Func
	once = callback(func(args []js.Value) {
		once.Release()
		c := p.publishCommand()
		c.Publish.Format = "report"
		if why := args[1].String(); why != "" || plain.Unmarshal([]byte(args[0].String()), &c.Publish.Picture) != nil {
			setText(byID("post-said"), say.With("The report could not be made: %s", why))
			return
		}
		p.ask(c, func(r wire.Reply, _ js.Value) {
			if r.Published == nil || r.Published.Why != "" {
				why := r.Error
				if r.Published != nil {
					why = r.Published.Why
				}
				setText(byID("post-said"), say.With("The report could not be made: %s", why))
				return
			}
			p.savePost(*r.Published)
		})
	})
	p.host.Call("pictures", string(text), once)
}
