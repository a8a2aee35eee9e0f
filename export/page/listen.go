package page

// Listen is what the page needs to play a track beside its references.
type Listen struct {
	Track      Side
	References []Side
	Seconds    int
}

// Side is one of two tracks to listen to: its level in LUFS as it is played, by how
// many dB its segment is turned down before it is sent, and its trim in dB, as numbers
// for scripts.
type Side struct {
	ID                   int64
	Label                string
	LUFS, Headroom, Trim string
}
