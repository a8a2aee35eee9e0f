package pcm

// SeekTo goes to a sample by its place in the file; stream.Seeker says the rest.
func (r *Reader) SeekTo(sample int64) error {
	if r.info.Frames >= 0 {
		sample = min(sample, r.info.Frames)
	}
	r.next = r.begin + sample*int64(r.frame)
	r.done, r.pending, r.err = sample, nil, nil
	return nil
}
