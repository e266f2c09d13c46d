package workspace

import (
	"encoding/binary"
	"math/bits"
)

// Sum is a SHA-256 (FIPS 180-4) of what is written to it. The standard library's
// takes 35 kB more of a compressed program. The zero Sum is ready to use.
type Sum struct {
	h     [8]uint32
	n     uint64 // bytes so far
	block [64]byte
}

// Write adds bytes. It never fails.
func (s *Sum) Write(p []byte) (int, error) {
	if s.n == 0 {
		s.h = sumStart
	}
	length := len(p)
	if k := int(s.n % 64); k > 0 {
		n := copy(s.block[k:], p)
		s.n += uint64(n)
		if p = p[n:]; k+n < 64 {
			return length, nil
		}
		s.mix(s.block[:])
	}
	s.n += uint64(len(p))
	for ; len(p) >= 64; p = p[64:] {
		s.mix(p[:64])
	}
	copy(s.block[:], p)
	return length, nil
}

// Bytes is the sum of what came so far; more may follow.
func (s *Sum) Bytes() [32]byte {
	end := *s
	if s.n == 0 {
		end.h = sumStart
	}
	length := end.n * 8
	pad := make([]byte, 1, 72)
	pad[0] = 0x80
	for (end.n+uint64(len(pad)))%64 != 56 {
		pad = append(pad, 0)
	}
	_, _ = end.Write(binary.BigEndian.AppendUint64(pad, length))
	var out [32]byte
	for k, x := range end.h {
		binary.BigEndian.PutUint32(out[4*k:], x)
	}
	return out
}

// Hex is the sum in 64 lower-case digits.
func (s *Sum) Hex() string {
	b := s.Bytes()
	return hexOf(b[:])
}

func hexOf(b []byte) string {
	const digits = "0123456789abcdef"
	var out []byte
	for _, c := range b {
		out = append(out, digits[c>>4], digits[c&15])
	}
	return string(out)
}

func sumOf(b []byte) [32]byte {
	var s Sum
	_, _ = s.Write(b)
	return s.Bytes()
}

// mix takes in one block (FIPS 180-4 section 6.2.2).
func (s *Sum) mix(block []byte) {
	var w [64]uint32
	for k := range 16 {
		w[k] = binary.BigEndian.Uint32(block[4*k:])
	}
	for k := 16; k < 64; k++ {
		x, y := w[k-15], w[k-2]
		w[k] = w[k-16] + w[k-7] +
			(bits.RotateLeft32(x, -7) ^ bits.RotateLeft32(x, -18) ^ x>>3) +
			(bits.RotateLeft32(y, -17) ^ bits.RotateLeft32(y, -19) ^ y>>10)
	}
	a, b, c, d, e, f, g, h := s.h[0], s.h[1], s.h[2], s.h[3], s.h[4], s.h[5], s.h[6], s.h[7]
	for k := range 64 {
		t := h + (bits.RotateLeft32(e, -6) ^ bits.RotateLeft32(e, -11) ^ bits.RotateLeft32(e, -25)) + (e&f ^ ^e&g) + sumWords[k] + w[k]
		u := (bits.RotateLeft32(a, -2) ^ bits.RotateLeft32(a, -13) ^ bits.RotateLeft32(a, -22)) + (a&b ^ a&c ^ b&c)
		h, g, f, e, d, c, b, a = g, f, e, d+t, c, b, a, t+u
	}
	for k, x := range [8]uint32{a, b, c, d, e, f, g, h} {
		s.h[k] += x
	}
}

// The first 32 bits of the fractional parts of the square roots of the first
// eight primes, and of the cube roots of the first 64.
var (
	sumStart = [8]uint32{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19}
	sumWords = [64]uint32{
		0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
		0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
		0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
		0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
		0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
		0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
		0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
		0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
	}
)
