package publish

import (
	"io"
	"strconv"
	"strings"
)

// JSON writes a post as post.schema.json in this folder has it: numbers at full
// precision, null for none. The parts that are asked for are its members; their
// order means nothing. The decimal mark is a point whatever Options.Words says.
func JSON(w io.Writer, p Post, o Options) error {
	j := &object{}
	j.open("", '{')
	j.text("format", "plateau-post")
	j.number("version", 1)
	j.members("title", p.Title, "day", p.Day, "program", p.Program, "uncertainty", "expanded, k = 2", "caution", caution(&p))
	for _, part := range o.chosen() {
		switch part.Key {
		case Conditions:
			j.lines("conditions", p.Conditions)
		case Leaders:
			j.lines("leaders", p.Leaders)
		case Working:
			j.texts("method", p.Method)
		case Instrument:
			j.open("tester", '{')
			j.text("name", p.Tester.Name)
			j.flag("stated", p.Tester.Known)
			j.texts("errors", p.Tester.Words)
			j.close('}')
		case Datasheets:
			private := o.has(Notes)
			j.open("cells", '[')
			for k := range p.Cells {
				c := &p.Cells[k]
				j.cell(c, private)
			}
			j.close(']')
		case Incoming:
			j.inspection(&p, o.has(Findings), o.Brief)
		case Figures:
			findings := o.has(Findings)
			j.open("runs", '[')
			for k := range p.Runs {
				r := &p.Runs[k]
				j.run(r, findings, o.Brief)
			}
			j.close(']')
		case Verdicts:
			j.open("verdicts", '[')
			for k := range p.Verdicts {
				v := &p.Verdicts[k]
				j.verdict(v)
			}
			j.close(']')
		case Standing:
			j.open("rankings", '[')
			for n := range p.Rankings {
				k := &p.Rankings[n]
				j.ranking(k)
			}
			j.close(']')
		case Logs:
			j.open("logs", '[')
			for _, l := range p.Logs {
				j.open("", '{')
				j.text("name", l.Name)
				j.amount("bytes", float64(l.Bytes))
				j.text("sha256", l.SHA256)
				j.close('}')
			}
			j.close(']')
		case Notes:
			j.text("notes", p.Private)
		case Curves:
			j.curves(&p)
		}
	}
	j.close('}')
	return put(w, j.out.String()+"\n")
}

func (j *object) cell(c *Cell, private bool) {
	j.open("", '{')
	j.members("name", c.Name, "model", c.Model, "sample", c.Sample, "chemistry", c.Chemistry, "size", c.Size, "marking", c.Marking)
	j.amounts(named{"mass_g", c.Mass}, named{"price", c.Price})
	j.text("currency", c.Currency)
	j.open("claims", '[')
	for _, x := range c.Claims {
		j.open("", '{')
		j.text("what", x.What)
		j.amounts(named{"capacity_Ah", x.Capacity}, named{"current_A", x.Current}, named{"cutoff_V", x.Cutoff})
		j.close('}')
	}
	j.close(']')
	j.amounts(named{"cutoff_V", c.Cutoff}, named{"charge_voltage_V", c.ChargeVoltage}, named{"charge_current_A", c.ChargeCurrent},
		named{"charge_end_A", c.ChargeEnd}, named{"max_current_A", c.MaxCurrent}, named{"series", float64(c.Series)})
	if private {
		j.members("bought", c.Bought, "lot", c.Lot, "date_code", c.DateCode, "wrapper", c.Wrapper, "notes", c.Notes)
	}
	j.close('}')
}

func (j *object) run(r *Run, findings, brief bool) {
	j.open("", '{')
	j.members("cell", r.Cell, "name", r.Name)
	j.flag("typed", r.Typed)
	if r.Log >= 0 {
		j.number("log", float64(r.Log))
	} else {
		j.raw("log", "null")
	}
	j.amounts(named{"current_A", r.Current}, named{"rate_It", r.Rate}, named{"cutoff_V", r.Cutoff})
	j.flag("over_permitted_current", r.Over)
	j.text("void", r.Void)
	for _, q := range flatFigures {
		j.figure(q.head+"_"+q.unit, q.of(r))
	}
	j.amount("resistance_after_s", r.ResistanceAt)
	if findings {
		j.findings(r.Checks, brief)
	}
	j.close('}')
}

func (j *object) findings(checks []Check, brief bool) {
	j.open("findings", '[')
	for _, c := range checks {
		if brief && c.Severity == "note" && !c.Safety {
			continue
		}
		j.open("", '{')
		j.members("severity", c.Severity, "text", c.Text)
		j.flag("safety", c.Safety)
		j.close('}')
	}
	j.close(']')
}

func (j *object) verdict(v *Verdict) {
	j.open("", '{')
	j.members("cell", v.Cell, "claim", v.Claim, "grade", v.Grade, "word", v.Word, "sentence", v.Sentence)
	j.figure("best_Ah", &v.Best)
	j.number("best_of", float64(v.BestOf))
	j.figure("margin_Ah", &v.Margin)
	j.figure("chance", &v.Chance)
	j.close('}')
}

func (j *object) ranking(k *Ranking) {
	j.open("", '{')
	j.members("figure", k.Figure, "unit", k.Unit, "rate", k.Rate)
	j.texts("basis", k.Basis)
	j.open("places", '[')
	for n := range k.Places {
		x := &k.Places[n]
		j.open("", '{')
		j.text("cell", x.Cell)
		j.figure("mean", &x.Mean)
		j.number("n", float64(x.N))
		j.members("letters", x.Letters, "mark", x.Mark)
		j.close('}')
	}
	j.close(']')
	j.texts("gaps", k.Gaps)
	j.texts("without_rank", k.Out)
	j.text("why", k.Why)
	j.close('}')
}

func (j *object) curves(p *Post) {
	j.amount("curve_tolerance_V", p.Tolerance)
	j.open("curves", '[')
	for _, c := range p.Curves {
		j.open("", '{')
		j.number("run", float64(c.Run))
		j.numbers("charge_Ah", c.Q)
		j.numbers("voltage_V", c.V)
		if c.Temp != nil {
			j.numbers("temperature_C", c.Temp)
		}
		j.close('}')
	}
	j.close(']')
}

// object writes JSON (RFC 8259), a member a line. An empty key is an element of
// an array.
type object struct {
	out   strings.Builder
	depth int
	some  bool // something stands before in this object or array
}

func (j *object) key(key string) {
	if j.some {
		j.out.WriteByte(',')
	}
	j.some = true
	if j.depth > 0 {
		j.out.WriteByte('\n')
		for range j.depth {
			j.out.WriteByte(' ')
		}
	}
	if key != "" {
		j.quote(key)
		j.out.WriteString(": ")
	}
}

func (j *object) open(key string, bracket byte) {
	j.key(key)
	j.out.WriteByte(bracket)
	j.depth, j.some = j.depth+1, false
}

func (j *object) close(bracket byte) {
	j.depth--
	if j.some {
		j.out.WriteByte('\n')
		for range j.depth {
			j.out.WriteByte(' ')
		}
	}
	j.out.WriteByte(bracket)
	j.some = true
}

func (j *object) raw(key, value string) {
	j.key(key)
	j.out.WriteString(value)
}

func (j *object) text(key, s string) {
	j.key(key)
	j.quote(s)
}

// members writes texts, each after its key.
func (j *object) members(list ...string) {
	for k := 0; k < len(list); k += 2 {
		j.text(list[k], list[k+1])
	}
}

// named is an amount with its key.
type named struct {
	key string
	x   float64
}

func (j *object) amounts(list ...named) {
	for _, a := range list {
		j.amount(a.key, a.x)
	}
}

func (j *object) texts(key string, list []string) {
	j.open(key, '[')
	for _, s := range list {
		j.text("", s)
	}
	j.close(']')
}

func (j *object) lines(key string, list []Line) {
	j.open(key, '[')
	for _, l := range list {
		j.open("", '{')
		j.members("head", l.Head, "text", l.Text)
		j.close('}')
	}
	j.close(']')
}

func (j *object) flag(key string, x bool) { j.raw(key, strconv.FormatBool(x)) }

// full is a number that reads back to the last bit; null where JSON has none.
func full(x float64) string {
	if !known(x) {
		return "null"
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

func (j *object) number(key string, x float64) { j.raw(key, full(x)) }

// amount is a number that is not known where it is not above zero.
func (j *object) amount(key string, x float64) {
	if !(x > 0) {
		j.raw(key, "null")
		return
	}
	j.number(key, x)
}

func (j *object) numbers(key string, list []float64) {
	j.key(key)
	j.out.WriteByte('[')
	for k, x := range list {
		if k > 0 {
			j.out.WriteString(", ")
		}
		j.out.WriteString(full(x))
	}
	j.out.WriteByte(']')
}

func (j *object) figure(key string, n *Number) {
	u := "null"
	if n.U > 0 {
		u = full(n.U)
	}
	j.raw(key, `{"value": `+full(n.Value)+`, "U": `+u+`, "at_least": `+strconv.FormatBool(n.AtLeast)+`, "why": `)
	j.quote(n.Why)
	j.out.WriteByte('}')
}

// quote writes a text. < is escaped, so that no </script> can be in it, as are
// the two line ends that JavaScript knew and JSON does not (U+2028, U+2029).
// Bytes that are no UTF-8 become U+FFFD.
func (j *object) quote(s string) {
	const hex = "0123456789abcdef"
	j.out.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			j.out.WriteByte('\\')
			j.out.WriteRune(r)
		case r < ' ' || r == '<' || r == 0x7F || r == 0x2028 || r == 0x2029:
			j.out.WriteString(`\u`)
			for shift := 12; shift >= 0; shift -= 4 {
				j.out.WriteByte(hex[r>>shift&15])
			}
		default:
			j.out.WriteRune(r)
		}
	}
	j.out.WriteByte('"')
}
