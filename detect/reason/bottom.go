package reason

import (
	"fmt"
	"math"
)

// What is advised of kick and bass. Neither changes a verdict.
const (
	KickBuried     = "kick buried"
	SubOnKick      = "sub on top of the kick"
	SubAgainstKick = "sub against the kick"
)

// Bottom is how kick and bass share the bottom: dB, seconds, hertz; NaN where unknown.
type Bottom struct {
	OverBass, Dip, Back float64
	Note                string // empty without a steady one
	Cents, Hz, Up       float64
	InKey               *bool // nil without a key
	Held                int   // kicks that the sub runs on through
	Sum, Worst          float64
}

// subTo is where the sub ends and the bass begins, Hz: as the low end is measured.
const subTo = 60.0

// deepestDip is more than is told apart, and leastDip less than is one, dB.
const (
	deepestDip = 24.0
	leastDip   = 0.5
)

// Sentences says what is known.
func (b Bottom) Sentences() []string {
	var out []string
	if !math.IsNaN(b.OverBass) {
		over := "over"
		if b.OverBass < 0 {
			over = "under"
		}
		s := fmt.Sprintf("Kick %s dB %s the bass between the kicks", size(b.OverBass), over)
		switch {
		case b.Dip >= deepestDip:
			s += ", which goes down by 24 dB or more where it is held through them"
		case b.Dip < leastDip:
			s += ", which does not go down where it is held through them"
		case !math.IsNaN(b.Dip):
			s += fmt.Sprintf(", which goes down by %s dB where it is held through them", size(b.Dip))
		}
		if !math.IsNaN(b.Back) {
			s += fmt.Sprintf(" and is back after %.0f ms", 1000*b.Back)
		}
		out = append(out, s+".")
	}
	if b.Held > 0 {
		out = append(out, fmt.Sprintf("The sub runs on through the kicks: at the attack both together have %+.1f dB of what each has alone, one kick in ten %+.1f dB or less.",
			tenth(b.Sum)+0, tenth(b.Worst)+0))
	}
	if b.Note != "" {
		part := "sub"
		if b.Hz > subTo {
			part = "bass"
		}
		s := fmt.Sprintf("The note most heard in the %s is %s, %+.0f cents (%.1f Hz)", part, b.Note, math.Round(b.Cents)+0, b.Hz)
		if b.InKey != nil && *b.InKey {
			s += ", a note of the key"
		} else if b.InKey != nil {
			s += ", no note of the key as it was measured"
		}
		if !math.IsNaN(b.Up) {
			s += fmt.Sprintf("; the %s is up for %.0f %% of the time", part, 100*b.Up)
		}
		out = append(out, s+".")
	}
	return out
}

// Buried says that the kick stands so many dB less over the bass than in the references.
func Buried(off float64) string {
	return fmt.Sprintf("Kick buried: it stands %s dB less over the bass than in your references: kick up, bass down or shorter notes, %s dB in all.",
		size(off), size(min(MaxAdvice, math.Abs(off))))
}

// OnKick says that the bass makes less room for the kick than in the references.
func OnKick(dip, theirs float64) string {
	return fmt.Sprintf("Sub on top of the kick: where it is held through a kick it goes down by %s dB, in your references by %s: duck it further, or let its notes begin behind the kick.",
		size(dip), size(theirs))
}

// AgainstKick says that kick and sub take level from each other.
func AgainstKick(worst float64) string {
	return fmt.Sprintf("Sub against the kick: by their phases one kick in ten loses %s dB or more at its attack: let the sub duck there, begin anew behind the kick, or begin each note in one phase.",
		size(worst))
}
