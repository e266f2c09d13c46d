package link

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"plateau/core/publish"
)

// No byte of what is private is anywhere in a link that was not asked for it.
func TestPrivateStaysOut(t *testing.T) {
	const mark = "PRIVATE"
	private := map[string]bool{"Private": true, "Notes": true, "Bought": true, "Lot": true, "DateCode": true, "Wrapper": true}
	p := publish.Post{Title: "Alder", Cells: []publish.Cell{{Name: "Alder"}}}
	marked := 0
	for _, x := range []reflect.Value{reflect.ValueOf(&p).Elem(), reflect.ValueOf(&p.Cells[0]).Elem()} {
		for k := range x.NumField() {
			if private[x.Type().Field(k).Name] {
				x.Field(k).SetString(mark + x.Type().Field(k).Name)
				marked++
			}
		}
	}
	if marked != len(private) {
		t.Fatal(marked, "private fields")
	}
	for _, c := range []struct {
		Options
		want int
	}{{Options{}, 0}, {Options{Private: true, Out: Notes}, 0}, {Options{Private: true}, marked}} {
		text, err := Encode(p, c.Options)
		if err != nil {
			t.Fatal(err)
		}
		body, err := open(text)
		if err != nil {
			t.Fatal(err)
		}
		parts, err := split(body)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, data := range parts {
			n += strings.Count(string(data), mark)
		}
		if n != c.want {
			t.Errorf("%+v: %d private texts, want %d", c.Options, n, c.want)
		}
		if f, err := Fit(p, Longest, c.Options); err != nil || f.Text != text {
			t.Errorf("%+v: made to fit it is another link: %v", c.Options, err)
		}
	}
}

// Curves that no cell has are not thinned anew, and coarser, each time that
// they are sent on; those that a grid has no steps for are refused.
func TestAbsurdCurvesStay(t *testing.T) {
	for _, hot := range []float64{30, 1e6, 0.249 * mostSteps, 3e10} {
		c := publish.Curve{}
		for k := range 300 {
			x := float64(k) / 299
			c.Q = append(c.Q, 4.0037*x)
			c.V = append(c.V, 4.1-x-0.1*math.Exp(30*(x-1)))
			c.Temp = append(c.Temp, -hot*math.Sin(2*x))
		}
		p := publish.Post{Runs: []publish.Run{{Name: "Alder", Log: -1}}, Curves: []publish.Curve{c}}
		var before string
		for k := range 3 {
			text, err := Encode(p, Options{})
			if hot > 0.25*mostSteps {
				if !refused(err) {
					t.Errorf("%g °C: %v", hot, err)
				}
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			if p, err = Decode(text); err != nil {
				t.Fatal(err)
			}
			if k > 0 && text != before || p.Tolerance != DefaultTolerance {
				t.Errorf("%g °C: %d characters, then %d, at %g V", hot, len(before), len(text), p.Tolerance)
			}
			before = text
		}
	}
}

// Points on any grid are known again as such, however steep or far off they
// are, and are the same when they are sent on.
func TestGridsAreKnownAgain(t *testing.T) {
	m := rand.New(rand.NewPCG(1, 1))
	points := func(n, steps int) (list []vertex) {
		x := 0
		for range n {
			x = min(x+m.IntN(steps/n+2), steps)
			list = append(list, vertex{x, m.IntN(2*mostSteps) - mostSteps})
		}
		return list
	}
	for k := range 6000 {
		tolerance := []int64{1, 100, 2000, 3000, 7000, 10_000, 10_000_000}[k%7]
		l := line{n: m.IntN(finest + 1), charge: m.Int64N(1e8) + 1}
		l.volts = points(3+m.IntN(20), 1<<l.n)
		l.volts[0].x, l.volts[len(l.volts)-1].x = 0, 1<<l.n
		l.temps = points(2+m.IntN(20), 1<<l.n)
		p := publish.Post{Curves: []publish.Curve{l.curve(tolerance)}}
		once := asTheyLie(&p, tolerance)
		if once == nil {
			t.Fatalf("%d: %+v is not known again", k, l)
		}
		p.Curves[0] = once[0].curve(tolerance)
		if twice := asTheyLie(&p, tolerance); !reflect.DeepEqual(twice, once) {
			t.Fatalf("%d: %+v came back as %+v", k, once, twice)
		}
	}
}

// A load step of a pack is steep: what the slope before it foretells lies far
// past all that a curve can have, and is no reason to refuse it.
func TestSteepStep(t *testing.T) {
	const step = 4.0 / (1 << finest)
	p := publish.Post{Runs: []publish.Run{{Name: "Pack", Log: -1}},
		Curves: []publish.Curve{{Q: []float64{0, step, 2 * step, 4}, V: []float64{50, 50, 40, 39}}}}
	for _, tolerance := range []float64{1e-4, 2e-3} {
		text, err := Encode(p, Options{Tolerance: tolerance})
		if err != nil {
			t.Error(err)
			continue
		}
		got, err := Decode(text)
		if err != nil {
			t.Fatal(err)
		}
		if err := curvesNear(got, p, tolerance); err != nil {
			t.Error(err)
		}
	}
}
