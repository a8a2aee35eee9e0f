package sound

import (
	"math"
	"testing"

	"dubgauge/detect/truepeak"
)

// gainAt is the gain of a filter at hz in dB, from a sine that has settled.
func gainAt(f *Biquad, hz float64) float64 {
	x := make([]float64, 2*Rate)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * hz * float64(i) / Rate)
	}
	f.Run(x)
	return 10 * math.Log10(power(x[Rate:])/0.5)
}

// TestFilterResponse: a shelf has half its gain, in dB, at its corner; a bell all
// of it in the middle; a Butterworth pass -3.01 dB at its limit (Audio EQ
// Cookbook).
func TestFilterResponse(t *testing.T) {
	for _, c := range []struct {
		name string
		f    *Biquad
		hz   float64
		want float64
	}{
		{"low shelf far below", LowShelf(1000, 6), 20, 6}, {"low shelf corner", LowShelf(1000, 6), 1000, 3},
		{"low shelf far above", LowShelf(1000, 6), 15000, 0},
		{"high shelf far above", HighShelf(1000, -8), 18000, -8}, {"high shelf corner", HighShelf(1000, -8), 1000, -4},
		{"high shelf far below", HighShelf(1000, -8), 20, 0},
		{"bell", Bell(500, 5, 0.7), 500, 5}, {"bell far away", Bell(500, 5, 0.7), 15000, 0},
		{"band", Band(500, 2), 500, 0}, {"low-pass", Pass(700, false), 700, -3.01}, {"high-pass", Pass(700, true), 700, -3.01},
		{"high-pass far below", Pass(700, true), 70, -40},
	} {
		if got := gainAt(c.f, c.hz); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: %.2f dB, want %.2f", c.name, got, c.want)
		}
	}
}

// TestFilterStateJoinsBlocks: two halves filtered in turn are the whole.
func TestFilterStateJoinsBlocks(t *testing.T) {
	x := make([]float64, 1000)
	for i := range x {
		x[i] = math.Sin(float64(i * i))
	}
	y := append([]float64(nil), x...)
	Bell(900, 7, 1).Run(x)
	f := Bell(900, 7, 1)
	f.Run(y[:333])
	f.Run(y[333:])
	for i := range x {
		if x[i] != y[i] {
			t.Fatalf("sample %d differs", i)
		}
	}
}

// TestLimitTruePeak drives a sine whose samples miss its peaks (a quarter of the
// rate, 45 degrees off) and a low one 6 dB over the ceiling; the meter that
// dubgauge has, another interpolator, must agree within 0.1 dB.
func TestLimitTruePeak(t *testing.T) {
	a := New(2 * Rate)
	for i := range a.L {
		a.L[i] = 1.4 * math.Sin(math.Pi/2*float64(i)+math.Pi/4)
		a.R[i] = 1.8 * math.Sin(2*math.Pi*60*float64(i)/Rate)
	}
	LimitTruePeak(a.L, a.R, Decibels(-0.3))
	m := truepeak.New(Rate, 2)
	a.Blocks(m.Write)
	if got := m.Result().TruePeak; math.Abs(got+0.3) > 0.1 {
		t.Errorf("true peak %.2f dBTP, want -0.3", got)
	}
}

// TestLimitTruePeakLeavesQuietAlone: below the ceiling not a sample changes.
func TestLimitTruePeakLeavesQuietAlone(t *testing.T) {
	a := New(Rate)
	for i := range a.L {
		a.L[i] = 0.6 * math.Sin(float64(i)*0.05)
	}
	b := a.Clone()
	LimitTruePeak(a.L, a.R, Decibels(-0.3))
	for i := range a.L {
		if math.Abs(a.L[i]-b.L[i]) > 1e-12 {
			t.Fatalf("sample %d was turned by the limiter", i)
		}
	}
}

// TestLevelSetsPower: -20 dB of mean power.
func TestLevelSetsPower(t *testing.T) {
	x := []float64{1, -2, 3, 0.5}
	Level(x, -20)
	if got := 10 * math.Log10(power(x)); math.Abs(got+20) > 1e-9 {
		t.Errorf("%.3f dB, want -20", got)
	}
}
