package scan

import "dubgauge/library/track"

// hashing is a file system that has what is read of a file hashed on the way, so
// that measuring it and hashing it is one reading. It is for one file.
type hashing struct {
	FS
	whole *track.Whole
}

func (h hashing) Open(name string) (File, error) {
	f, err := h.FS.Open(name)
	if err != nil {
		return nil, err
	}
	return hashedFile{f, h.whole}, nil
}

type hashedFile struct {
	File
	whole *track.Whole
}

func (f hashedFile) ReadAt(b []byte, at int64) (int, error) {
	n, err := f.File.ReadAt(b, at)
	f.whole.Saw(f.File, b[:n], at)
	return n, err
}
