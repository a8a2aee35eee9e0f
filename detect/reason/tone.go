package reason

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Reason codes of the middle and the top; the words are the trade's.
const (
	TopDull   = "top dull"
	TopBright = "top bright"
	Harsh     = "harsh"
	Hollow    = "hollow"
	Muddy     = "muddy"
	// Unlike is said of a track that no reference is like.
	Unlike = "unlike"
)

// tones says what lies off. {off} is by how much in dB, {part} where, {group} what it is
// held against, {cure} the filter that takes it back, {or}
// what else does.
var tones = map[string]string{
	LowEndThin:  "The low end ({part}) is {off} dB thin beside {group}: {cure}.",
	LowEndHeavy: "The low end ({part}) is {off} dB heavy beside {group}: {cure}{or}.",
	SubThin:     "The sub ({part}) is {off} dB thin beside {group}: {cure}.",
	SubHeavy:    "The sub ({part}) is {off} dB heavy beside {group}, which eats the headroom of the system: {cure}.",
	TopDull:     "The top ({part}) is {off} dB dull beside {group}: {cure}.",
	TopBright:   "The top ({part}) is {off} dB bright beside {group}: {cure}.",
	Harsh:       "The presence ({part}) is {off} dB up beside {group}, which tires ears when loud: {cure}.",
	Hollow:      "The {mids} ({part}) are {off} dB down beside {group}: {cure}.",
	Muddy:       "The {mids} ({part}) are {off} dB up beside {group}: {cure}.",
}

// Filter is the shape of a broad equaliser.
type Filter int

// The filters that are advised: shelves of slope 1, a bell two octaves wide.
const (
	LowShelf Filter = iota
	HighShelf
	Bell
)

var filters = [...]string{"low shelf", "high shelf", "bell"}

// String names the filter.
func (f Filter) String() string { return filters[f] }

// MarshalText writes the name.
func (f Filter) MarshalText() ([]byte, error) { return []byte(filters[f]), nil }

// UnmarshalText reads it.
func (f *Filter) UnmarshalText(text []byte) error {
	i := slices.Index(filters[:], string(text))
	if i < 0 {
		return fmt.Errorf("no filter is called %q", text)
	}
	*f = Filter(i)
	return nil
}

// part names where the filter acts.
func (f Filter) part(hz float64) string {
	switch f {
	case LowShelf:
		return "below about " + hertz(hz)
	case HighShelf:
		return "above about " + hertz(hz)
	}
	return "about " + hertz(hz)
}

// cure says how to set it.
func (f Filter) cure(hz, dB float64) string {
	return fmt.Sprintf("%s at %s, %+.1f dB, puts it about right", [...]string{"a low shelf", "a high shelf", "a broad bell"}[f], hertz(hz), dB)
}

func hertz(hz float64) string {
	if hz >= 1000 {
		return strings.TrimSuffix(fmt.Sprintf("%.1f", hz/1000), ".0") + " kHz"
	}
	return fmt.Sprintf("%.0f Hz", hz)
}

// Tone is a part of the spectrum that lies off the references.
type Tone struct {
	Code    string
	Off     float64 // dB, above or below
	Filter  Filter
	Hz      float64
	Against Group
	// Nothing to raise: the bass plays above the sub, or there is none.
	NoSub bool
	// Behind: its peaks tell of an equaliser behind the limiter.
	Behind bool
}

// notForEQ takes the place of a setting past MaxAdvice.
const notForEQ = "no equaliser mends that: ask whether this is the right file, or go back to the mix"

// behindTheLimiter says what the peaks tell.
const behindTheLimiter = " Its peaks hit the top less often than theirs, as behind an equaliser that came after the limiter: look for it there first."

// lowMidsHz is where the low mids end.
const lowMidsHz = 560

// Sentence puts it in words.
func (t Tone) Sentence() string {
	off, cure, or := fmt.Sprintf("%.1f", math.Abs(t.Off)), t.Filter.cure(t.Hz, -t.Off), ", or the low EQ down while mixing"
	switch {
	case tenth(math.Abs(t.Off)) > MaxAdvice:
		off, cure, or = "more than 12", notForEQ, ""
	case t.NoSub && t.Off < 0 && t.Code == SubThin:
		cure = "its bass plays higher, so there is little to raise: layer a sub below it, or leave it as it is"
	}
	mids := "low mids"
	if t.Hz > lowMidsHz {
		mids = "mids"
	}
	why := ""
	if t.Behind {
		why = behindTheLimiter
	}
	return strings.NewReplacer("{off}", off, "{mids}", mids, "{part}", t.Filter.part(t.Hz), "{group}", t.Against.name(), "{cure}", cure, "{or}", or).Replace(tones[t.Code]) + why
}

// UnlikeSentence says that a track's balance was not judged, FarSentence that it was with the
// room that another kind of music needs.
const (
	UnlikeSentence = "Few records like this one in tempo, rhythm and balance: not judged in the low end, the middle and the top."
	FarSentence    = "Few records like this one in tempo and rhythm: in the low end, the middle and the top only what lies far off is said."
)
