package faults

import (
	"fmt"
	"strings"

	"dubgauge/detect/reason"
)

// format names what players stumble over, as far as the stream tells. Which player
// reads what is common practice, no source: all read MP3, AAC in M4A, and PCM of 16
// or 24 bit at 44.1 or 48 kHz in WAV and AIFF, in stereo.
func (m *Meter) format(r *Result) {
	var refused, newer []string
	refuse := func(s string, a ...any) { refused = append(refused, fmt.Sprintf(s, a...)) }
	i := m.info
	pcm := strings.HasPrefix(i.Codec, "pcm_")
	switch {
	case strings.HasPrefix(i.Codec, "pcm_f"):
		refuse("floating point, %d bit", i.BitDepth)
	case pcm && i.BitDepth != 16 && i.BitDepth != 24:
		refuse("%d bit", i.BitDepth)
	case pcm, i.Codec == "mp3", i.Codec == "aac":
	case i.Codec == "flac" || i.Codec == "alac":
		newer = append(newer, strings.ToUpper(i.Codec))
		if i.BitDepth > 24 {
			refuse("%d bit", i.BitDepth)
		}
	case i.Codec != "":
		refuse("%s", i.Codec)
	}
	switch {
	case i.SampleRate == 44100 || i.SampleRate == 48000:
	case i.SampleRate == 88200 || i.SampleRate == 96000:
		newer = append(newer, kilohertz(i.SampleRate))
	case i.SampleRate > 0:
		refuse("%s", kilohertz(i.SampleRate))
	}
	if i.Channels > 2 {
		refuse("%d channels", i.Channels)
	}
	switch {
	case len(refused) > 0:
		r.add(reason.Format, nowhere, "%s: many club players do not read it", strings.Join(append(refused, newer...), ", "))
	case len(newer) > 0:
		r.add(reason.FormatNewer, nowhere, "%s: only newer club players read it", strings.Join(newer, ", "))
	}
}

func kilohertz(hz int) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.3f", float64(hz)/1000), "0"), ".") + " kHz"
}
