package main

import (
	"runtime"
	"runtime/debug"
	"testing"
	"time"
)

// What a command holds may grow by 4 MiB, by a tenth at the least and by as much again at
// the most.
func TestGrowth(t *testing.T) {
	for live, want := range map[uint64]int{0: 100, 1 << 20: 100, 4 << 20: 100, 8 << 20: 50, 16 << 20: 25, 40 << 20: 10, 400 << 20: 10} {
		if got := growth(live); got != want {
			t.Errorf("%d MiB: %d %%, want %d", live>>20, got, want)
		}
	}
}

// Each collection sets the growth anew for what is held by then, until measuring is over.
func TestGrowthFollowsCollections(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	measuringMemory()
	held := make([]byte, 64<<20)
	if got := percentAfter(leastGC); got != leastGC {
		t.Errorf("%d %% with 64 MiB held", got)
	}
	runtime.KeepAlive(held)
	held = nil
	if got := percentAfter(2 * leastGC); got < 2*leastGC {
		t.Errorf("%d %% with little held", got)
	}
	leanMemory()
	runtime.GC()
	time.Sleep(20 * time.Millisecond)
	if got := percentAfter(leanGC); got != leanGC {
		t.Errorf("%d %% after measuring", got)
	}
}

// percentAfter collects until the growth is on the side of want of where it began, for a
// second at most.
func percentAfter(want int) (percent int) {
	for range 50 {
		runtime.GC()
		time.Sleep(20 * time.Millisecond) // finalizers run beside
		percent = debug.SetGCPercent(100)
		debug.SetGCPercent(percent)
		if percent == want || want > leastGC && percent > want {
			return percent
		}
	}
	return percent
}
