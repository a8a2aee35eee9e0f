package stream

// Verification says how the comparison of the decoded samples with a checksum in
// the file came out.
type Verification int

const (
	NotVerified Verification = iota // not asked for, not reached, or not offered by the format
	NoChecksum                      // asked for, but the file stores none
	Matches                         // every sample is as it was encoded
	Differs                         // the samples are not those that were encoded
)

// Verifier is a Stream that can check itself against a checksum in its file. The
// answer is final after Read returned io.EOF.
type Verifier interface {
	Verified() Verification
}
