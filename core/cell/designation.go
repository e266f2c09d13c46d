package cell

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"plateau/core/quantity"
	"plateau/core/say"
)

// Designation is what a size says of a cell, or of a battery of several.
type Designation struct {
	Negative, Positive byte // letters of the electrodes; 0 for none
	Prismatic          bool
	// Diameter or Thickness, Width (prismatic cells alone) and Height in mm. In
	// the standard's designation they are the largest, rounded up.
	Diameter, Width, Height float64
	Largest                 bool
	Series, Parallel        int // of a battery; 1 for one
}

// ErrDesignation says that a size cannot be read.
var ErrDesignation = errors.New("no size")

// noSize is an [ErrDesignation], in words.
type noSize string

func (e noSize) Error() string { return string(e) }

func (noSize) Is(err error) bool { return err == ErrDesignation }

const fiveDigits = say.Later("this tells no size, as without “/” five digits tell diameter in mm and height in tenths of mm")

var negatives = map[byte]string{'I': say.Later("lithium ion"), 'L': say.Later("lithium metal or alloy")}

// Letters of the positive electrode; F is of the edition of 2017, from memory.
var positives = map[byte]string{'C': say.Later("cobalt"), 'N': say.Later("nickel"), 'M': say.Later("manganese"), 'V': say.Later("vanadium"), 'T': say.Later("titanium"), 'F': say.Later("iron")}

// ParseDesignation reads the designation of IEC 61960-3 clause 5.1, N1 A1 A2 A3
// N2/N3/N4-N5 ("INR19/66", "ICP9/35/48", "2ICP7/34/48-2"; "t5" are tenths of
// mm), or the trade's five digits, diameter in mm and height in tenths of mm
// ("21700", "INR18650").
func ParseDesignation(text string) (Designation, error) {
	d := Designation{Series: 1, Parallel: 1}
	s := strings.ToUpper(strings.ReplaceAll(strings.TrimSpace(text), " ", ""))
	bad := func(why string) (Designation, error) {
		return Designation{}, noSize(say.With("“%.30s”: %s; write one such as 21700 or INR22/71", text, why))
	}
	if strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/-+") != "" || !strings.ContainsAny(s, "0123456789/") {
		return bad(say.Text("this tells no size"))
	}
	digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
	if digits > 0 && digits < 3 && len(s) > digits && s[digits] != '/' {
		d.Series, _ = strconv.Atoi(s[:digits])
		s = s[digits:]
	}
	letters := len(s) - len(strings.TrimLeft(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
	body := s[letters:]
	if letters > 0 && strings.HasSuffix(s[:letters], "T") && letters != 3 { // "ICPT5/34/50": tenths
		letters--
		body = s[letters:]
	}
	switch a := s[:letters]; {
	case letters == 3 && negatives[a[0]] != "" && positives[a[1]] != "" && (a[2] == 'R' || a[2] == 'P'):
		d.Negative, d.Positive, d.Prismatic = a[0], a[1], a[2] == 'P'
	case letters == 0 && d.Series == 1:
	case a == "R" || a == "P":
		d.Prismatic = a == "P"
	case letters > 0 && letters <= 4 && len(body) == 5 && !strings.ContainsAny(body, "/-"): // the trade's letters are anything
	default:
		return bad(say.Text("this tells no size, as these letters are not those of a cell"))
	}
	if k := strings.LastIndexByte(body, '-'); k >= 0 {
		n, err := strconv.Atoi(body[k+1:])
		if err != nil || n < 2 || n > 99 {
			return bad(say.Text("this tells no size, as “-” is to be followed by 2 to 99 cells in parallel"))
		}
		d.Parallel, body = n, body[:k]
	}
	if d.Series < 1 {
		return bad(say.Text("this tells no size, as the number of cells in series in front is 0"))
	}
	parts := strings.Split(body, "/")
	var mm []float64
	for _, p := range parts {
		tenths := strings.HasPrefix(p, "T")
		n, err := strconv.Atoi(strings.TrimPrefix(p, "T"))
		if err != nil || n < 0 || n == 0 && len(parts) > 1 || strings.ContainsAny(p, "+-") {
			if len(parts) == 1 {
				return bad(say.Text(fiveDigits))
			}
			return bad(say.Text("this tells no size, as the sizes between “/” are to be whole mm"))
		}
		x := float64(n)
		if tenths {
			x /= 10
		}
		mm = append(mm, x)
	}
	switch {
	case len(mm) == 1 && len(body) == 5 && !d.Prismatic:
		n := int(mm[0])
		d.Diameter, d.Height = float64(n/1000), float64(n%1000)/10
	case len(mm) == 2 && !d.Prismatic:
		d.Diameter, d.Height, d.Largest = mm[0], mm[1], true
	case len(mm) == 3 && (d.Prismatic || letters == 0):
		d.Prismatic, d.Diameter, d.Width, d.Height, d.Largest = true, mm[0], mm[1], mm[2], true
	case d.Prismatic:
		return bad(say.Text("this tells no size, as a prismatic cell has three sizes: thickness/width/height"))
	case len(mm) == 1:
		return bad(say.Text(fiveDigits))
	default:
		return bad(say.Text("this tells no size, as a round cell has two sizes: diameter/height"))
	}
	if d.Prismatic {
		if !(d.Diameter <= 500 && d.Width <= 1000 && d.Height <= 1000) {
			return bad(say.Text("this tells no size, as no cell has that thickness, width or height"))
		}
	} else if !(d.Diameter >= 5 && d.Diameter <= 100 && d.Height >= 10 && d.Height <= 300) {
		return bad(say.Text("this tells no size, as no cell has that diameter and height"))
	}
	return d, nil
}

// Volume of one cell in l; of the standard's designation the largest that it
// can be.
func (d Designation) Volume() float64 {
	if d.Prismatic {
		return d.Diameter * d.Width * d.Height * 1e-6
	}
	return math.Pi / 4 * d.Diameter * d.Diameter * d.Height * 1e-6
}

// Words tell what the designation says.
func (d Designation) Words(w quantity.Words) string {
	mm := func(x float64) string {
		decimals := 0
		if x != math.Trunc(x) {
			decimals = 1
		}
		return w.Fixed(x, decimals) + " mm"
	}
	size := mm(d.Diameter) + " × " + mm(d.Height)
	if d.Prismatic {
		size = mm(d.Diameter) + " × " + mm(d.Width) + " × " + mm(d.Height)
	}
	var s string
	switch {
	case d.Prismatic && d.Largest:
		s = say.With("prismatic, %s at most", size)
	case d.Prismatic:
		s = say.With("prismatic, %s", size)
	case d.Largest:
		s = say.With("round, %s at most", size)
	default:
		s = say.With("round, %s", size)
	}
	s += ", " + w.Fixed(1000*d.Volume(), quantity.Decimals(1000*d.Volume(), 3)) + " ml"
	if d.Negative != 0 {
		s += "; " + say.With("%s with %s", say.Text(negatives[d.Negative]), say.Text(positives[d.Positive]))
	}
	if d.Series > 1 || d.Parallel > 1 {
		s += "; " + say.With("a battery of %d in series, %d in parallel", d.Series, d.Parallel)
	}
	return s
}
