package unpack

import (
	"slices"
	"strings"
	"testing"
)

// odsNumbers are two rows that make a sheet one with a log.
const odsNumbers = `<table:table-row><table:table-cell office:value-type="float" office:value="1"/><table:table-cell office:value-type="float" office:value="2"/></table:table-row>` +
	`<table:table-row><table:table-cell office:value-type="float" office:value="3"/><table:table-cell office:value-type="float" office:value="4"/></table:table-row>`

func odsTable(rows string) string { return `<table:table table:name="S">` + rows + `</table:table>` }

func TestODSCells(t *testing.T) {
	for _, tt := range []struct{ what, cells, want string }{
		{"texts", `<table:table-cell office:value-type="string"><text:p>U, "loaded"</text:p></table:table-cell>`, `"U, ""loaded"""`},
		{"paragraphs, spans, blanks", `<table:table-cell office:value-type="string"><text:p>Time<text:s text:c="2"/>/<text:line-break/><text:span>s</text:span></text:p><text:p>below</text:p></table:table-cell>`, `Time  / s below`},
		{"notes are not of the cell", `<table:table-cell office:value-type="string"><office:annotation><text:p>secret</text:p></office:annotation><text:p>a<office:annotation><text:p>more</text:p></office:annotation>b</text:p></table:table-cell>`, `ab`},
		{"the value, not what is shown", `<table:table-cell office:value-type="float" office:value="3.9799999999999999"><text:p>4,0</text:p></table:table-cell><table:table-cell office:value-type="percentage" office:value="0.5"><text:p>50 %</text:p></table:table-cell><table:table-cell office:value-type="currency" office:value="-2.5"/>`, `3.98,0.5,-2.5`},
		{"booleans", `<table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>WAHR</text:p></table:table-cell><table:table-cell office:value-type="boolean" office:boolean-value="false"/>`, `TRUE,FALSE`},
		{"dates", `<table:table-cell office:value-type="date" office:date-value="2026-02-14"/><table:table-cell office:value-type="date" office:date-value="2026-02-14T08:00:00.499999999"/><table:table-cell office:value-type="date" office:date-value="2026-02-14T23:59:59.999999"/>`,
			`2026-02-14,2026-02-14T08:00:00.500,2026-02-15T00:00:00`},
		{"time elapsed under a date's format", `<table:table-cell office:value-type="date" office:date-value="1899-12-31T12:00:00"/>`, `36:00:00`},
		{"times", `<table:table-cell office:value-type="time" office:time-value="PT1H2M3.5S"/><table:table-cell office:value-type="time" office:time-value="PT26H00M00,25S"/><table:table-cell office:value-type="time" office:time-value="-PT5S"/><table:table-cell office:value-type="time" office:time-value="P1DT1S"/>`,
			`1:02:03.500,26:00:00.250,-0:00:05,24:00:01`},
		{"errors are blank", `<table:table-cell office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="5"/><table:table-cell office:value-type="string"><text:p>Err:502</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="6"/>`, `,5,,6`},
		{"columns repeated", `<table:table-cell table:number-columns-repeated="2"/><table:table-cell office:value-type="float" office:value="5" table:number-columns-repeated="3"/><table:table-cell table:number-columns-repeated="16379"/>`, `,,5,5,5`},
		{"merged cells", `<table:table-cell office:value-type="string" table:number-columns-spanned="2"><text:p>a</text:p></table:table-cell><table:covered-table-cell/><table:table-cell office:value-type="float" office:value="5"/>`, `a,,5`},
		{"a text in an attribute", `<table:table-cell office:value-type="string" office:string-value="a &amp; b"><text:p>shown</text:p></table:table-cell>`, `a & b`},
	} {
		got, _, _ := strings.Cut(only(t, makeODS(t, "", odsTable(`<table:table-column table:number-columns-repeated="99"/><table:table-row>`+tt.cells+`</table:table-row>`+odsNumbers))), "\n")
		if got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, got, tt.want)
		}
	}
}

func TestODSRows(t *testing.T) {
	one := `<table:table-cell office:value-type="float" office:value="7"/><table:table-cell office:value-type="float" office:value="8"/>`
	for _, tt := range []struct{ what, rows, want string }{
		{"rows repeated", `<table:table-row table:number-rows-repeated="3">` + one + `</table:table-row><table:table-row table:number-rows-repeated="2"><table:table-cell table:number-columns-repeated="1024"/></table:table-row><table:table-row>` + one + `</table:table-row><table:table-row table:number-rows-repeated="1048570"><table:table-cell table:number-columns-repeated="1024"/></table:table-row>`,
			"7,8\n7,8\n7,8\n\n\n7,8\n"},
		{"groups and headers", `<table:table-header-rows><table:table-row>` + one + `</table:table-row></table:table-header-rows><table:table-row-group><table:table-row-group><table:table-row>` + one + `</table:table-row></table:table-row-group></table:table-row-group>`, "7,8\n7,8\n"},
		{"drawings and tables in cells are passed over", `<table:shapes><table:table><table:table-row>` + one + `</table:table-row></table:table></table:shapes>` +
			`<table:table-row>` + one + `<table:table-cell><table:table><table:table-row>` + one + `</table:table-row></table:table></table:table-cell></table:table-row>` + odsNumbers, "7,8\n1,2\n3,4\n"},
	} {
		if got := only(t, makeODS(t, "", odsTable(tt.rows))); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, got, tt.want)
		}
	}
}

func TestODSSheets(t *testing.T) {
	styles := `<style:style style:name="ta1" style:family="table"><style:table-properties table:display="true"/></style:style><style:style style:name="ta2" style:family="table"><style:table-properties table:display="false"/></style:style>`
	body := `<table:tracked-changes><table:cell-content-change><table:previous><table:table-cell/></table:previous></table:cell-content-change></table:tracked-changes>` +
		`<table:table table:name="Gone" table:style-name="ta2">` + odsNumbers + `</table:table>` +
		`<table:table table:name="Run" table:style-name="ta1">` + odsNumbers + `</table:table>` +
		`<table:table table:name="Blank" table:style-name="ta1"><table:table-row/></table:table>` +
		`<table:table table:name="Bad" table:style-name="ta1"><table:table-row><table:table-cell office:value-type="float" office:value="x"/></table:table-row></table:table>` +
		`<table:table table:name="Next" table:style-name="ta1">` + odsNumbers + `</table:table>` +
		`<table:dde-links><table:dde-link><table:table>` + odsNumbers + `</table:table></table:dde-link></table:dde-links>`
	names, logs, left, err := read(t, "b.ods", makeODS(t, styles, body), Default)
	want := []string{"b.ods › Run", "b.ods › Next", "b.ods › Gone"}
	if err != nil || !slices.Equal(names, want) || logs["b.ods › Gone"] != "1,2\n3,4\n" {
		t.Errorf("%q, %v; want %q", names, err, want)
	}
	if len(left) != 2 || left[0].Name != "b.ods › Blank" || left[1].Name != "b.ods › Bad" || !strings.Contains(left[1].Why, `row 1 is marked as a number and is none ("x")`) {
		t.Errorf("%v", left)
	}
	// The customary prefixes are only customary.
	text := strings.NewReplacer("office:", "o:", "table:", "t:", "xmlns:office", "xmlns:o", "xmlns:table", "xmlns:t").Replace(
		`<office:document-content ` + odsSpaces + `><office:body><office:spreadsheet>` + odsTable(odsNumbers) + `</office:spreadsheet></office:body></office:document-content>`)
	text = strings.NewReplacer("urn:oasis:names:tc:opendocument:xmlns:o:", "urn:oasis:names:tc:opendocument:xmlns:office:", "urn:oasis:names:tc:opendocument:xmlns:t:", "urn:oasis:names:tc:opendocument:xmlns:table:").Replace(text)
	b := makeZip(t, packed{name: "mimetype", text: "application/vnd.oasis.opendocument.spreadsheet-template"}, packed{name: "content.xml", text: text})
	if got := only(t, b); got != "1,2\n3,4\n" {
		t.Errorf("%q", got)
	}
}

func TestODSBounds(t *testing.T) {
	one := `<table:table-cell office:value-type="float" office:value="7"/>`
	for _, tt := range []struct{ rows, say string }{
		{`<table:table-row table:number-rows-repeated="2000000">` + one + `</table:table-row>`, "beyond the 1048576th"},
		{`<table:table-row table:number-rows-repeated="2000000"/><table:table-row>` + one + `</table:table-row>`, "beyond the 1048576th"},
		{`<table:table-row><table:table-cell office:value-type="float" office:value="7" table:number-columns-repeated="20000"/></table:table-row>`, "beyond column 16384"},
		{`<table:table-row><table:table-cell table:number-columns-repeated="20000"/>` + one + `</table:table-row>`, "beyond column 16384"},
		{`<table:table-row table:number-rows-repeated="1000000"><table:table-cell office:value-type="float" office:value="7" table:number-columns-repeated="100"/></table:table-row>`, "million cells"},
	} {
		lim := Default
		lim.Ratio = 1 << 30 // what the ratio would stop as well
		names, _, _, err := read(t, "b.ods", makeODS(t, "", odsTable(odsNumbers+tt.rows)), lim)
		if err == nil || len(names) > 0 || !strings.Contains(err.Error(), tt.say) {
			t.Errorf("%.60s: %q, %v; want %q", tt.rows, names, err, tt.say)
		}
	}
}
