package faults

import (
	"fmt"
	"strings"

	"dubgauge/decode/stream"
	"dubgauge/detect/reason"
)

// format names what players stumble over, as far as the stream tells. Which player
// reads what is common practice, no source: all read MP3, AAC in M4A, and PCM of 16
// or 24 bit at 44.1 or 48 kHz in WAV and AIFF, in stereo.
func (m *Meter) format(r *Result) {
	refused, newer := coding(m.info)
	switch rate := m.info.SampleRate; rate {
	case 44100, 48000:
	case 88200, 96000:
		newer = append(newer, kilohertz(rate))
	default:
		if rate > 0 {
			refused = append(refused, kilohertz(rate))
		}
	}
	if n := m.info.Channels; n > 2 {
		refused = append(refused, fmt.Sprintf("%d channels", n))
	}
	switch {
	case len(refused) > 0:
		r.add(reason.Format, nowhere, "%s: many club players do not read it", strings.Join(append(refused, newer...), ", "))
	case len(newer) > 0:
		r.add(reason.FormatNewer, nowhere, "%s: only newer club players read it", strings.Join(newer, ", "))
	}
}

// coding names what players stumble over in how samples are kept.
func coding(i stream.Info) (refused, newer []string) {
	depth := fmt.Sprintf("%d bit", i.BitDepth)
	pcm := strings.HasPrefix(i.Codec, "pcm_")
	switch {
	case strings.HasPrefix(i.Codec, "pcm_f"):
		refused = append(refused, "floating point, "+depth)
	case pcm && i.BitDepth != 16 && i.BitDepth != 24:
		refused = append(refused, depth)
	case pcm, i.Codec == "mp3", i.Codec == "aac", i.Codec == "":
	case i.Codec == "flac" || i.Codec == "alac":
		newer = append(newer, strings.ToUpper(i.Codec))
		if i.BitDepth > 24 {
			refused = append(refused, depth)
		}
	default:
		refused = append(refused, i.Codec)
	}
	return refused, newer
}

func kilohertz(hz int) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.3f", float64(hz)/1000), "0"), ".") + " kHz"
}
