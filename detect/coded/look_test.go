package coded

import (
	"encoding/json"
	"math"
	"testing"

	"dubgauge/detect"
)

// A measured copy gives its own ceiling; without one the table does, and for AAC, which chance
// moves by decibels, none. The figures are those of the package's table.
func TestNewCopy(t *testing.T) {
	near := func(what string, got detect.Value, want float64) {
		t.Helper()
		if math.IsNaN(want) != !got.Exists() || math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	c := NewCopy(MP3320, -1, 0.24, math.NaN(), "")
	near("measured", c.Ceiling, -1.3)
	near("expected", c.Expected, -0.52)
	near("after", c.After, 0.24)
	near("from the table", NewCopy(MP3320, -1, detect.None, -50, "no").Ceiling, -0.5)
	loudest := detect.Spectrum{CentreHz: []float64{8000, 16000}, LoudestDB: detect.Values{-20, -40}}
	aac := NewCopy(AAC256, -1, detect.None, TopOf(&loudest), "no")
	near("of chance", aac.Ceiling, math.NaN())
	near("expected of AAC with a dull top", aac.Expected, 1)
	text, err := json.Marshal(Look{Copies: []Copy{aac}})
	want := `{"peak_to_loudness":{"low_lu":0,"mid_lu":0,"high_lu":0},"copies":[{"encoding":"AAC 256 kbit/s","before_dbtp":-1,"after_dbtp":null,"expected_dbtp":1,"ceiling_dbtp":null,"problem":"no"}]}`
	if err != nil || string(text) != want {
		t.Errorf("%s, %v", text, err)
	}
}

// The limit lies between the two rows of the table, well away from both.
func TestTellable(t *testing.T) {
	if a, b := MP3320.Rise().P90, AAC256.Rise().P90; tellable < 2*a || tellable > b/2 {
		t.Errorf("%v lies beside %v or %v", tellable, a, b)
	}
}
