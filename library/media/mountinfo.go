package media

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// removableAt are the folders below which media that come and go are mounted (Filesystem
// Hierarchy Standard 3.0, 3.11 and 3.12; udisks mounts below /run/media).
var removableAt = []string{"/media/", "/run/media/", "/mnt/"}

// systemAt are mounts that a system starts from, be they on a stick.
var systemAt = []string{"/", "/boot", "/boot/efi", "/efi", "/usr", "/var", "/home"}

// parseMounts reads what Linux says of mounts (proc_pid_mountinfo(5)); sys is where sysfs is.
// Lines that are not understood are passed over.
func parseMounts(text, sys string) []Medium {
	var all []Medium
	for line := range strings.Lines(text) {
		fields := strings.Fields(line)
		end := slices.Index(fields, "-") // optional fields end there: type, source, options follow
		if end < 6 || len(fields) < end+3 || !strings.HasPrefix(fields[4], "/") {
			continue
		}
		m := Medium{Dir: unescape(fields[4])}
		device := strings.HasPrefix(fields[end+2], "/dev/")
		m.Removable = device && !slices.Contains(systemAt, m.Dir) && (mountedAsRemovable(m.Dir) || onRemovable(sys, fields[2]))
		all = append(all, m)
	}
	return all
}

// unescape undoes the octal escapes of blanks and backslashes.
func unescape(s string) string {
	return strings.NewReplacer(`\040`, " ", `\011`, "\t", `\012`, "\n", `\134`, `\`).Replace(s)
}

func mountedAsRemovable(dir string) bool {
	return slices.ContainsFunc(removableAt, func(at string) bool { return strings.HasPrefix(dir, at) && len(dir) > len(at) })
}

// onRemovable tells of a block device, by its numbers, that it hangs on USB or calls itself
// removable (sysfs-block, "removable"; a partition has that of the disk above it).
func onRemovable(sys, numbers string) bool {
	dir, err := filepath.EvalSymlinks(filepath.Join(sys, "dev", "block", numbers))
	if err != nil {
		return false
	}
	if strings.Contains(filepath.ToSlash(dir), "/usb") {
		return true
	}
	for _, at := range []string{dir, filepath.Dir(dir)} {
		if flag, err := os.ReadFile(filepath.Join(at, "removable")); err == nil {
			return strings.TrimSpace(string(flag)) == "1"
		}
	}
	return false
}
