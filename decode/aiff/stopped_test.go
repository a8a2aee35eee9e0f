package aiff

import (
	"encoding/binary"
	"math"
	"testing"

	"dubgauge/decode/stream"
)

// TestStoppedCopy names a copy that stopped at a cluster's edge, with its time; the
// same sound with a hard end elsewhere is whole.
func TestStoppedCopy(t *testing.T) {
	const frames = 100_000
	x := make([]int16, frames)
	for i := range x {
		x[i] = int16(16000 * math.Sin(float64(i)/20+1))
	}
	sound, _ := binary.Append(nil, binary.BigEndian, x)
	for _, c := range []struct {
		from  int
		fault bool
	}{{16 * cluster, true}, {16*cluster + 1000, false}, {1 << 30, false}} {
		file := form("AIFF", comm(1, frames, 16, rate44100, ""), ssnd(0, sound))
		clear(file[min(c.from, len(file)):])
		s, err := open(file)
		if err != nil {
			t.Fatal(err)
		}
		readAll(t, s)
		f := s.Faults()
		if !c.fault {
			if len(f) > 0 {
				t.Errorf("zeros from byte %d on: %v", c.from, f)
			}
			continue
		}
		at := float64(c.from-int(soundAt)) / 2 / 44100
		if len(f) != 1 || f[0].Kind != stream.Truncated || f[0].Offset != int64(c.from) || math.Abs(f[0].At-at) > 1e-4 {
			t.Errorf("zeros from byte %d on: %v, want a fault at %.3f s", c.from, f, at)
		}
	}
}

const (
	cluster = 4096
	soundAt = 12 + 8 + 18 + 8 + 8 // form, COMM, and the heads of SSND
)
