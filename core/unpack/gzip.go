package unpack

import (
	"bufio"
	"compress/gzip"
	"strings"
)

// gzip goes through the one file in a .gz, all members of it in a row
// (RFC 1952 section 2.2). It is named as the packed file less its ".gz".
func (w *walker) gzip(name string, in *bufio.Reader, depth int) error {
	z, err := gzip.NewReader(in)
	if err != nil {
		return asFault(err)
	}
	if n := len(name) - len(".gz"); n > 0 && strings.EqualFold(name[n:], ".gz") {
		name = name[:n]
	}
	return w.entry(name, z, depth+1)
}
