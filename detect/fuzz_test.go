package detect

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// FuzzAnalyze measures streams of 8 kHz and more and up to four channels that hold silence, noise, beats,
// tones, steps and what is no sound at all, in pieces of any length: nothing panics, and every
// figure is one that JSON can hold.
func FuzzAnalyze(f *testing.F) {
	f.Add(36100, 2, uint64(1), []byte{3, 40, 9, 60, 12, 200})
	f.Add(0, 1, uint64(2), []byte{250, 250, 249, 251})
	f.Add(88000, 2, uint64(3), []byte{8, 8, 8, 8, 8})
	f.Add(3, 3, uint64(4), []byte{1, 2, 3, 4, 5, 6})
	f.Fuzz(func(t *testing.T, rate, channels int, seed uint64, plan []byte) {
		rate, channels = 8000+rate&(1<<18-1), 1+channels&3 // decoders refuse lower rates
		r := rand.New(rand.NewPCG(seed, 3))
		x := make([][]float32, channels)
		for _, p := range plan[:min(len(plan), 24)] {
			n := min(int(p/8)*rate/4, 1<<15)
			level := math.Pow(10, -float64(r.IntN(60))/20)
			hz := 20 * math.Pow(2, 8*r.Float64())
			for c := range x {
				for i := range n {
					s := float64(i) / float64(rate)
					v := 0.0
					switch p % 8 {
					case 1:
						v = r.NormFloat64()
					case 2:
						v = math.Sin(2 * math.Pi * hz * s)
					case 3:
						in := math.Mod(s, 0.5)
						v = math.Exp(-20*in) * math.Sin(2*math.Pi*50*in)
					case 4:
						v = 1
					case 5:
						v = float64(i%2)*2 - 1
					case 6:
						v = float64(math.Float32frombits(r.Uint32()))
						if math.IsNaN(v) || math.IsInf(v, 0) {
							v = 0 // a stream has none
						}
					case 7:
						v = math.Sin(2*math.Pi*hz*s) * float64(c%2*2-1)
					}
					x[c] = append(x[c], float32(level*v))
				}
			}
		}
		m, err := Analyze(context.Background(), play(rate, io.EOF, x...), 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(&m)
		if err != nil || strings.Contains(string(text), "NaN") || strings.Contains(string(text), "Inf") {
			t.Errorf("%v: %s", err, text)
		}
	})
}
