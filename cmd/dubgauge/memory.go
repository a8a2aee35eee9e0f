package main

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync/atomic"
)

const (
	// leanGC keeps the memory of a command near what it holds, where that is much (50,000
	// tracks in a list are 100 MB): it may grow by so many percent before garbage is looked for.
	leanGC = 30

	// While tracks are measured it may grow by measuringRoom bytes, but by no less than
	// leastGC percent of what it holds (5 MB for a set of two hours) and no more than mostGC.
	// At leastGC throughout, garbage was looked for 67 times in six minutes of music, not 21,
	// for 5 to 15 % of the user time.
	measuringRoom = 4 << 20
	leastGC       = 10
	mostGC        = 100
)

// measuring says that measuringMemory holds.
var measuring atomic.Bool

// leanMemory is for commands that hold much.
func leanMemory() {
	measuring.Store(false)
	debug.SetGCPercent(leanGC)
}

// measuringMemory is for measuring, until leanMemory is called.
func measuringMemory() {
	measuring.Store(true)
	debug.SetGCPercent(mostGC)
	afterCollection(&collected{})
}

// collected is held by nobody, so that each collection finds it; it is too large to share
// its place with something that is held.
type collected [64]byte

// afterCollection lets the memory grow by as much as is right for what is held now.
func afterCollection(c *collected) {
	if !measuring.Load() {
		return
	}
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	if metrics.Read(live); live[0].Value.Kind() == metrics.KindUint64 {
		debug.SetGCPercent(growth(live[0].Value.Uint64()))
	}
	runtime.SetFinalizer(c, afterCollection)
}

// growth is by how many percent so many bytes may grow.
func growth(live uint64) int {
	return int(max(leastGC, min(mostGC, 100*measuringRoom/max(1, live))))
}
