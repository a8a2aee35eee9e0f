package detect

import (
	"context"
	"io"
	"runtime"
	"runtime/debug"
	"testing"
	"time"

	"dubgauge/decode"
)

// endless is so many minutes of one minute.
type endless struct {
	minutes, at int
	heap        uint64 // the most that was in use
}

func (e *endless) Info() decode.Info {
	return decode.Info{Format: "wav", Codec: "pcm_s16", SampleRate: 44100, Channels: 2, BitDepth: 16, Frames: int64(e.minutes * len(benchTrack[0]))}
}

func (e *endless) Read(dst [][]float32) (int, error) {
	long := len(benchTrack[0])
	if e.at == e.minutes*long {
		return 0, io.EOF
	}
	from := e.at % long
	n := min(len(dst[0]), long-from)
	for c := range dst {
		copy(dst[c][:n], benchTrack[c][from:])
	}
	if e.at += n; e.at%(10*long) == 0 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		e.heap = max(e.heap, m.HeapAlloc)
	}
	return n, nil
}

func (e *endless) Faults() []decode.Error { return nil }
func (e *endless) Close() error           { return nil }

// BenchmarkTwoHours is the heap that a set of two hours takes to measure, in MB, beside
// what the test itself holds: while it is read, and at any time, with all that the collector
// has yet to find, which it is told to do as often as the program does.
//
//	go test -run '^$' -bench TwoHours -benchtime 1x ./detect
func BenchmarkTwoHours(b *testing.B) {
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	defer debug.SetGCPercent(debug.SetGCPercent(10)) // as the program's measuringGC
	for b.Loop() {
		e := &endless{minutes: 120}
		stop, most := make(chan bool), make(chan uint64)
		go watch(stop, most)
		if _, err := Analyze(context.Background(), e, 1, nil); err != nil {
			b.Fatal(err)
		}
		close(stop)
		b.ReportMetric(float64(e.heap-before.HeapAlloc)/1e6, "MB-heap")
		b.ReportMetric(float64(<-most-before.HeapAlloc)/1e6, "MB-most")
	}
}

// watch looks at the heap until it is stopped and gives the most that was in use.
func watch(stop <-chan bool, most chan<- uint64) {
	var heap uint64
	for {
		select {
		case <-stop:
			most <- heap
			return
		case <-time.After(50 * time.Millisecond):
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			heap = max(heap, m.HeapAlloc)
		}
	}
}
