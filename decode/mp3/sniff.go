package mp3

// Sniff tells whether head, the first bytes of a file, may be the start of an
// MPEG audio stream of any layer: it holds frames in a row, after junk perhaps, or an
// ID3v2 tag that is longer than head. As other formats can carry such a tag
// too, ask for them first. 8 KB of head hold four frames of every bit rate of the tables.
func Sniff(head []byte) bool {
	for {
		n := id3v2Length(head)
		if n == 0 {
			break
		}
		if n+headerBytes > int64(len(head)) {
			return true
		}
		head = head[n:]
	}
	var f framer
	for i := range head {
		if head[i] != 0xFF {
			continue
		}
		if _, ok := f.accept(head[i:], true); ok {
			return true
		}
	}
	return false
}
