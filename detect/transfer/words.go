package transfer

// Severity says what a finding does to the verdict: a note changes nothing, Check
// makes it "check" at best.
type Severity int

// The severities that occur here. Nothing that a transfer leaves keeps a record from
// being played.
const (
	Note Severity = iota
	Check
)

// Place is what the verdict says of a kind.
type Place struct {
	Reason         string // code for the trim sheet
	Severity       Severity
	Effect, Remedy string // a sentence each
}

// Places holds all kinds.
var Places = map[Kind]Place{
	Clicks: {"clicks", Check,
		"Clicks from a record crack through the tweeters all along, and stand bare in the breaks.",
		"Clean the record and transfer it again, or run a click repair over a copy and listen to the hats after it."},
	ClicksFew: {"clicks", Note,
		"Now and then a click from a record comes through in the quiet parts.",
		"Listen to the break at the given places; repair single clicks in an editor."},
	Hum: {"hum", Check,
		"The subs play the hum of the mains in every break, and it beats with bass notes near it.",
		"Transfer again with the turntable's earth connected, or cut narrow notches at the hum and its multiples in the breaks."},
	HumFaint: {"hum", Note,
		"There is hum of the mains under the quiet parts, too soft to be heard over a crowd.",
		"Nothing needs doing; for a track of your own, look for the earth loop before the next transfer."},
	Rumble: {"noise", Check,
		"The cones swing at what nobody hears: headroom of the subs is lost, and the breaks rumble.",
		"Put a steep high-pass at 25 to 30 Hz on a copy, and sum the low end to mono."},
	RumbleFaint: {"noise", Note,
		"Below the music there is soft rumble, as every record leaves.",
		"Nothing needs doing; a high-pass at 25 Hz takes it out."},
	Hiss: {"noise", Check,
		"The breaks and the ends stand in hiss, which goes up with every bit of gain at the mixer.",
		"Look for a cleaner source; failing that, play it where the mix covers its quiet parts."},
	HissFaint: {"noise", Note,
		"There is soft hiss under the quiet parts.",
		"Nothing needs doing on a loud floor; don't raise the top end of the track."},
	Wow: {"wow", Check,
		"The pitch swings: held notes and vocals waver, and the track slides against a steady one in the mix.",
		"Transfer again from a record that is flat and centred; failing that, keep its blends short and away from melodies."},
	WowSlight: {"wow", Note,
		"The pitch swings a little, as on a record that is not quite centred.",
		"Listen to a held note; if it is steady enough for you, nothing needs doing."},
}
