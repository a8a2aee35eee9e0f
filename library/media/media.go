// Package media tells which media are plugged in: what is mounted, and which of it can be
// taken out, so that sticks which come and go are noticed. It only looks, at lists that the
// system keeps in memory; no medium is read, so that a sleeping disk sleeps on.
package media

import (
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
)

// Medium is something mounted.
type Medium struct {
	Dir       string // absolute: the folder that it is mounted at
	Removable bool   // made to be taken out, or mounted where such media are
}

// MusicFolder is the user's folder for music; empty where there is none.
func MusicFolder() string {
	dir := xdg.UserDirs.Music
	if fi, err := os.Stat(dir); err != nil || !fi.IsDir() || !filepath.IsAbs(dir) {
		return ""
	}
	return dir
}
