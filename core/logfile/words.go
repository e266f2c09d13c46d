package logfile

import (
	"plateau/core/quantity"
	"plateau/core/say"
)

// Kind is what a column holds.
type Kind uint8

// The kinds of column that a log can have.
const (
	Unknown Kind = iota
	Time
	Voltage
	Current
	Temperature
	Power
	Charge
	Energy
	Resistance
	Step
	Cycle
	Record
)

// String is the name of a kind, as rules and files have it.
func (k Kind) String() string {
	return [...]string{say.Later("unknown"), say.Later("time"), say.Later("voltage"), say.Later("current"), say.Later("temperature"), say.Later("power"),
		"charge", say.Later("energy"), say.Later("resistance"), say.Later("step"), say.Later("cycle"), say.Later("record")}[k]
}

// Label is the kind in words.
func (k Kind) Label() string {
	if k == Charge { // what a tester does is a charge too
		return say.Text("counted charge")
	}
	return say.Text(k.String())
}

// of is the physical quantity of a kind; None for counters of steps and rows.
func (k Kind) of() quantity.Kind {
	return [...]quantity.Kind{quantity.None, quantity.Time, quantity.Voltage, quantity.Current,
		quantity.Temperature, quantity.Power, quantity.Charge, quantity.Energy,
		quantity.Resistance, 0, 0, 0}[k]
}

// words is the trade's vocabulary for the head of a column, in lower case.
// Common practice, no source; written from memory, review by native speakers
// welcome. To teach the reader a word, add it here.
var words = map[Kind][]string{
	Time: {
		"time", "test time", "elapsed time", "elapsed", "total time", "run time", "runtime",
		"duration", "step time", "time stamp", "timestamp", "stamp", "date", "datetime", "date time", "clock",
		"zeit", "prüfzeit", "testzeit", "messzeit", "laufzeit", "schrittzeit", "dauer", "datum", "uhrzeit", "zeitstempel",
		"temps", "temps écoulé", "durée", "heure", "horodatage",
		"tiempo", "tiempo transcurrido", "duración", "fecha", "hora",
		"tempo", "durata", "data", "ora",
		"czas", "czas testu", "godzina",
		"время", "время теста", "длительность", "дата",
		"时间", "测试时间", "总时间", "日期", "時間", "経過時間", "試験時間", "日時",
	},
	Voltage: {
		"voltage", "cell voltage", "battery voltage", "terminal voltage", "potential", "volts", "volt",
		"spannung", "zellspannung", "zellenspannung", "klemmenspannung", "batteriespannung", "entladespannung",
		"tension", "tension aux bornes", "potentiel",
		"tensión", "voltaje",
		"tensione", "napięcie", "напряжение", "电压", "電壓", "電圧",
	},
	Current: {
		"current", "discharge current", "load current", "amps", "amp", "amperes", "amperage",
		"strom", "stromstärke", "entladestrom", "ladestrom",
		"courant", "intensité", "corriente", "intensidad", "corrente", "prąd", "natężenie",
		"ток", "сила тока", "ток разряда", "电流", "電流",
	},
	Temperature: {
		"temperature", "temp", "cell temperature", "surface temperature", "ambient temperature",
		"temperatur", "zelltemperatur", "umgebungstemperatur", "température", "temperatura",
		"температура", "темп", "温度", "溫度",
	},
	Power:  {"power", "watts", "watt", "leistung", "puissance", "potencia", "potenza", "moc", "мощность", "功率", "電力"},
	Charge: {"capacity", "discharge capacity", "discharged capacity", "charge", "accumulated charge", "amp hours", "ampere hours", "kapazität", "entladekapazität", "ladung", "ladungsmenge", "capacité", "quantité d'électricité", "capacidad", "carga", "capacità", "pojemność", "ёмкость", "емкость", "заряд", "容量", "电量", "電気量"},
	Energy: {"energy", "discharge energy", "watt hours", "energie", "entladeenergie", "énergie", "energía", "energia", "энергия", "能量", "電力量"},
	Resistance: {"resistance", "internal resistance", "impedance", "ir", "dcir", "acir", "innenwiderstand", "widerstand",
		"résistance", "resistencia", "resistenza", "rezystancja", "сопротивление", "内阻", "抵抗"},
	Step: {"step", "step number", "step no", "step index", "step id", "state", "status", "mode", "schritt", "zustand",
		"étape", "paso", "passo", "krok", "шаг", "режим", "工步", "ステップ"},
	Cycle:  {"cycle", "cycle number", "cycle no", "cycle index", "cycle count", "loop", "zyklus", "ciclo", "cykl", "цикл", "循环", "サイクル"},
	Record: {"record", "data point", "point", "sample", "index", "no", "#", "nr", "messpunkt", "datensatz", "номер", "序号", "番号"},
}

// symbols are the letters that formulas use, where case tells them apart.
var symbols = map[string]Kind{
	"t": Time, "U": Voltage, "u": Voltage, "V": Voltage, "E": Voltage, "Vbat": Voltage, "Vcell": Voltage, "Ubat": Voltage,
	"I": Current, "i": Current, "A": Current, "T": Temperature, "ϑ": Temperature, "θ": Temperature,
	"P": Power, "Q": Charge, "C": Charge, "W": Energy, "R": Resistance, "Ri": Resistance, "R0": Resistance,
}

// qualifiers raise or lower a column among others of its kind: the cell's own
// measured value is wanted, not a set-point, a limit, or the load's side.
// Common practice, no source.
var qualifiers = map[string]int{
	"measured": 3, "meas": 3, "actual": 3, "cell": 2, "battery": 2, "total": 2, "test": 2, "elapsed": 2,
	"surface": 2, "sense": 2, "gemessen": 3, "zelle": 2,
	"load": -2, "set": -6, "target": -6, "nominal": -6, "setpoint": -6, "limit": -6, "cutoff": -6,
	"charger": -4, "supply": -4, "source": -3, "input": -3, "ambient": -3, "step": -3, "schritt": -3,
	"min": -4, "max": -4, "avg": -2, "average": -4, "mean": -4, "delta": -6, "diff": -6, "dv": -6,
	"aux": -4, "board": -4, "start": -4, "end": -4, "std": -6, "error": -6, "date": -2, "soll": -6,
}

// Words that tell which way a counter of charge or energy counts: parts of words
// where that suffices, else whole ones. Common practice, no source; review by
// native speakers welcome.
var (
	dischargeParts = []string{"dischar", "dischg", "dischrg", "dchg", "entlad", "entnomm", "décharg", "decharg", "descarg",
		"scaric", "rozład", "rozlad", "разряд", "放电", "放電"}
	dischargeShort = []string{"dis", "disch", "dch", "dsg"}
	chargingParts  = []string{"charging", "charged", "geladen", "ladekap", "ladeenerg", "chargé", "recharg", "cargad", "recarg", "caricat", "ricaric",
		"ładowan", "ladowan", "зарядк", "зарядн", "заряж", "充电", "充電"}
	chargingShort = []string{"chg", "chrg", "cha"}
	// A charge that is counted, or that flows in: the words beside tell.
	chargeNouns = []string{"charge", "ladung", "laden", "carga", "carica", "заряд", "заряда"}
	// What is in Ah or Wh and counts nothing.
	noCounts = []string{"rated", "design", "nennkapazität", "nennenergie", "dq", "set", "soll"}
	// Among counters, one that runs over the whole log is better.
	countQualifiers = map[string]int{"net": -1, "schedule": -1, "cumulative": -2, "accumulated": -1, "cycle": -2, "remaining": -4}
)
