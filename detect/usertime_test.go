//go:build unix

package detect

import (
	"syscall"
	"testing"

	"dubgauge/detect/fingerprint"
	"dubgauge/detect/key"
	"dubgauge/detect/spectrum"
	"dubgauge/detect/tempo"
	"dubgauge/detect/transfer"
)

// userSeconds is the processor time this process has spent outside the kernel,
// over all its threads.
func userSeconds(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec) + float64(u.Utime.Usec)/1e6
}

// timeUser is benchmarkMeter with the user time for each track beside the
// elapsed time, which other work on the machine lengthens.
func timeUser(b *testing.B, fresh func() (write func([][]float32), end func())) {
	before := userSeconds(b)
	benchmarkMeter(b, fresh)
	b.ReportMetric((userSeconds(b)-before)/float64(b.N), "user-s/op")
}

func BenchmarkTempo(b *testing.B) {
	timeUser(b, func() (func([][]float32), func()) {
		m := tempo.New(44100, 2)
		return m.Write, func() { m.Result() }
	})
}

// What a transfer leaves, beside BenchmarkSpectrum's meter in BenchmarkSpectrumUser: the
// ratio of both is what counts.
func BenchmarkTransfer(b *testing.B) {
	timeUser(b, func() (func([][]float32), func()) {
		m := transfer.New(44100, 2)
		return m.Write, func() { m.Result(transfer.Beat{BPM: 124, Confidence: 1}) }
	})
}

func BenchmarkSpectrumUser(b *testing.B) {
	timeUser(b, func() (func([][]float32), func()) {
		m := spectrum.New(44100, 2)
		return m.Write, func() { m.Whole() }
	})
}

// The task allows tempo and key 0.6 s for six minutes.
func BenchmarkTempoAndKey(b *testing.B) {
	timeUser(b, func() (func([][]float32), func()) {
		m, k := tempo.New(44100, 2), key.New(44100, 2)
		write := func(block [][]float32) { m.Write(block); k.Write(block) }
		return write, func() { m.Result(); k.Result() }
	})
}

// The print of the music, beside BenchmarkKeyUser, whose frames it hears: what it adds to
// that must stay under 2 % of the whole of a track.
func BenchmarkTunePrint(b *testing.B) {
	timeUser(b, func() (func([][]float32), func()) {
		k := key.New(44100, 2)
		p := fingerprint.Of(k)
		return k.Write, func() { k.Result(); p.Print() }
	})
}

func BenchmarkKeyUser(b *testing.B) {
	timeUser(b, func() (func([][]float32), func()) {
		k := key.New(44100, 2)
		return k.Write, func() { k.Result() }
	})
}
