//go:build unix

package detect

import (
	"fmt"
	"strings"
	"testing"

	"dubgauge/decode"
)

// meterNames are those of newMeters, in its order.
var meterNames = []string{
	"loudness", "true peak, limiting", "spectrum, low end, balance, width", "transfer", "key, print of the tune",
	"tempo", "edges", "kick", "faults, fingerprint", "transfer, told", "continuity",
}

// What each meter takes of six minutes of stereo, in user time and as a share of all: writing
// the track to it alone, and working out what it tells.
func BenchmarkMeters(b *testing.B) {
	info := decode.Info{SampleRate: 44100, Channels: 2, BitDepth: 16}
	write, put := make([]float64, len(meterNames)), make([]float64, len(meterNames))
	for b.Loop() {
		meters := newMeters(info)
		if len(meters) != len(meterNames) {
			b.Fatalf("%d meters, %d names", len(meters), len(meterNames))
		}
		for i, m := range meters {
			before := userSeconds(b)
			writeTrack(m.write)
			write[i] += userSeconds(b) - before
		}
		m := Empty()
		m.File.DurationS = benchSeconds
		for i, t := range meters {
			before := userSeconds(b)
			t.put(&m)
			put[i] += userSeconds(b) - before
		}
	}
	fmt.Print("\n", sharesTable(write, put, float64(b.N))) // a log of ten lines is cut
}

// writeTrack writes the benchmark's track as often as makes six minutes.
func writeTrack(write func([][]float32)) {
	block := make([][]float32, 2)
	for range benchSeconds / 60 {
		for from := 0; from < len(benchTrack[0]); from += blockSamples {
			to := min(from+blockSamples, len(benchTrack[0]))
			block[0], block[1] = benchTrack[0][from:to], benchTrack[1][from:to]
			write(block)
		}
	}
}

func sharesTable(write, put []float64, n float64) string {
	all := 0.0
	for i := range write {
		all += write[i] + put[i]
	}
	var s strings.Builder
	s.WriteString("| meter | while it is read, ms | at the end, ms | share, % |\n|---|---:|---:|---:|\n")
	for i, name := range meterNames {
		fmt.Fprintf(&s, "| %s | %.0f | %.0f | %.1f |\n", name, 1000*write[i]/n, 1000*put[i]/n, 100*(write[i]+put[i])/all)
	}
	fmt.Fprintf(&s, "| all | %.0f | | |\n", 1000*all/n)
	return s.String()
}
