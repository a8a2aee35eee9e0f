package page

import (
	"dubgauge/detect"
	"dubgauge/export/words"
)

// frame is what the charts of all tracks have in common.
type frame struct {
	Spectrum, Timeline []tick // of the vertical axes; X holds the height
	Bands              []tick
}

func newFrame() frame {
	var f frame
	for v := spectrumLow + 5; v <= spectrumHigh; v += 10 {
		f.Spectrum = append(f.Spectrum, tick{svg(chartY(v, spectrumHigh, spectrumLow)), words.Page.Number(detect.Value(v), 0)})
	}
	for v := timelineLow; v <= timelineHigh; v += 6 {
		f.Timeline = append(f.Timeline, tick{svg(chartY(v, timelineHigh, timelineLow)), words.Page.Number(detect.Value(v), 0)})
	}
	for _, b := range []struct {
		i    int
		text string
	}{{2, "31.5"}, {5, "63"}, {8, "125"}, {11, "250"}, {14, "500"}, {17, "1k"}, {20, "2k"}, {23, "4k"}, {26, "8k"}, {29, "16k"}} {
		f.Bands = append(f.Bands, tick{svg(bandX(b.i)), b.text})
	}
	return f
}
