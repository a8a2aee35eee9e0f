package detect

import (
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode"
)

// held is what each of the meters may hold of a set of two hours, in MB of the heap beside
// what it has from the start, at any time; by the package that takes the blocks. Together
// with the program itself, 25 MB, and what is worked with at the end, all must stay under
// 80. The most is held by those that halve their resolution at 50 minutes and at 100, just
// before they do.
var held = map[string]float64{
	"loudness": 4.2, "truepeak": 6.5, "spectrum": 2.7, "transfer": 7.6, "tempo": 10.3, "key": 0.1,
	"faults": 1.4, "continuity": 1.4,
}

// heldElse is what a meter may hold that has no line of its own.
const heldElse = 0.1

// heldTogether is what all may hold at one time.
const heldTogether = 33.0

// TestHeldOfTwoHours: no meter holds more of a long track than it may. At a low rate, as
// what is held goes by the time and not by the samples, and levels of true peak are as
// dense as at 44.1 kHz.
func TestHeldOfTwoHours(t *testing.T) {
	if testing.Short() {
		t.Skip("measures two hours; run without -short")
	}
	const rate, minutes = 11025, 120
	minute := loud(rate, 60, 1.2)
	info := decode.Info{SampleRate: rate, Channels: 2, BitDepth: 16}
	together := make([]float64, minutes)
	for i := range newMeters(info) {
		name, m := meterOf(i, info)
		start, most := heap(), 0.0
		for at := range minutes {
			playMinute(m, minute, at)
			if at%10 == 9 {
				now := (heap() - start) / 1e6
				most = max(most, now)
				together[at] += now
				if at > 15 && at < 20 && now < heldElse/6 {
					break // it keeps nothing of the track: at that rate no more than heldElse at the end
				}
			}
		}
		runtime.KeepAlive(m)
		may, ok := held[name]
		if !ok {
			may = heldElse
		}
		t.Logf("%s: %.2f MB of %.1f", name, most, may)
		if most > may {
			t.Errorf("%s holds %.2f MB of a set, %.1f allowed: bound what it keeps of a long track (dsp.Long, dsp.Thinned), or say here why it may", name, most, may)
		}
	}
	t.Logf("together %.1f MB of %.0f", slices.Max(together), heldTogether)
	for at, all := range together {
		if all > heldTogether {
			t.Errorf("after %d minutes %.1f MB are held, %.0f allowed", at+1, all, heldTogether)
		}
	}
}

// meterOf makes one of the meters and names the package whose Write it calls.
func meterOf(i int, info decode.Info) (string, meter) {
	m := newMeters(info)[i]
	name := runtime.FuncForPC(reflect.ValueOf(m.write).Pointer()).Name()
	name = name[strings.LastIndex(name, "/")+1:]
	return name[:strings.Index(name, ".")], m
}

// playMinute writes a minute, louder and softer by turns, so that not all minutes are alike.
func playMinute(m meter, minute [][]float32, at int) {
	block := [][]float32{make([]float32, blockSamples), make([]float32, blockSamples)}
	gain := 1 - float32(at%7)/20
	for from := 0; from < len(minute[0]); from += blockSamples {
		n := min(blockSamples, len(minute[0])-from)
		part := [][]float32{block[0][:n], block[1][:n]}
		for c := range part {
			for i := range part[c] {
				part[c][i] = gain * minute[c][from+i]
			}
		}
		m.write(part)
	}
}

// heap is what is in use, in bytes.
func heap() float64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc)
}
