// Package demo makes the logs of a bench test that never was: four invented
// cells on an invented tester, from a small electro-thermal model.
//
// # The cell
//
// One cell has a depth of discharge z (0 full, 1 empty), a polarisation
// voltage v (V) and a temperature T (°C). With the current I in A, above zero
// on discharge:
//
//	terminal voltage  V = U(z) − v − I·R0(z, T)                       V
//	depth             dz/dt = I / (3600·C)                            1/s
//	polarisation      dv/dt = (I·R1(z, T) − v) / τ                    V/s
//	heat produced     P = I²·R0 + v²/R1                               W
//	heat balance      m·c·dT/dt = P − h·A·(T − Tamb)                  W
//	resistance        R(z, T) = Rref·(1 + a·z⁸)·e^(B·(1/Tk − 1/298.15 K))   Ω
//
// U is the open-circuit voltage (V), a smooth monotone curve through a table;
// C the charge in Ah from z = 0 to z = 1; R0 the series resistance and R1 that
// of one RC pair with the time constant τ (s), each in Ω at 25 °C; a the growth
// towards the empty end; B an activation temperature (K), Tk = T + 273.15 K;
// m·c the heat capacity (J/K) and h·A the cooling (W/K). The heat of entropy
// is left out. The figures are invented, of the size such cells have.
//
// # The tester
//
// It carries 20 A and sets currents in steps of 0.01 A. It looks at the cell
// ten times for each row it logs, ends a discharge when the terminal voltage is
// at or below the cut-off, and reads with seeded Gaussian noise, rounded to
// 1 mV, 0.01 A and 0.1 °C. So the load comes on and goes off between rows. With
// the output off it reads 0.00 A.
//
// # The same bytes everywhere
//
// A log is the same natively and under js/wasm: the model uses sums, products
// and quotients only, with no product left for a compiler to fuse into a sum,
// and an exponential of its own.
package demo
