package reason

import (
	"fmt"
	"math"
	"strings"
)

// Reason codes of what lies off the references; those of faults and problems are given
// by Kind.Reason and ProblemKind.Reason.
const (
	Quiet         = "quiet"
	Loud          = "loud"
	LowEndThin    = "low end thin"
	LowEndHeavy   = "low end heavy"
	SubThin       = "sub thin"
	SubHeavy      = "sub heavy"
	BassThin      = "bass thin"
	BassHeavy     = "bass heavy"
	MonoLoss      = "mono loss"
	OverFullScale = "over full scale"
	TempoDrift    = "tempo drift"
)

// sentences of each deviation. {off} is how far the track lies from its references, in
// dB or LU, {value} its own figure, {loss} the same without its minus, {group} what it
// is held against, {trim} what to do about the level.
var sentences = map[string]string{
	Quiet: "{off} LU quieter than {group}: {trim}.",
	Loud:  "{off} LU louder than {group}: {trim}.",
	LowEndThin: "Low end (20 to 150 Hz) {off} dB thinner than {group}: " +
		"raise it by about {off} dB with a low shelf, or bring the low EQ up while mixing.",
	LowEndHeavy: "Low end (20 to 150 Hz) {off} dB heavier than {group}: " +
		"lower it by about {off} dB with a low shelf, or take the low EQ down while mixing.",
	SubThin: "Sub (20 to 60 Hz) {off} dB thinner than {group}: " +
		"raise it by about {off} dB below 60 Hz if there is sub to raise, or layer one.",
	SubHeavy: "Sub (20 to 60 Hz) {off} dB heavier than {group}: " +
		"lower it by about {off} dB below 60 Hz before it eats the headroom of the system.",
	BassThin: "Bass (60 to 150 Hz) {off} dB thinner than {group}: " +
		"raise it by about {off} dB between 60 and 150 Hz.",
	BassHeavy: "Bass (60 to 150 Hz) {off} dB heavier than {group}: " +
		"lower it by about {off} dB between 60 and 150 Hz.",
	MonoLoss: "The low end loses {loss} dB in mono, {off} dB more than {group}: " +
		"sum the low end to mono below about 150 Hz and listen in mono.",
	OverFullScale: "True peak {value} dB over full scale, {off} dB more than {group}: " +
		"turn it down before any stage that converts or encodes, or limit by true peak.",
}

// Deviation is a figure of a track that lies off its references.
type Deviation struct {
	Code       string  // of those above, but TempoDrift
	Value      float64 // the track's own figure
	Off        float64 // how far it lies from the references, dB or LU either way
	Against    Group
	Trim       Trim // said for Quiet and Loud
	OneChannel bool // a mono file; said for Quiet and Loud
}

// Sentence puts a deviation in words.
func (d Deviation) Sentence() string {
	trim := d.Trim.words()
	if d.OneChannel {
		trim += oneChannelWords
	}
	return strings.NewReplacer(
		"{off}", fmt.Sprintf("%.1f", math.Abs(d.Off)),
		"{value}", fmt.Sprintf("%.1f", d.Value),
		"{loss}", fmt.Sprintf("%.1f", -d.Value),
		"{group}", d.Against.words(d.Code),
		"{trim}", trim,
	).Replace(sentences[d.Code])
}

// Drift is the sentence of TempoDrift, by how much in percent.
func Drift(percent float64) string {
	return fmt.Sprintf("The tempo drifts by %.1f %%: ride the pitch, or mix short.", percent)
}
