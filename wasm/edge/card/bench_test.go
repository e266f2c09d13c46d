package card

import (
	"io"
	"testing"

	"plateau/core/link"
)

func BenchmarkPicture(b *testing.B) {
	p, err := link.Decode(sample(b, "three"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := picture(io.Discard, &p); err != nil {
			b.Fatal(err)
		}
	}
}
