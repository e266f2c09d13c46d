package trace

// SetLead takes a resistance in Ω, that of leads and contacts which carry the
// current and the voltage alike, off the voltages: what the cell has is
// V_read + I·R, more on discharge and less on charge. It replaces an earlier
// correction; 0 gives back the voltages as they were read. Samples that are added
// later are corrected too; a sign or a scale of the current must be settled
// before.
func (tr *Trace) SetLead(ohm float64) {
	if ohm == tr.lead {
		return
	}
	tr.lead, tr.spans = ohm, nil
	for k := range tr.segs {
		s := &tr.segs[k]
		s.sum = nil
		switch {
		case s.read == nil && ohm == 0: // nothing was added to it yet
			continue
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

// leadAdded corrects n samples that were just written behind those counted.
func (tr *Trace) leadAdded(n int) {
	s, k := &tr.segs[len(tr.segs)-1], tr.n%SegmentLen
	if s.read == nil {
		s.read = new(column)
	}
	copy(s.read[k:k+n], s.v[k:k+n])
	for j := k; j < k+n; j++ {
		s.v[j] += float64(s.i[j] * tr.lead)
	}
}

// Lead is the resistance in Ω that voltages are corrected for.
func (tr *Trace) Lead() float64 { return tr.lead }
