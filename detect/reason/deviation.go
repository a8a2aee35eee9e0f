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
	MonoLoss      = "mono loss"
	OverFullScale = "over full scale"
	TempoDrift    = "tempo drift"
	TempoChange   = "tempo change"
	KeyChange     = "key change"
)

// sentences of each deviation. {off} is how far the track lies from its references, in
// dB or LU, {value} its own figure, {loss} the same without its minus, {group} what it is
// held against, {trim} what to do about the level.
var sentences = map[string]string{
	Quiet: "{off} LU quieter than {group}{trim}",
	Loud:  "{off} LU louder than {group}{trim}",
	LowEndThin: "Low end (20 to 150 Hz) {off} dB thinner than {group}: " +
		"raise it by about {off} dB with a low shelf, or bring the low EQ up while mixing.",
	LowEndHeavy: "Low end (20 to 150 Hz) {off} dB heavier than {group}: " +
		"lower it by about {off} dB with a low shelf, or take the low EQ down while mixing.",
	MonoLoss: "The low end loses {loss} dB in mono, {off} dB more than {group}: " +
		"sum the low end to mono below about 150 Hz and listen in mono.",
	OverFullScale: "True peak {value} dB over full scale, {off} dB more than {group}: " +
		"turn it down before any stage that converts or encodes, or limit by true peak.",
}

// Deviation is a figure of a track that lies off its references.
type Deviation struct {
	Code    string  // of those above, but TempoDrift, TempoChange and KeyChange
	Value   float64 // the track's own figure
	Off     float64 // how far it lies from the references, dB or LU either way
	Against Group
	Trim    Trim // said for Quiet and Loud
	// Answered tells that a fault of that code is named too, whose remedy serves.
	Answered bool
}

// Sentence puts a deviation in words.
func (d Deviation) Sentence() string {
	return strings.NewReplacer(
		"{off}", size(d.off()),
		"{value}", size(d.Value),
		"{loss}", size(d.Value),
		"{group}", d.Against.words(d.Code),
		"{trim}", d.Trim.after(),
	).Replace(d.template())
}

// tooMuch takes the place of a remedy in dB that would be past MaxAdvice.
var tooMuch = fmt.Sprintf("{group}. More than %.0f dB is too much for an EQ: is this the finished file?", MaxAdvice)

// nothingLeft in dB is from which loss on nothing is left of a sound in mono: a ten-thousandth of
// its power, which is not heard under what stays of the music. Our judgement, no source.
const nothingLeft = 40.0

// NothingLeft tells of a level in mono, in dB over that of both channels, that nothing is left.
func NothingLeft(dB float64) bool { return dB <= -nothingLeft }

// mostSummed in dB is the loss to which what is left in mono is worth more than what is lost: half of
// the amplitude. Beyond it the channels work against each other, and their sum is the fault itself.
const mostSummed = 6.0

// oneForBoth is what to do about it then.
const oneForBoth = "use the low end of one channel for both below about 150 Hz, and listen in mono; summed as it is, it cancels."

// noneInMono is said in place of a figure that tells nobody anything. What cancels is not summed.
const noneInMono = "Nothing is left of the low end in mono, against {group}: " +
	"invert one channel below about 150 Hz, and listen in mono."

// template is the sentence with its figures left out.
func (d Deviation) template() string {
	sentence := sentences[d.Code]
	if d.Code == MonoLoss && NothingLeft(d.Value) {
		sentence = noneInMono
	}
	what, remedy, _ := strings.Cut(sentence, "{group}: ")
	if d.Answered && remedy != "" {
		return what + "{group}."
	}
	if d.Code == MonoLoss && tenth(math.Abs(d.Value)) > mostSummed && !NothingLeft(d.Value) {
		return what + "{group}: " + oneForBoth
	}
	if tenth(math.Abs(d.off())) > MaxAdvice && strings.Contains(remedy, "{off}") {
		return what + tooMuch
	}
	return sentence
}

// off is how far the track lies from its references. Where its own figure and theirs
// stand in the same sentence, it is the difference of these as they are written.
func (d Deviation) off() float64 {
	if d.Code == MonoLoss || d.Code == OverFullScale {
		return tenth(d.Value) - tenth(d.Against.Centre)
	}
	return d.Off
}

// tenth rounds to 0.1, halves away from zero: as trims are, so that both signs of a
// figure are written alike. There is no negative zero.
func tenth(v float64) float64 { return math.Round(v*10)/10 + 0 }

// size writes a figure without its sign.
func size(v float64) string { return fmt.Sprintf("%.1f", tenth(math.Abs(v))) }

// Drift is the sentence of TempoDrift, by how much in percent.
func Drift(percent float64) string {
	return fmt.Sprintf("The tempo drifts by %.1f %%: ride the pitch, or mix short.", percent)
}

// Modulation is the sentence of KeyChange: where, in seconds, between which keys, and how
// many further changes follow.
func Modulation(at float64, from, to string, more int) string {
	then := ""
	if more > 0 {
		then = ", and again later"
	}
	return fmt.Sprintf("The key changes from %s to %s at %s%s: mix by the key of the part that plays.", from, to, Clock(at), then)
}

// Change is the sentence of TempoChange: where, in seconds, and between which tempi in BPM.
func Change(at, from, to float64) string {
	return fmt.Sprintf("The tempo changes from %.1f to %.1f BPM at %s: set the pitch for the part that is mixed.", from, to, Clock(at))
}
