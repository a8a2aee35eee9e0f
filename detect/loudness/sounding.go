package loudness

// bridgeHops is the longest pause, in steps of 100 ms, that the gate leaves in
// whole: the last block with sound before it and the first after it reach over
// three steps each.
const bridgeHops = 2 * (blockHops - 1)

// sounding is over how many seconds of hops [from, to) a gated loudness was
// measured: those whose own 100 ms are above the absolute gate of BS.1770-5, and
// the pauses between them that the gate leaves in.
func (m *Meter) sounding(from, to int) float64 {
	gate := power(absoluteGateLUFS)
	hops, last := 0, -1
	for i := from; i < to; i++ {
		if m.hopsPower(i, 1) <= gate {
			continue
		}
		hops++
		if pause := i - last - 1; last >= 0 && pause <= bridgeHops {
			hops += pause
		}
		last = i
	}
	return float64(hops) / hopsPerSecond
}
