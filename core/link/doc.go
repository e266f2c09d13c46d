// Package link packs a [publish.Post] into the text of a URL fragment and reads
// it back. The text never runs, fetches or writes anything: it is data, and is
// doubted byte by byte.
//
// # The text
//
// The first character is the version, "1". What follows is base64url without
// padding (RFC 4648 section 5) of
//
//	length    uint: the bytes of the body
//	checksum  4 bytes, high one first: CRC-32 (RFC 1952 section 8) of the
//	          version's character, the length as written and the body
//	body
//
// The length comes first so that a text that was cut off can be told from a
// damaged one, and what stands after its end does no harm. A version "2" to
// "9" was made by a newer Plateau; a reader of this one refuses it.
//
// # Numbers
//
//	uint     base-128 varint, low groups of 7 bits first, the high bit set on
//	         all bytes but the last
//	int      uint of n<<1 for n ≥ 0, of −2n−1 below (zigzag)
//	flag     uint, 0 or 1
//	float    int m, then, where m is not 0, int p: m·10^p
//	list     uint n, then n items
//	string   uint: 0 for an empty one, 1 for the first text of the table that
//	         no string before it named, else the text's number (from 0) plus 2
//	word     uint: the number (from 1) of a word of a list, or 0, then a string
//
// The incoming inspection of cells is in no link.
//
// A float of up to 9 significant digits is kept as it is, of more to 6. NaN
// and infinity are kept as 0. Digits are cut off so that another rounding to
// fewer digits gives what rounding the first number would have given: towards
// nought, but away from it where the last digit kept would be 0 or 5
// (ROUND_05UP of the General Decimal Arithmetic Specification 1.70).
//
// Figures ([publish.Number]) come as columns of n, each column whole before the
// next:
//
//	head     uint of each: 1 it has a value, 2 an uncertainty, 4 AtLeast, 8 a
//	         reason (Why); head>>4 is f below
//	power    int, of each that has an uncertainty: p less the p of the one
//	         before that has one, 0 before the first
//	wide     uint, of the same: U = wide·10^p; wide has three digits
//	value    of each that has one: int m for m·10^(p−f) where it has an
//	         uncertainty, a float where it has not
//	why      string, of each that has a reason
//
// So U is kept to U/100 and a value to U/100, or to five significant digits (but
// no more than four digits past U's) where that is finer.
//
// # The body
//
// It is parts one after the other, each once at most:
//
//	kind     uint: number<<2 | packing
//	length   uint: bytes as packed
//	bytes
//
// Packing is 0 as it is, 1 deflated (RFC 1951), 2 deflated after the words of
// this package as a preset dictionary (RFC 1950 section 2.2). Parts, unpacked,
// have 1 MiB at most; those of other numbers are skipped.
//
//	1  texts         UTF-8, each ended by a byte 0: the table of all strings
//	2  sections
//	3  digests       32 bytes each, of the logs that have one, in their order
//	4  curves
//	5  temperatures
//
// # Sections
//
// Each is uint number, uint the count of texts that strings before it named,
// uint length, and its bytes. They are in the order of their numbers; one that
// has nothing but noughts is left out. A reader skips sections of other numbers,
// and what follows behind what it knows of one.
//
//	 1 head      Title, Day, Program; Conditions: list of Head, Text
//	 2 method    Method: list of strings; Tester: Name, flag Known, Words
//	 3 names     Cells: list of Name
//	 4 cells     of each: Model, Sample, Chemistry, Size, Marking, Currency;
//	             floats Mass, Price, Cutoff, ChargeVoltage, ChargeCurrent,
//	             ChargeEnd, MaxCurrent; uint Series; Claims: list of What and
//	             floats Capacity, Current, Cutoff
//	 5 runs      Runs, by column: list of Cell; Name; uint 1 Typed | 2 Over;
//	             Log; floats Current; Rate; Cutoff; strings Void
//	 6 figures   of Runs, a column of figures each: Capacity, Energy, Average,
//	             MidPoint, Duration, Start, End, TempMax, TempRise, Resistance;
//	             floats ResistanceAt
//	 7 findings  of each run: Checks: list of uint severity<<1 | Safety and, for
//	             severity 0, the string Severity; Text. Severities are note,
//	             caution, fault, from 1
//	 8 verdicts  list of Cell, Claim, word Grade (pass, pass-within,
//	             below-within, below, above, under, open), Word, Sentence, uint
//	             BestOf; columns of figures Best; Margin; Chance
//	 9 ranking   list of word Figure (capacity, energy, average, temperature),
//	             Unit, Rate, Basis, Places: list of Cell, uint N, Letters, Mark;
//	             a column of figures Mean; Gaps, Out, Why. Then Leaders: list of
//	             Head, Text
//	10 logs      list of Name, uint Bytes, flag whether the digest is in part 3,
//	             and if not the string SHA256
//	11 notes     Private; of each cell Notes, Bought, Lot, DateCode, Wrapper
//
// A run's Log is int s: 0 for none; else its index less that of the run before
// that has one, −1 before the first, where that is above 0, and 1 less where
// it is not.
//
// # Curves
//
//	tolerance  uint, µV: no sample lies farther from the curve, upright
//	list of    int run less that of the curve before (0 before the first), uint
//	           the last charge in µAh, uint n
//	of each    points of the voltage
//
// Part 5 has, for each of these curves, the points of the temperature, or none.
// Points are on a grid: charges in 2^n steps from nought to the last charge,
// voltages in steps of tolerance/2, temperatures in steps of 250 °C/V times
// that, so that they are off by 0.5 °C at most where voltages are by 2 mV.
//
//	list of    uint: steps along the charge from the point before, or nought
//	of each    int: steps of the ordinate from the point before (nought before
//	           the first), less g
//
// From the third point on g is what the polyline would go on by: with a, b the
// two points before and x of this one, (b.y−a.y)·(x−b.x)/(b.x−a.x), rounded
// towards nought; it is 0 where a and b have one charge, and for the first two
// points. Two points at one charge are a jump.
//
// Points need be no samples: of the polylines on the grid that pass all samples
// within the tolerance, the one is taken that is cheapest to write, as far as
// dynamic programming over some two hundred stations finds it. Since points are
// chosen on the grid, no rounding comes on top. Samples that no line passes,
// because they jump within less than a step of the finest grid (2^16), count at
// the start of that step.
package link
