package trace

// SetLead takes a resistance in Ω, that of leads and contacts which carry the
// current and the voltage alike, off the voltages: what the cell has is
// V_read + I·R, more on discharge and less on charge. It replaces an earlier
// correction; 0 gives back the voltages as they were read.
func (tr *Trace) SetLead(ohm float64) {
	if ohm == tr.lead {
		return
	}
	tr.lead, tr.tops = ohm, nil
	for k := range tr.segs {
		s := &tr.segs[k]
		s.sum = nil
		switch {
		case s.read == nil:
			s.read = new(column)
			*s.read = *s.v
		case ohm == 0:
			*s.v = *s.read
			s.read = nil
			continue
		}
		for j := range s.v {
			s.v[j] = s.read[j] + float64(s.i[j]*ohm)
		}
	}
}

// Lead is the resistance in Ω that voltages are corrected for.
func (tr *Trace) Lead() float64 { return tr.lead }
