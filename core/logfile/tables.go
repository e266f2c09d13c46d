//go:build !browser

package logfile

import (
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/simplifiedchinese"
)

// The encodings that need tables of characters.
var (
	windows1252 encoding.Encoding = charmap.Windows1252
	windows1250 encoding.Encoding = charmap.Windows1250
	windows1251 encoding.Encoding = charmap.Windows1251
	gb18030     encoding.Encoding = simplifiedchinese.GB18030
	shiftJIS    encoding.Encoding = japanese.ShiftJIS
)
