package detect

import (
	"context"
	"io"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"testing"
	"time"

	"dubgauge/decode"
)

// endless is so many minutes of one minute.
type endless struct {
	rate, minutes, at int
	minute            [][]float32
	heap              uint64 // the most that was in use
}

func (e *endless) Info() decode.Info {
	return decode.Info{Format: "wav", Codec: "pcm_s16", SampleRate: e.rate, Channels: 2, BitDepth: 16, Frames: int64(e.minutes * len(e.minute[0]))}
}

func (e *endless) Read(dst [][]float32) (int, error) {
	long := len(e.minute[0])
	if e.at == e.minutes*long {
		return 0, io.EOF
	}
	from := e.at % long
	n := min(len(dst[0]), long-from)
	for c := range dst {
		copy(dst[c][:n], e.minute[c][from:])
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

// worked is what may be live at any time while a set is measured, in MB beside what there
// was before: what is held, and what is worked with at the end. 43 to 46 were measured, by when the
// collector runs; a scan of the whole program then takes 73 of its 80 MB.
const worked = 48.0

// TestWorkOnASet: nor does what is worked with when the track is over take more. A set of
// 100 minutes has more to it than one of two hours, which is held in half the resolution.
func TestWorkOnASet(t *testing.T) {
	if testing.Short() {
		t.Skip("measures 100 minutes; run without -short")
	}
	e := &endless{rate: 11025, minutes: 100, minute: loud(11025, 60, 1.2)}
	defer debug.SetGCPercent(debug.SetGCPercent(10)) // as the program's leastGC
	before := heap()
	stop, most := make(chan bool), make(chan uint64)
	go watch("/gc/heap/live:bytes", stop, most)
	if _, err := Analyze(context.Background(), e, 1, nil); err != nil {
		t.Fatal(err)
	}
	close(stop)
	live := (float64(<-most) - before) / 1e6
	t.Logf("%.1f MB live at the most, %.1f after the reading", live, (float64(e.heap)-before)/1e6)
	if live > worked {
		t.Errorf("%.1f MB are live at a time, %.0f allowed", live, worked)
	}
}

// BenchmarkTwoHours is the heap that a set of two hours takes to measure, in MB, beside
// what the test itself holds: while it is read, and at any time, with all that the collector
// has yet to find, which it is told to do as often as the program does.
//
//	go test -run '^$' -bench TwoHours -benchtime 1x ./detect
func BenchmarkTwoHours(b *testing.B) {
	before := heap()
	defer debug.SetGCPercent(debug.SetGCPercent(10)) // as the program's leastGC
	for b.Loop() {
		e := &endless{rate: 44100, minutes: 120, minute: benchTrack}
		stop, most := make(chan bool), make(chan uint64)
		go watch("/memory/classes/heap/objects:bytes", stop, most)
		if _, err := Analyze(context.Background(), e, 1, nil); err != nil {
			b.Fatal(err)
		}
		close(stop)
		b.ReportMetric((float64(e.heap)-before)/1e6, "MB-heap")
		b.ReportMetric((float64(<-most)-before)/1e6, "MB-most")
	}
}

// watch looks at a figure of the runtime until it is stopped and gives the most that it was.
func watch(name string, stop <-chan bool, most chan<- uint64) {
	sample, top := []metrics.Sample{{Name: name}}, uint64(0)
	for {
		select {
		case <-stop:
			most <- top
			return
		case <-time.After(5 * time.Millisecond):
			metrics.Read(sample)
			top = max(top, sample[0].Value.Uint64())
		}
	}
}
