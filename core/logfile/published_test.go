package logfile

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// The examples of RFC 4180 section 2, rules 1 to 7, and the tables of street
// trees in the W3C's "Model for Tabular Data and Metadata on the Web" (2015),
// one of them tab-separated with comments; both cited from memory.
func TestPublishedExamples(t *testing.T) {
	for _, tt := range []struct {
		line      string
		delimiter byte
		want      []string
	}{
		{"aaa,bbb,ccc", ',', []string{"aaa", "bbb", "ccc"}},
		{"aaa,bbb,ccc\r", ',', []string{"aaa", "bbb", "ccc"}},
		{"field_name,field_name,field_name", ',', []string{"field_name", "field_name", "field_name"}},
		{`"aaa","bbb","ccc"`, ',', []string{"aaa", "bbb", "ccc"}},
		{"zzz,yyy,xxx", ',', []string{"zzz", "yyy", "xxx"}},
		{"\"aaa\",\"b\r\nbb\",\"ccc\"", ',', []string{"aaa", "b\r\nbb", "ccc"}},
		{`"aaa","b""bb","ccc"`, ',', []string{"aaa", `b"bb`, "ccc"}},
		{"1,ADDISON AV,Celtis australis,Large Tree Routine Prune,10/18/2010", ',',
			[]string{"1", "ADDISON AV", "Celtis australis", "Large Tree Routine Prune", "10/18/2010"}},
		{"1\tADDISON AV\tCeltis australis\tLarge Tree Routine Prune\t10/18/2010", '\t',
			[]string{"1", "ADDISON AV", "Celtis australis", "Large Tree Routine Prune", "10/18/2010"}},
		{`6,ADDISON AV,Robinia pseudoacacia,Large Tree Routine Prune,6/1/2010,29,,"cavity or decay; trunk decay",YES`, ',',
			[]string{"6", "ADDISON AV", "Robinia pseudoacacia", "Large Tree Routine Prune", "6/1/2010", "29", "", "cavity or decay; trunk decay", "YES"}},
	} {
		if got := splitLine([]byte(tt.line), tt.delimiter); !slices.Equal(got, tt.want) {
			t.Errorf("%q parts into %q, want %q", tt.line, got, tt.want)
		}
	}

	// A table of trees is no log: refused with a reason, or asked about, and
	// never figures.
	trees := "GID,On Street,Species,Trim Cycle,Inventory Date\r\n" +
		"1,ADDISON AV,Celtis australis,Large Tree Routine Prune,10/18/2010\r\n" +
		"2,EMERSON ST,Liquidambar styraciflua,Large Tree Routine Prune,6/2/2010\r\n"
	commented := "#\tpublisher\tCity of Palo Alto\n#\tupdated\t12/31/2010\n#name\tGID\ton_street\tspecies\n" +
		"\t1\tADDISON AV\tCeltis australis\n\t2\tEMERSON ST\tLiquidambar styraciflua\n"
	for _, text := range []string{trees, commented} {
		var f *Fault
		if log, err := Read("tree-ops.csv", strings.NewReader(text)); !errors.As(err, &f) || f.Hint == "" {
			t.Errorf("log %v, error %v; want a fault with a hint", log, err)
		}
	}
}
