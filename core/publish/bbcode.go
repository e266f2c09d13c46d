package publish

import (
	"io"
	"strings"
)

// BBCode writes a post as bulletin board code. There is no standard of it: used
// are [b], [list] with [*], and [table] with [tr] and [td], or with
// Options.Aligned [code] in its place. Nor is there a way to escape: square
// brackets in texts of the post become full-width ones (U+FF3B, U+FF3D), which
// look alike and which no board reads as a tag.
func BBCode(w io.Writer, p Post, o Options) error {
	return put(w, render(&p, &o, &bbcode{aligned: o.Aligned}))
}

type bbcode struct {
	out     strings.Builder
	aligned bool
}

var bracketless = strings.NewReplacer("[", "［", "]", "］")

func escapeBBCode(s string) string { return bracketless.Replace(s) }

func (b *bbcode) text() string { return b.out.String() }

func (b *bbcode) title(text string) { b.out.WriteString("[b]" + escapeBBCode(line(text)) + "[/b]\n") }

func (b *bbcode) head(text string) { b.out.WriteString("\n[b]" + escapeBBCode(line(text)) + "[/b]\n") }

func (b *bbcode) item(x item) string {
	text := escapeBBCode(line(x.text))
	if head := escapeBBCode(line(x.head)); head != "" {
		return "[b]" + head + ":[/b] " + text
	}
	return text
}

func (b *bbcode) para(x item) { b.out.WriteString("\n" + b.item(x) + "\n") }

func (b *bbcode) list(items []item) {
	b.out.WriteString("\n[list]\n")
	for _, x := range items {
		b.out.WriteString("[*]" + b.item(x) + "\n")
	}
	b.out.WriteString("[/list]\n")
}

func (b *bbcode) picture(string) {}

func (b *bbcode) table(t *table) {
	t = t.escaped(escapeBBCode)
	if b.aligned {
		b.out.WriteString("\n[code]\n" + strings.Join(aligned(t), "\n") + "\n[/code]\n")
		return
	}
	b.out.WriteString("\n[table]\n")
	row := func(fields []string, open, close string) {
		b.out.WriteString("[tr]")
		for _, f := range fields {
			b.out.WriteString("[td]" + open + f + close + "[/td]")
		}
		b.out.WriteString("[/tr]\n")
	}
	row(t.heads, "[b]", "[/b]")
	for _, r := range t.rows {
		row(r, "", "")
	}
	b.out.WriteString("[/table]\n")
}
