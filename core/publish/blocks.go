package publish

import (
	"strings"
	"unicode/utf8"

	"plateau/core/say"
)

// item is a paragraph or a line of a list, with a head that stands out.
type item struct{ head, text string }

// block is a picture, a table, a list or a paragraph: the first of its fields that is set.
type block struct {
	picture string // HTML
	table   *table
	list    []item
	para    item
}

// table has as many fields in each row as it has heads. The first column names
// the row.
type table struct {
	name  string
	heads []string
	right []bool // numbers
	rows  [][]string
	half  bool // long and narrow: in two columns on paper
}

// add puts an item into a list, para a paragraph behind blocks: calls cost the
// program less room than so many appends.
func add(list []item, head, text string) []item { return append(list, item{head, text}) }

func para(list []block, head, text string) []block {
	return append(list, block{para: item{head, text}})
}

// section is one part of a post.
type section struct {
	key, title string
	blocks     []block
}

// dash stands where there is no figure.
const dash = "—"

// add puts a row in. It copies: fields that stay where they were made cost the
// program less room.
func (t *table) add(fields ...string) { t.rows = append(t.rows, append([]string(nil), fields...)) }

// more adds fields to the last row.
func (t *table) more(fields ...string) {
	row := &t.rows[len(t.rows)-1]
	*row = append(*row, fields...)
}

// columns adds columns; kinds has a > for each that is of numbers.
func (t *table) columns(kinds string, heads ...string) {
	for k, h := range heads {
		t.heads, t.right = append(t.heads, say.Text(h)), append(t.right, kinds[k] == '>')
	}
}

// pruned is the table without columns that hold nothing; nil where no row or
// no column is left.
func (t *table) pruned() *table {
	out := &table{name: t.name, half: t.half, rows: make([][]string, len(t.rows))}
	for c, head := range t.heads {
		empty := true
		for _, row := range t.rows {
			empty = empty && (row[c] == "" || row[c] == dash)
		}
		if empty {
			continue
		}
		out.heads, out.right = append(out.heads, head), append(out.right, t.right[c])
		for k, row := range t.rows {
			out.rows[k] = append(out.rows[k], row[c])
		}
	}
	if len(out.heads) == 0 {
		return nil
	}
	return out
}

// footnotes are what stands below a table. The same words are noted once.
type footnotes struct{ list []string }

// mark notes words and returns their mark; empty words have none.
func (f *footnotes) mark(words string) string {
	if words = line(words); words == "" {
		return ""
	}
	n := len(f.list)
	for k, have := range f.list {
		if have == words {
			n = k
		}
	}
	if n == len(f.list) {
		f.list = append(f.list, words)
	}
	return raised(n + 1)
}

// items are the notes as a list.
func (f *footnotes) items() []item {
	var out []item
	for k, words := range f.list {
		out = add(out, "", raised(k+1)+" "+words)
	}
	return out
}

// raised is a number in superscript digits.
func raised(n int) string {
	if n < 10 {
		return [...]string{"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"}[n]
	}
	return raised(n/10) + raised(n%10)
}

// tabled is a table with what stands below it; nothing where the table is empty.
func tabled(t *table, f *footnotes) []block {
	var out []block
	if t = t.pruned(); t == nil {
		return nil
	}
	out = append(out, block{table: t})
	if list := f.items(); list != nil {
		out = append(out, block{list: list})
	}
	return out
}

// listed is a list; nothing where it is empty.
func listed(list []item) []block {
	var out []item
	for _, x := range list {
		if line(x.head+x.text) != "" {
			out = append(out, x)
		}
	}
	if out == nil {
		return nil
	}
	return []block{{list: out}}
}

// line makes a text one line: what ends a line or cannot be seen becomes a
// blank, several blanks one. Characters that turn the direction of what follows
// them (Unicode Standard Annex 9, 2.1 to 2.5) are left out, as they would reach
// over the text's end; letters that run from right to left do so without them.
// Bytes that are no UTF-8 become U+FFFD.
func line(s string) string {
	var b strings.Builder
	blank := false
	for _, r := range s {
		switch {
		case r >= 0x202A && r <= 0x202E, r >= 0x2066 && r <= 0x2069, r == 0xFEFF:
			continue
		case r <= ' ', r >= 0x7F && r <= 0x9F, r == 0x2028, r == 0x2029:
			blank = true
			continue
		}
		if blank && b.Len() > 0 {
			b.WriteByte(' ')
		}
		blank = false
		b.WriteRune(r)
	}
	// NBSP and their like at the ends would undo emphasis around them.
	return strings.TrimSpace(b.String())
}

// aligned is a table as columns of text, parted by two blanks.
func aligned(t *table) []string {
	width := make([]int, len(t.heads))
	all := append([][]string{t.heads}, t.rows...)
	for _, row := range all {
		for c, f := range row {
			width[c] = max(width[c], utf8.RuneCountInString(f))
		}
	}
	var out []string
	for k, row := range all {
		var b, rule strings.Builder
		for c, f := range row {
			gap := strings.Repeat(" ", width[c]-utf8.RuneCountInString(f))
			if c > 0 {
				b.WriteString("  ")
				rule.WriteString("  ")
			}
			rule.WriteString(strings.Repeat("-", width[c]))
			if t.right[c] {
				b.WriteString(gap + f)
			} else {
				b.WriteString(f + gap)
			}
		}
		out = append(out, strings.TrimRight(b.String(), " "))
		if k == 0 {
			out = append(out, rule.String())
		}
	}
	return out
}

// escaped is the table with each field made one line and passed through escape.
func (t *table) escaped(escape func(string) string) *table {
	out := &table{name: escape(line(t.name)), right: t.right}
	row := func(fields []string) []string {
		var r []string
		for _, f := range fields {
			r = append(r, escape(line(f)))
		}
		return r
	}
	out.heads = row(t.heads)
	for _, r := range t.rows {
		out.rows = append(out.rows, row(r))
	}
	return out
}
