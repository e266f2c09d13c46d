package publish

import (
	"io"
	"strings"
)

// Markdown writes a post as CommonMark 0.31 with pipe tables as GitHub Flavored
// Markdown 0.29 has them. Texts of the post are escaped, so that none is read
// as markup or as an address.
func Markdown(w io.Writer, p Post, o Options) error {
	return put(w, render(&p, &o, &markdown{aligned: o.Aligned}))
}

type markdown struct {
	out     strings.Builder
	aligned bool
}

func (m *markdown) text() string { return m.out.String() }

func (m *markdown) title(text string) { m.out.WriteString("# " + escapeMarkdown(line(text)) + "\n") }

func (m *markdown) head(text string) { m.out.WriteString("\n## " + escapeMarkdown(line(text)) + "\n") }

func (m *markdown) item(x item) string {
	text := escapeMarkdown(line(x.text))
	if head := escapeMarkdown(line(x.head)); head != "" {
		return "**" + head + ":** " + text
	}
	return startMarkdown(text)
}

func (m *markdown) para(x item) { m.out.WriteString("\n" + m.item(x) + "\n") }

func (m *markdown) list(items []item) {
	m.out.WriteByte('\n')
	for _, x := range items {
		m.out.WriteString("- " + m.item(x) + "\n")
	}
}

func (m *markdown) picture(string) {}

func (m *markdown) table(t *table) {
	m.out.WriteByte('\n')
	if m.aligned {
		m.code(t)
		return
	}
	t = t.escaped(escapeMarkdown)
	row := func(fields []string) { m.out.WriteString("| " + strings.Join(fields, " | ") + " |\n") }
	row(t.heads)
	var rule []string
	for _, right := range t.right {
		rule = append(rule, map[bool]string{true: "---:", false: "---"}[right])
	}
	row(rule)
	for _, r := range t.rows {
		row(r)
	}
}

// code writes a table as a fenced block, whose fence is longer than any row of
// backticks in it (CommonMark 4.5). Nothing is markup there.
func (m *markdown) code(t *table) {
	lines := aligned(t.escaped(func(s string) string { return s }))
	fence := "```"
	for _, l := range lines {
		for strings.Contains(l, fence) {
			fence += "`"
		}
	}
	m.out.WriteString(fence + "\n" + strings.Join(lines, "\n") + "\n" + fence + "\n")
}

// escapeMarkdown puts a backslash before what can be markup inside a line
// (CommonMark 2.4 allows it before ASCII punctuation), and into addresses, which
// GitHub Flavored Markdown 6.9 would make links.
func escapeMarkdown(s string) string {
	var b strings.Builder
	for k, r := range s {
		switch {
		case strings.ContainsRune("\\`*_{}[]<>|#~&!$@^", r),
			r == ':' && strings.HasPrefix(s[k:], "://"),
			r == '.' && k >= 3 && strings.EqualFold(s[k-3:k], "www"):
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// startMarkdown escapes what would begin a block at the start of a line: a list,
// a rule, an underline of a heading.
func startMarkdown(s string) string {
	if s == "" {
		return s
	}
	if strings.IndexByte("-+=", s[0]) >= 0 {
		return "\\" + s
	}
	k := 0
	for k < len(s) && s[k] >= '0' && s[k] <= '9' {
		k++
	}
	if k > 0 && k < len(s) && (s[k] == '.' || s[k] == ')') && (k+1 == len(s) || s[k+1] == ' ') {
		return s[:k] + "\\" + s[k:]
	}
	return s
}
