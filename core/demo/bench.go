package demo

import (
	"math"
	"math/rand/v2"
)

const (
	looks       = 10     // how often the tester looks at the cell in a row's time
	noiseV      = 0.3e-3 // V, standard deviation of a reading
	noiseI      = 2e-3   // A
	noiseT      = 0.04   // °C
	restBefore  = 300    // s logged before the load
	restAfter   = 600    // s logged after it
	shortRest   = 240    // s between charge and load where the rest is short
	fullSpread  = 2e-3   // depth within which charges end alike
	fullVoltage = 4.20   // V at which charging holds the voltage
)

// recipe is one discharge as the tester was set.
type recipe struct {
	cell    *cell
	current float64 // A
	cutoff  float64 // V
	every   int     // s between rows
	seed    uint64
	// late is how long in s the load had been on when logging began; 0 is a
	// log that begins in the rest before the load.
	late int
	// charged begins the log in the end of a charge, with a short rest after.
	charged bool
}

// reading is one row of a log, in the tester's steps.
type reading struct {
	t    int // s since the first row
	v    int // mV
	i    int // 0.01 A, above zero on discharge
	temp int // 0.1 °C
}

// bench is a cell on the tester while a recipe runs.
type bench struct {
	motion
	state
	noise *rand.Rand
	every int
	look  int // number of the look; the first row is look 0
	next  int // the look at which the next row is due
	log   []reading
	on    state // when the load came on
	off   state // when it went off
}

// run carries a recipe out.
func (r recipe) run() *bench {
	noise := rand.New(rand.NewPCG(r.seed, 0x706c6174656175))
	ambient := 22 + float64(noise.IntN(16))/10
	b := &bench{
		motion: newMotion(r.cell, float64(r.every)/looks, ambient),
		state:  state{z: fullSpread * float64(noise.IntN(16)) / 16, temp: ambient},
		noise:  noise,
		every:  r.every,
	}
	// The load comes on between two rows, never at one.
	offset := 1 + noise.IntN(looks-1)
	rest := restBefore
	switch {
	case r.late > 0:
		rest, offset = 0, 0
		b.look = -r.late * looks / r.every
	case r.charged:
		rest = shortRest
		b.charge()
	}
	b.phase(idle, b.after(rest, offset))
	b.on = b.state
	load := func(state) float64 { return r.current }
	b.phase(load, func(v, _ float64) bool { return v <= r.cutoff })
	b.off = b.state
	b.phase(idle, b.after(restAfter, 0))
	return b
}

// idle is the current with the tester's output off.
func idle(state) float64 { return 0 }

// after ends a phase that begins now, seconds and some looks later.
func (b *bench) after(seconds, more int) func(_, _ float64) bool {
	end := b.look + seconds*looks/b.every + more
	return func(_, _ float64) bool { return b.look >= end }
}

// charge ends a charge by the book: 0.5 It, then constant voltage until the
// current has fallen to 0.05 It. Its last minutes are logged.
func (b *bench) charge() {
	const depth, before = 0.04, 120 // where it begins, and s of it before the log
	limit, end := float64(b.capacity*-0.5), float64(b.capacity*-0.05)
	b.z = depth
	b.v = float64(limit * b.polar.at(depth, b.temp))
	b.look = -before * looks / b.every
	drive := func(s state) float64 {
		hold := (b.emf(s) - fullVoltage) / b.series.at(s.z, s.temp)
		return max(limit, hold)
	}
	b.phase(drive, func(_, i float64) bool { return i > end })
}

// phase drives the cell, writing down the rows that fall due, until done says
// so at the voltage and current of a look.
func (b *bench) phase(drive func(state) float64, done func(v, i float64) bool) {
	for {
		i := drive(b.state)
		v := b.voltage(b.state, i)
		if b.look >= 0 && b.look == b.next {
			b.read(v, i)
			b.next += looks
		}
		if done(v, i) {
			return
		}
		b.state = b.advance(b.state, i)
		b.look++
	}
}

// read writes a row: true values with noise, rounded to the tester's steps.
func (b *bench) read(v, i float64) {
	round := func(x, noise, steps float64) int {
		return int(math.Round(float64((x + float64(noise*gauss(b.noise))) * steps)))
	}
	row := reading{t: b.look / looks * b.every}
	row.v = round(v, noiseV, 1000)
	if i != 0 {
		row.i = round(i, noiseI, 100)
	}
	row.temp = round(b.temp, noiseT, 10)
	b.log = append(b.log, row)
}

// gauss is a draw from a distribution with mean 0 and standard deviation 1:
// the sum of twelve uniform ones, which is Gaussian but for the far tails
// (none beyond 6). It is exact, and so the same on every machine, which the
// logarithms and exponentials of other ways are not sure to be.
func gauss(r *rand.Rand) float64 {
	const draws, bits = 12, 16
	var sum uint64
	for range draws * bits / 64 {
		for u := r.Uint64(); u > 0; u >>= bits {
			sum += u & (1<<bits - 1)
		}
	}
	const mean = draws * (1<<bits - 1) / 2.0
	return (float64(sum) - mean) / (1 << bits)
}
