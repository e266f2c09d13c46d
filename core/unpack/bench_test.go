package unpack

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
)

// BenchmarkSheet reads a sheet of 20 000 rows; the rate is that of its XML.
func BenchmarkSheet(b *testing.B) {
	const rows = 20_000
	var x, o strings.Builder
	for k := range rows {
		v := 4.1 - float64(k)/rows
		fmt.Fprintf(&x, `<row r="%d"><c r="A%d"><v>%d</v></c><c r="B%d"><v>%.4f</v></c><c r="C%d"><v>2</v></c></row>`, k+1, k+1, k, k+1, v, k+1)
		fmt.Fprintf(&o, `<table:table-row table:style-name="ro1"><table:table-cell office:value-type="float" office:value="%d"><text:p>%d</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="%.4f"><text:p>%.4f</text:p></table:table-cell></table:table-row>`, k, k, v, v)
	}
	for _, of := range []struct {
		name string
		xml  int
		file []byte
	}{
		{"xlsx", x.Len(), bookXML{sheets: []sheetXML{{name: "S", data: x.String()}}}.pack(b)},
		{"ods", o.Len(), makeODS(b, "", odsTable(o.String()))},
	} {
		b.Run(of.name, func(b *testing.B) {
			b.SetBytes(int64(of.xml))
			for b.Loop() {
				_, err := Walk("b", bytes.NewReader(of.file), int64(len(of.file)), Default, func(p Part) error {
					_, err := p.WriteTo(io.Discard)
					return err
				})
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
