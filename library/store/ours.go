package store

import (
	"encoding/binary"
	"io"
	"os"
	"strings"
)

// applicationAt is where a database file has its application's ID, 4 bytes,
// big-endian (sqlite.org/fileformat2, 1.3).
const applicationAt = 68

// sidecars end the names of the files that SQLite keeps beside a database
// (sqlite.org/tempfiles).
var sidecars = []string{"-wal", "-shm", "-journal"}

// IsOurs tells that a file is a database of this program, or belongs to one.
func IsOurs(path string) bool {
	for _, end := range sidecars {
		if base, ok := strings.CutSuffix(path, end); ok && isDatabase(base) {
			return true
		}
	}
	return isDatabase(path)
}

func isDatabase(path string) bool {
	app, ok := application(path)
	return ok && app == applicationID
}

// application is the ID in the header of a database file; ok is false for another file.
func application(path string) (id uint32, ok bool) {
	f, err := os.Open(path)
	if err != nil {
		return 0, false
	}
	defer f.Close()
	var head [applicationAt + 4]byte
	if _, err := io.ReadFull(f, head[:]); err != nil {
		return 0, false
	}
	return binary.BigEndian.Uint32(head[applicationAt:]), strings.HasPrefix(string(head[:]), sqliteHeader)
}
