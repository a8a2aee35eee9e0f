package continuity

// predict is the autocorrelation method by the recursion of Levinson and Durbin (Makhoul,
// Proc. IEEE 63(4), 1975): what is not predicted is sum of a[j] y[i-j], a[0] being 1.
func (b *bridge) predict(k int) {
	var x [bridgeLength]float64
	for i, w := range b.window {
		x[i] = w * b.y[k][i]
	}
	var r [bridgeOrder + 1]float64
	for lag := range r {
		later := x[lag:]
		var even, odd float64
		i := 0
		for ; i+1 < len(later); i += 2 {
			even += later[i] * x[i]
			odd += later[i+1] * x[i+1]
		}
		for ; i < len(later); i++ {
			even += later[i] * x[i]
		}
		r[lag] = even + odd
	}
	r[0] += r[0]*1e-7 + 1e-12
	a, left := &b.a[k], r[0]
	*a = [bridgeOrder + 1]float64{1}
	for i := 1; i <= bridgeOrder; i++ {
		sum := r[i]
		for j := 1; j < i; j++ {
			sum += a[j] * r[i-j]
		}
		reflect, old := -sum/left, *a
		for j := 1; j < i; j++ {
			a[j] += reflect * old[i-j]
		}
		a[i] = reflect
		left *= 1 - reflect*reflect
	}
	b.v[k] = left/b.weight + bridgeNoise
}
