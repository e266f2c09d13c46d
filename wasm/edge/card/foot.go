package card

import (
	"image/color"
	"strconv"
	"unicode"
	"unicode/utf8"

	"plateau/core/publish"
)

// foot has the verdicts, the worst first, a word of caution where one is due, and
// which program drew it.
func (d *drawn) foot() {
	const first, second = 573, 606
	d.dc.SetColor(rule)
	d.dc.SetLineWidth(1.5)
	d.dc.DrawLine(margin, first-33, Width-margin, first-33)
	d.dc.Stroke()
	right := float64(Width - margin)
	right -= d.text.write(d.on, "made with Plateau", right, second, accent, true) + 24
	rows := []float64{Width - margin, right}
	at := []float64{first, second}
	if publish.Caution(d.post) != "" {
		d.text.write(d.on, d.text.fit("Caution: driven hard or hot. Not for imitation.", right-margin), margin, second, failed, false)
		rows, at = rows[:1], at[:1]
	}
	d.verdicts(rows, at)
}

// said is one verdict in few words.
type said struct {
	claim, word string
	colour      color.Color
}

// verdicts writes those that fit into lines that end at so many pixels.
func (d *drawn) verdicts(ends, base []float64) {
	var list []said
	for _, want := range []string{"fault", "near", "pass", "open"} {
		for k := range d.post.Verdicts {
			v := &d.post.Verdicts[k]
			if class := gradeClass(v.Grade); class == want && v.Word != "" {
				claim := publish.Claimed(v)
				if len(d.post.Cells) != 1 && v.Cell != "" {
					claim = v.Cell + ", " + lower(claim)
				}
				list = append(list, said{claim, v.Word, map[string]color.Color{"fault": failed, "near": caution, "pass": accent, "open": quiet}[want]})
			}
		}
	}
	const gap = 28
	row, x := 0, float64(margin)
	for k, s := range list {
		more := ""
		if n := len(list) - k; n > 1 {
			more = "and " + strconv.Itoa(n) + " more"
		}
		claim, word := d.text.fit(s.claim, Width/2)+": ", d.bold.fit(s.word, Width/3)
		wide := d.text.width(claim) + d.bold.width(word)
		if x > margin && x+wide > ends[row] && row+1 < len(ends) {
			row, x = row+1, margin
		}
		room := ends[row]
		if row+1 == len(ends) && k+1 < len(list) {
			room -= d.text.width("and 99 more") + gap
		}
		if x+wide > room {
			if x > margin || wide > ends[row]-margin {
				d.text.write(d.on, d.text.fit(more, ends[row]-x), x, base[row], quiet, false)
				return
			}
		}
		x += d.text.write(d.on, claim, x, base[row], ink, false)
		x += d.bold.write(d.on, word, x, base[row], s.colour, false) + gap
	}
}

// lower is a text with a small first letter.
func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[n:]
}
