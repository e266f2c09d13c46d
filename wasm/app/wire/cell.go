package wire

// Cell is one sample of a model of cells, as typed: what its datasheet claims,
// and what is known of the sample. All of it is optional but the name, by which
// runs are of it.
type Cell struct {
	Name string `json:"name"`
	// Was is the name before, where a command gives it another.
	Was string `json:"was,omitempty"`
	// Model is what samples of one kind share, empty for the name itself. Of
	// samples of one model, the figures of the datasheet are those of the first
	// one for which they were typed.
	Model     string `json:"model,omitempty"`
	Sample    string `json:"sample,omitempty"`    // "1", "B"
	Chemistry string `json:"chemistry,omitempty"` // "ion", "phosphate", "titanate" or empty: by its voltage
	Size      string `json:"size,omitempty"`      // "21700", "INR19/66"
	Mass      string `json:"mass,omitempty"`      // g, as weighed
	Marking   string `json:"marking,omitempty"`   // what is printed on it
	Price     string `json:"price,omitempty"`     // of one cell, in Currency
	Currency  string `json:"currency,omitempty"`  // "EUR"
	Notes     string `json:"notes,omitempty"`

	// The claims: a capacity in Ah at a current in A (empty: 0.2 It) down to a
	// voltage in V (empty: Cutoff).
	Rated          string `json:"rated,omitempty"`
	RatedCurrent   string `json:"ratedCurrent,omitempty"`
	RatedCutoff    string `json:"ratedCutoff,omitempty"`
	Minimum        string `json:"minimum,omitempty"`
	MinimumCurrent string `json:"minimumCurrent,omitempty"`
	MinimumCutoff  string `json:"minimumCutoff,omitempty"`
	Typical        string `json:"typical,omitempty"`
	TypicalCurrent string `json:"typicalCurrent,omitempty"`
	TypicalCutoff  string `json:"typicalCutoff,omitempty"`

	Cutoff        string `json:"cutoff,omitempty"`        // V
	Nominal       string `json:"nominal,omitempty"`       // V
	ChargeVoltage string `json:"chargeVoltage,omitempty"` // V
	ChargeCurrent string `json:"chargeCurrent,omitempty"` // A, standard charge
	MaxCharge     string `json:"maxCharge,omitempty"`     // A
	ChargeEnd     string `json:"chargeEnd,omitempty"`     // A, current at which the charge ends
	MaxCurrent    string `json:"maxCurrent,omitempty"`    // A, continuous discharge
	MinTemp       string `json:"minTemp,omitempty"`       // °C on discharge
	MaxTemp       string `json:"maxTemp,omitempty"`       // °C on discharge
	SheetMass     string `json:"sheetMass,omitempty"`     // g
	MaxResistance string `json:"maxResistance,omitempty"` // mΩ, a.c. at 1 kHz
	// Series is the number of cells in series, empty for one.
	Series string `json:"series,omitempty"`
	// Rest is by which rule the rest after the charge is judged: "iec" (1 h to
	// 4 h, or empty) or "datasheet" (within 1 h).
	Rest string `json:"rest,omitempty"`

	// Where the sample is from.
	Bought   string `json:"bought,omitempty"`   // shop or person, and when
	Lot      string `json:"lot,omitempty"`      // of the maker
	DateCode string `json:"dateCode,omitempty"` // as printed
	Wrapper  string `json:"wrapper,omitempty"`  // doubts about wrapper or genuineness

	Arrived Arrived `json:"arrived,omitzero"`

	Errors map[string]string `json:"errors,omitempty"` // by field: "rated", "arrived.voltage"
	Checks []Check           `json:"checks,omitempty"` // of the incoming inspection; a fault says not to charge it
	Runs   int               `json:"runs"`             // how many are of this cell, typed ones too
	// Ask is a question about the cell ("It reads 36 V: how many cells are in
	// series?"), or empty.
	Ask string `json:"ask,omitempty"`
	// From names the sample of the same model whose datasheet figures are used
	// where this one has none; empty for none. Samples is how many of the model
	// there are.
	From    string `json:"from,omitempty"`
	Samples int    `json:"samples,omitempty"`
	// Size in words, as the designation says it ("round, 19 mm × 66 mm at most,
	// 18.7 ml"); empty where no size is known.
	SizeWords string `json:"sizeWords,omitempty"`
}

// Arrived is what was measured of a sample before it was ever charged, as typed;
// its mass is [Cell.Mass].
type Arrived struct {
	Day        string `json:"day,omitempty"`        // "2026-11-25"
	Voltage    string `json:"voltage,omitempty"`    // V, open circuit
	Diameter   string `json:"diameter,omitempty"`   // mm, or the thickness
	Length     string `json:"length,omitempty"`     // mm, or the height
	Resistance string `json:"resistance,omitempty"` // mΩ, a.c. at 1 kHz
	Remark     string `json:"remark,omitempty"`
}

// TypedRun is a discharge of which a person has the tester's display alone.
type TypedRun struct {
	Cell     string `json:"cell,omitempty"`
	Current  string `json:"current,omitempty"`  // A
	Capacity string `json:"capacity,omitempty"` // Ah
	Energy   string `json:"energy,omitempty"`   // Wh
	Cutoff   string `json:"cutoff,omitempty"`   // V
	// Void is why it does not count, empty where it does.
	Void string `json:"void,omitempty"`

	// What the engine says of it. Average is the implied voltage in V.
	Errors  map[string]string `json:"errors,omitempty"` // by field
	Average string            `json:"average,omitempty"`
	Checks  []Check           `json:"checks,omitempty"`
	Offers  []Offer           `json:"offers,omitempty"`
}

// Offer is another reading of a typed figure, for a slip of the finger. It is
// never taken unasked.
type Offer struct {
	Field string `json:"field"` // "capacity" or "energy"
	Text  string `json:"text"`  // what to type instead
	Why   string `json:"why"`   // "4.93 for 4.39, two digits swapped: 3.62 V"
}

// Pasted answers "paste": what was made of a table. Nothing is changed by it.
type Pasted struct {
	Cells []Cell     `json:"cells,omitempty"`
	Typed []TypedRun `json:"typed,omitempty"`
	// Read says how the table was understood, in sentences; Problems are rows
	// left out.
	Read     []string  `json:"read"`
	Problems []LeftOut `json:"problems,omitempty"`
	// Why says why there is nothing.
	Why string `json:"why,omitempty"`
}
