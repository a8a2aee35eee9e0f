package transfer

import (
	"math"
	"testing"

	"dubgauge/detect/reason"
)

// bent adds a lead that slides from note to note within 60 ms, swings slowly and dives by
// two octaves every eight seconds.
func bent(x [][]float32) [][]float32 {
	notes := [...]float64{440, 523.3, 392, 587.3, 493.9}
	hz, phase := notes[0], 0.0
	for i := range x[0] {
		at := float64(i) / plantRate
		want := notes[int(at*2)%len(notes)]
		if math.Mod(at, 8) > 7 {
			want = 110
		}
		hz *= math.Pow(want/hz, 1/(0.06*plantRate))
		phase += hz * (1 + 0.004*math.Sin(2*math.Pi*0.47*at)) / plantRate
		v := 0.0
		for h := 1.0; h <= 4; h++ {
			v += math.Sin(2*math.Pi*h*phase) / h
		}
		x[0][i] += float32(0.08 * v)
		x[1][i] += float32(0.08 * v)
	}
	return x
}

// A lead that bends, and dives, is music; a record off centre swings it too, and all the
// rest with it.
func TestBentLeads(t *testing.T) {
	for _, f := range listen(bent(piece())).Result(beat122) {
		t.Errorf("a bent lead: %+v", f)
	}
	found := listen(plantWow(bent(piece()), 0.7, 100.0/180)).Result(beat122)
	if len(found) != 1 || found[0].Kind != reason.Wow {
		t.Errorf("a bent lead on a record off centre: %+v", found)
	}
}
