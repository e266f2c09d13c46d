package engine

import (
	"slices"
	"strings"
	"testing"

	"plateau/core/workspace"
	"plateau/wasm/app/wire"
)

func cellOfView(t *testing.T, e *Engine, name string) wire.Cell {
	t.Helper()
	for _, c := range e.view().Cells {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no cell %s", name)
	return wire.Cell{}
}

func TestReadingsAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct {
		typed wire.Arrived
		want  [4]float64 // V, mm, mm, Ω
		wrong string     // the field, and what is said there
	}{
		{wire.Arrived{Voltage: "3 552 mV", Diameter: "21,2 mm", Length: "70.1", Resistance: "12.5 mΩ"}, [4]float64{3.552, 21.2, 70.1, 0.0125}, ""},
		{wire.Arrived{Voltage: "3,552", Resistance: "0.0125 ohm"}, [4]float64{3.552, 0, 0, 0.0125}, ""},
		{wire.Arrived{Voltage: "-0.2"}, [4]float64{-0.2}, ""},
		{wire.Arrived{Voltage: "3600"}, [4]float64{}, "voltage: 3600 cannot be right here. If the unit slipped, type 3.6 V."},
		{wire.Arrived{Resistance: "0.018"}, [4]float64{}, "resistance: 0.018 cannot be right here. If the unit slipped, type 18 mΩ."},
		{wire.Arrived{Resistance: "18000"}, [4]float64{}, "resistance: 18000 cannot be right here. If the unit slipped, type 18 mΩ."},
		{wire.Arrived{Length: "0,0701", Diameter: "1e9"}, [4]float64{}, "length: 0,0701 cannot be right here. If the unit slipped, type 70.1 mm."},
		{wire.Arrived{Length: "long", Voltage: "3.5"}, [4]float64{3.5}, "length: “long” is no value in mm. Type a number such as 2.5."},
		{wire.Arrived{Diameter: "0"}, [4]float64{}, "diameter: 0 cannot be right here."},
		{wire.Arrived{Day: "yesterday"}, [4]float64{}, "day: “yesterday” is no day. Type one such as 2026-11-25."},
	} {
		k := known{typed: wire.Cell{Arrived: c.typed}}
		k.arrive()
		a := k.arrived
		if got := [4]float64{a.Voltage, a.Diameter, a.Length, a.Resistance}; got != c.want || a.HasVoltage != (c.want[0] != 0) {
			t.Errorf("%+v: %+v", c.typed, a)
		}
		field, says, _ := strings.Cut(c.wrong, ": ")
		if got := k.errors["arrived."+field]; got != says || c.wrong == "" && k.errors != nil {
			t.Errorf("%+v: %q", c.typed, k.errors)
		}
	}
}

// A sample can be inspected before there is any log. What is wrong at a field is
// said, and stays as it was typed; a danger is in the plan as well.
func TestInspectBeforeAnyLog(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm 1", Model: "Elm", Rated: "3", Cutoff: "2.5", ChargeVoltage: "4.2", MaxCurrent: "10", SheetMass: "48"}})
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm 2", Model: "Elm", Mass: "44,1 g", Arrived: wire.Arrived{Voltage: "2,31", Length: "x"}}})
	c := cellOfView(t, e, "Elm 2")
	if c.Arrived.Length != "x" || c.Errors["arrived.length"] == "" {
		t.Errorf("%+v", c)
	}
	if len(c.Checks) != 2 || c.Checks[0].Text != "It arrived at 2.310 V, below its cut-off of 2.500 V." || !c.Checks[0].Safety ||
		c.Checks[1].Text != "It weighs 44.1 g, which is 8.1 % less than the 48.0 g of its datasheet." {
		t.Errorf("%+v", c.Checks)
	}
	if other := cellOfView(t, e, "Elm 1"); len(other.Checks) != 0 {
		t.Errorf("%+v", other.Checks)
	}
	p := e.planned(nil)
	if len(p.Findings) == 0 || p.Findings[0].Check.Text != c.Checks[0].Text || !slices.Equal(p.Findings[0].Cells, []string{"Elm 2"}) {
		t.Errorf("%+v", p.Findings)
	}
	md := e.planFile("markdown", nil).Download.Text
	if !strings.Contains(md, "It arrived at 2.310 V") {
		t.Error(md)
	}
}

// What a sample's discharges show is set against its a.c. resistance: Alder's
// model has 24 mΩ in series, so that 60 mΩ at 1 kHz cannot be.
func TestInspectedAgainstDischarges(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "demo", File: 1})
	for name, want := range map[string]string{"Alder": "", "Birch": "", "Cedar": "It weighs 65.8 g, which is 5.3 % less than the 69.5 g of its datasheet.", "Dogwood": ""} {
		got := ""
		for _, c := range cellOfView(t, e, name).Checks {
			got += c.Text
		}
		if got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
	c := cellOfView(t, e, "Alder")
	c.Arrived.Resistance, c.MaxResistance = "60", ""
	e.Do(wire.Command{Do: "cell", Cell: &c})
	if got := cellOfView(t, e, "Alder").Checks; len(got) != 1 || !strings.Contains(got[0].Text, "above the d.c. resistance") {
		t.Errorf("%+v", got)
	}
	reply, _ := e.Do(wire.Command{Do: "publish", Publish: &wire.Publish{Format: "markdown", Parts: []string{"inspection"}}})
	if md := reply.Published.Text; !strings.Contains(md, "| 3.402 |") || !strings.Contains(md, "caution: It weighs 65.8 g") {
		t.Error(md)
	}
}

// A document without an inspection is of version 1, as programs know it that had
// none, and one of theirs is opened; with one it is of version 2.
func TestInspectionInTheDocument(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm", Rated: "3"}})
	if v := e.document().Version; v != 1 {
		t.Errorf("version %d", v)
	}
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm", Rated: "3", Arrived: wire.Arrived{Voltage: "3.5", Remark: "a dent"}}})
	if v := e.document().Version; v != 2 {
		t.Errorf("version %d", v)
	}
	saved, err := e.SaveFile()
	if err != nil {
		t.Fatal(err)
	}
	other := &Engine{}
	if notes, err := other.OpenFile("x.plateau", saved); err != nil || len(notes) > 0 {
		t.Fatalf("notes %q, error %v", notes, err)
	}
	if got := cellOfView(t, other, "Elm").Arrived; got != (wire.Arrived{Voltage: "3.5", Remark: "a dent"}) {
		t.Errorf("%+v", got)
	}
	for text, opens := range map[string]bool{`{"version":1,"program":"Plateau 0.3","cells":[{"name":"Elm","rated":"3","runs":0}]}`: true, `{"version":3,"program":"Plateau 9"}`: false} {
		var b strings.Builder
		if err := workspace.Write(&b, []byte(text), nil); err != nil {
			t.Fatal(err)
		}
		if _, err := other.OpenFile("x.plateau", []byte(b.String())); (err == nil) != opens {
			t.Errorf("%s: %v", text, err)
		}
	}
	if got := cellOfView(t, other, "Elm"); got.Rated != "3" || got.Arrived != (wire.Arrived{}) {
		t.Errorf("%+v", got)
	}
}
