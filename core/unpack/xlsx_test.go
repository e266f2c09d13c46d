package unpack

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// numbers are n rows of two numbers.
func numbers(n int) string {
	var b strings.Builder
	for k := range n {
		fmt.Fprintf(&b, `<row r="%d"><c r="A%d"><v>%d</v></c><c r="B%d"><v>0.5</v></c></row>`, k+1, k+1, k, k+1)
	}
	return b.String()
}

// dates has cell formats by index: 0 none, 1 yyyy-mm-dd hh:mm:ss, 2 built-in
// 46 ([h]:mm:ss), 3 built-in 21 (h:mm:ss), 4 built-in 14 (a date), 5 a number
// with a unit, 6 mm:ss.0.
const dates = `<numFmts count="3"><numFmt numFmtId="164" formatCode="yyyy\-mm\-dd\ hh:mm:ss"/><numFmt numFmtId="165" formatCode="0.00&quot; mAh&quot;"/><numFmt numFmtId="166" formatCode="mm:ss.0"/></numFmts>` +
	`<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs>` +
	`<cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="46"/><xf numFmtId="21"/><xf numFmtId="14"/><xf numFmtId="165"/><xf numFmtId="166"/></cellXfs>`

func TestCells(t *testing.T) {
	// Every row ends with two numbers, so that the sheet is kept.
	row := func(cells string) string {
		return `<row>` + cells + `</row><row><c r="A2"><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c><c><v>4</v></c></row>`
	}
	for _, tt := range []struct{ what, cells, want string }{
		{"shared texts", `<c t="s"><v>0</v></c><c t="s"><v>1</v></c>`, `Voltage / V,"U, ""loaded"""`},
		{"rich text, spoken form aside", `<c t="s"><v>2</v></c>`, `電圧 V`},
		{"an escaped line break", `<c t="s"><v>3</v></c>`, `Time  s`},
		{"texts in place", `<c t="inlineStr"><is><t>a</t></is></c><c t="inlineStr"><is><r><t>b</t></r><r><rPr/><t>c</t></r></is></c>`, `a,bc`},
		{"CDATA, references", `<c t="str"><v><![CDATA[a<b]]>&amp;&#x3a9;</v></c>`, `a<b&Ω`},
		{"a formula's result", `<c><f>1+<!-- not this -->2</f><v>3</v></c>`, `3`},
		{"a formula without a result", `<c><f>A1</f></c><c><v>7</v></c>`, `,7`},
		{"booleans", `<c t="b"><v>1</v></c><c t="b"><v>0</v></c>`, `TRUE,FALSE`},
		{"errors are blank", `<c t="e"><v>#DIV/0!</v></c><c><v>5</v></c><c t="str"><v>#N/A</v></c><c><v>6</v></c>`, `,5,,6`},
		{"missing cells", `<c r="C1"><v>5</v></c><c r="F1"><v>6</v></c>`, `,,5,,,6`},
		{"blank last cells", `<c r="A1"><v>5</v></c><c r="B1" s="1"/><c r="C1"/>`, `5`},
		{"column AA", `<c r="AA1"><v>5</v></c>`, strings.Repeat(",", 26) + `5`},
		// The digits that a float64 needs, and no more: shortest round trip
		// (IEEE 754-2019 section 5.12.2).
		{"numbers", `<c><v>3.9799999999999999E+00</v></c><c><v>0.30000000000000004</v></c><c><v>-1E-3</v></c><c><v>1e-9</v></c><c><v>1750000000000</v></c>`,
			`3.98,0.30000000000000004,-0.001,1e-09,1750000000000`},
		{"a format of figures and a unit changes nothing", `<c s="5"><v>1234.5678</v></c>`, `1234.5678`},
		{"a style that is not there", `<c s="77"><v>45000.5</v></c>`, `45000.5`},
		// 2023-03-15 is day 45000 of the 1900 system: 45000 - 25569 = 19431
		// days after 1970-01-01.
		{"a date-time", `<c s="1"><v>45000.333333333336</v></c>`, `2023-03-15T08:00:00`},
		{"a date-time of less than a second", `<c s="1"><v>45000.333339120372</v></c>`, `2023-03-15T08:00:00.500`},
		{"a date", `<c s="4"><v>45000</v></c><c s="4"><v>45000.25</v></c>`, `2023-03-15,2023-03-15T06:00:00`},
		{"a time of day", `<c s="3"><v>0.58336805555555549</v></c>`, `14:00:03`},
		{"minutes and tenths", `<c s="6"><v>4.2361111111111115E-4</v></c>`, `0:00:36.600`},
		{"time elapsed", `<c s="2"><v>1.0423611111111111</v></c><c s="2"><v>100.5</v></c>`, `25:01:00,2412:00:00`},
		{"time elapsed under a time of day's format", `<c s="3"><v>1.5</v></c>`, `36:00:00`},
		{"time elapsed under a date's format", `<c s="1"><v>59.5</v></c><c s="1"><v>60.5</v></c>`, `1428:00:00,1452:00:00`},
		{"the first real day of the 1900 system", `<c s="4"><v>61</v></c>`, `1900-03-01`}, // ECMA-376 Part 1, 18.17.4.1
		{"a time of day with a date", `<c s="3"><v>45000.5</v></c>`, `2023-03-15T12:00:00`},
		{"a negative time", `<c s="2"><v>-0.5</v></c>`, `-12:00:00`},
		{"beyond year 9999", `<c s="1"><v>1E+9</v></c>`, `1000000000`},
		{"a date as text of the strict kind", `<c t="d"><v>2026-02-14T08:00:00.25</v></c>`, `2026-02-14T08:00:00.250`},
	} {
		b := bookXML{sheets: []sheetXML{{name: "S", data: row(tt.cells)}}, styles: dates,
			shared: `<si><t>Voltage / V</t></si><si><t>U, "loaded"</t></si><si><r><t>電圧</t></r><rPh sb="0" eb="2"><t>でんあつ</t></rPh><r><t xml:space="preserve"> V</t></r></si><si><t>Time_x000A_ s</t></si>`}
		got, _, _ := strings.Cut(only(t, b.pack(t)), "\n")
		if got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, got, tt.want)
		}
	}
}

func Test1904(t *testing.T) {
	// 2023-03-15 is 1462 days less in the 1904 system (ECMA-376 Part 1, 18.17.4.1).
	b := bookXML{pr: `<workbookPr date1904="1"/>`, styles: dates, sheets: []sheetXML{{name: "S",
		data: `<row><c s="1"><v>43538.5</v></c><c><v>1</v></c></row><row><c s="2"><v>0.25</v></c><c><v>1</v></c></row>`}}}
	if got, want := only(t, b.pack(t)), "2023-03-15T12:00:00,1\n6:00:00,1\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestRows(t *testing.T) {
	cell := func(ref, v string) string { return `<c r="` + ref + `"><v>` + v + `</v></c>` }
	for _, tt := range []struct{ what, data, want string }{
		{"blank rows stay", `<row r="2">` + cell("A2", "1") + cell("B2", "2") + `</row><row r="3"/><row r="5">` + cell("A5", "3") + cell("B5", "4") + `</row><row r="6"><c r="A6" s="1"/></row>`,
			"\n1,2\n\n\n3,4\n"},
		{"rows without numbers", `<row>` + `<c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c><c><v>4</v></c></row>`, "1,2\n3,4\n"},
		{"short rows are filled up", `<row r="1">` + cell("A1", "1") + cell("C1", "2") + `</row><row r="2">` + cell("A2", "3") + `</row>`, "1,,2\n3,,\n"},
		{"elements in between", `<row r="1">` + cell("A1", "1") + cell("B1", "1") + `<extLst><c><v>9</v></c></extLst></row><row r="2">` + cell("A2", "2") + `</row>`, "1,1\n2,\n"},
	} {
		got := only(t, bookXML{sheets: []sheetXML{{name: "S", data: tt.data}}}.pack(t))
		if got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, got, tt.want)
		}
	}
}

func TestSheetsInOrder(t *testing.T) {
	words := `<row><c t="inlineStr"><is><t>Cell</t></is></c><c t="inlineStr"><is><t>Alder</t></is></c></row><row><c t="inlineStr"><is><t>Rated / Ah</t></is></c><c><v>5</v></c></row><row><c t="inlineStr"><is><t>Cut-off / V</t></is></c><c><v>2.5</v></c></row>`
	b := bookXML{sheets: []sheetXML{
		{name: "Hidden", state: "hidden", data: numbers(2)},
		{name: "About", data: words},
		{name: "Run &amp; rest", data: numbers(3)},
		{name: "Deep", state: "veryHidden", data: numbers(2)},
		{name: "Last", data: numbers(2)},
		{name: "Empty"},
	}}
	names, _, left, err := read(t, "b.xlsx", b.pack(t), Default)
	want := []string{"b.xlsx › Run & rest", "b.xlsx › Last", "b.xlsx › Hidden", "b.xlsx › Deep"}
	if err != nil || !slices.Equal(names, want) {
		t.Errorf("%q, %v; want %q", names, err, want)
	}
	if len(left) != 2 || !left[0].Quiet || left[0].Name != "b.xlsx › About" || left[1].Name != "b.xlsx › Empty" || Told(left) != "" {
		t.Errorf("%v", left)
	}
}

// What other writers do: prefixes on all elements, paths from the root, an
// unusual place, other capitals.
func TestOtherWriters(t *testing.T) {
	sheet := `<x:worksheet xmlns:x="` + mainSpace + `"><x:sheetData><x:row r="1"><x:c r="A1"><x:v>1</x:v></x:c><x:c r="B1"><x:v>2</x:v></x:c></x:row><x:row r="2"><x:c r="A2"><x:v>3</x:v></x:c><x:c r="B2"><x:v>4</x:v></x:c></x:row></x:sheetData></x:worksheet>`
	b := makeZip(t,
		packed{name: "[Content_Types].xml", text: "<Types/>"},
		packed{name: "_rels/.rels", text: `<Relationships><Relationship Id="a" Type="` + relTypes + `/officeDocument" Target="/Book/Main.xml"/></Relationships>`},
		packed{name: "book/main.xml", text: "\xef\xbb\xbf" + `<x:workbook xmlns:x="` + mainSpace + `" xmlns:q="` + relTypes + `"><x:sheets><x:sheet name='One' sheetId='1' q:id='k'/><x:sheet name="Chart" sheetId="2" q:id="c"/></x:sheets></x:workbook>`},
		packed{name: "Book/_rels/Main.xml.rels", text: `<Relationships><Relationship Id="k" Type="` + relTypes + `/worksheet" Target="/Book/S.xml"/><Relationship Id="c" Type="` + relTypes + `/chartsheet" Target="c.xml"/><Relationship Id="x" Type="` + relTypes + `/worksheet" TargetMode="External" Target="http://other.invalid/"/></Relationships>`},
		packed{name: `Book\S.xml`, text: sheet},
	)
	if got := only(t, b); got != "1,2\n3,4\n" {
		t.Errorf("%q", got)
	}
}

func TestBadSheets(t *testing.T) {
	for _, tt := range []struct{ what, data, say string }{
		{"rows out of order", `<row r="5"><c><v>1</v></c></row><row r="4"><c><v>1</v></c></row>`, "out of order after row 5"},
		{"cells out of order", `<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>`, `row 1 is out of order ("A1")`},
		{"a reference that is none", `<row r="1"><c r="11"><v>1</v></c></row>`, `("11")`},
		{"beyond the last column", `<row r="1"><c r="XFE1"><v>1</v></c></row>`, "beyond column 16384"},
		{"beyond the last row", `<row r="1048577"><c><v>1</v></c></row>`, "beyond the 1048576th"},
		{"a text that is missing", `<row r="1"><c t="s"><v>4</v></c></row>`, "row 1 has a text that is missing"},
		{"a number that is none", `<row r="3"><c><v>3,98</v></c></row>`, `row 3 is marked as a number and is none ("3,98")`},
		{"an infinity", `<row r="3"><c><v>Inf</v></c></row>`, "is none"},
		{"tags that do not match", `<row r="3"><c><v>1</c></v></row>`, "row 3: the XML is not well-formed"},
		{"an entity of its own", `<row r="3"><c><v>&boom;</v></c></row>`, "not well-formed"},
		{"nesting", strings.Repeat("<row>", 100) + strings.Repeat("</row>", 100), "nested too deeply"},
	} {
		b := bookXML{sheets: []sheetXML{{name: "Bad", data: tt.data}, {name: "Good", data: numbers(2)}}}.pack(t)
		names, _, left, err := read(t, "b.xlsx", b, Default)
		if err != nil || !slices.Equal(names, []string{"b.xlsx › Good"}) {
			t.Errorf("%s: %q, %v", tt.what, names, err)
		}
		if len(left) != 1 || !strings.Contains(left[0].Why, tt.say) || !strings.Contains(left[0].Why, "save it again") {
			t.Errorf("%s: %v", tt.what, left)
		}
	}
	// The same after good rows: nothing of the sheet is kept.
	b := bookXML{sheets: []sheetXML{{name: "Bad", data: numbers(9) + `<row r="2"><c><v>1</v></c></row>`}}}.pack(t)
	if names, _, _, err := read(t, "b.xlsx", b, Default); err == nil || len(names) > 0 {
		t.Errorf("%q, %v", names, err)
	}
	dtd := bookXML{sheets: []sheetXML{{name: "S", data: numbers(2)}}}.files()
	for k := range dtd {
		if dtd[k].name == "xl/sharedStrings.xml" {
			dtd[k].text = `<!DOCTYPE sst [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><sst><si><t>&b;</t></si></sst>`
		}
	}
	if _, _, _, err := read(t, "b.xlsx", makeZip(t, dtd...), Default); err == nil || !strings.Contains(err.Error(), "document type") {
		t.Errorf("a DTD: %v", err)
	}
}
