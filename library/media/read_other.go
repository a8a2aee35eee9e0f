//go:build !linux && !windows

package media

import (
	"os"
	"path/filepath"
)

// volumes is where macOS mounts media; the system's own disk is a link there.
const volumes = "/Volumes"

// Read lists what is mounted below volumes.
func Read() ([]Medium, error) { return readVolumes(volumes) }

func readVolumes(at string) ([]Medium, error) {
	entries, err := os.ReadDir(at)
	if err != nil {
		return nil, err
	}
	var all []Medium
	for _, e := range entries {
		if e.IsDir() {
			all = append(all, Medium{Dir: filepath.Join(at, e.Name()), Removable: true})
		}
	}
	return all, nil
}
