package tempo

import (
	"math"
	"testing"
)

// struckEnvelope is an envelope of 1 in which beats of half a second are struck: by kick times that on
// each, and by clap times that, late seconds after it, on the second and the fourth.
func struckEnvelope(kick, clap, late float64) (e *envelope, beats []float64) {
	e = &envelope{step: fineSeconds, value: make([]float32, 41400)}
	for i := range e.value {
		e.value[i] = 1
	}
	hit := func(at, by float64) {
		for i := int(math.Ceil(at / e.step)); float64(i)*e.step < at+0.1; i++ {
			e.value[i] += float32(by * (1 - (float64(i)*e.step-at)/0.1))
		}
	}
	for i := range 100 {
		at := 1 + 0.5*float64(i)
		hit(at, kick)
		if i%2 == 1 {
			hit(at+late, clap)
		}
		beats = append(beats, at-onsetLead)
	}
	return e, beats
}

// The beat is the kick, however much louder claps that are 10 ms late are; what is under
// firstShare of them is none, nor what is under attackLeast of the mean. Half a step of the
// envelope either way, 0.7 ms.
func TestAttackIsTheFirst(t *testing.T) {
	const late, within = 0.01, 0.001
	for _, c := range []struct {
		name             string
		kick, clap, want float64
	}{
		{"kicks alone", 3, 0, 0},
		{"louder claps", 3, 12, 0},
		{"kicks of a fifth of the claps", 2, 10, 0},
		{"kicks of a ninth", 1.11, 10, 0},
		{"kicks of an eleventh", 0.91, 10, late},
		{"kicks of a twentieth", 0.5, 10, late},
		{"claps alone", 0, 3, late},
		{"faint claps", 0, 0.05, attackDelay},
		{"soft claps", 0, 0.2, late},
		{"faint kicks under soft claps", 0.05, 0.3, late},
		{"nothing", 0, 0, attackDelay},
		{"soft", 0.3, 0, 0},
	} {
		e, beats := struckEnvelope(c.kick, c.clap, late)
		if got := e.attack(beats) - onsetLead + attackDelay; math.Abs(got-c.want) > within {
			t.Errorf("%s: %.4f, want %.4f", c.name, got, c.want)
		}
	}
	e, _ := struckEnvelope(3, 0, 0)
	if got := e.attack(nil); got != onsetLead {
		t.Errorf("no beats: %v", got)
	}
}
