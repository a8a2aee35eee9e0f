// Package sound holds what the demo library and the studio of the bench build
// their audio with: levels, filters and limiters on float64 samples, full scale
// being 1, at one sample rate.
package sound
