package detect

import "encoding/json"

// UnmarshalJSON reads a fault; one without a place has none, rather than the start of
// the track.
func (f *Fault) UnmarshalJSON(b []byte) error {
	type plain Fault
	p := plain{AtS: None}
	err := json.Unmarshal(b, &p)
	*f = Fault(p)
	return err
}

// UnmarshalJSON reads a key; figures that are missing do not exist.
func (k *Key) UnmarshalJSON(b []byte) error {
	type plain Key
	p := plain{Confidence: None, TuningCents: None, Agreement: None}
	err := json.Unmarshal(b, &p)
	*k = Key(p)
	return err
}

// UnmarshalJSON reads a width; figures that are missing do not exist.
func (w *Width) UnmarshalJSON(b []byte) error {
	type plain Width
	p := plain{LowCorrelation: None, MonoWorstDB: None, MonoWorstHz: None, MonoWorstAtS: None}
	err := json.Unmarshal(b, &p)
	*w = Width(p)
	return err
}

// UnmarshalJSON reads what is known of kick and bass; figures that are missing do not
// exist.
func (k *Kick) UnmarshalJSON(b []byte) error {
	type plain Kick
	p := plain{OverBassDB: None, DipDB: None, BackAfterS: None, SubHz: None, SubCents: None, SubUp: None, AttackSumDB: None, AttackWorstDB: None}
	err := json.Unmarshal(b, &p)
	*k = Kick(p)
	return err
}
