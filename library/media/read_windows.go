package media

import (
	"os"
	"strings"
	"syscall"
	"unsafe"
)

// Kinds of drives (GetDriveTypeW). Sticks are removable, many external disks fixed.
const (
	driveRemovable = 2
	driveFixed     = 3
)

var (
	kernel        = syscall.NewLazyDLL("kernel32.dll")
	logicalDrives = kernel.NewProc("GetLogicalDrives")
	driveType     = kernel.NewProc("GetDriveTypeW")
)

// Read lists the drives by their letters; all but the system's own count as removable.
func Read() ([]Medium, error) {
	bits, _, err := logicalDrives.Call()
	if bits == 0 {
		return nil, err
	}
	var all []Medium
	for i := range 26 {
		if bits&(1<<i) == 0 {
			continue
		}
		dir := string(rune('A'+i)) + `:\`
		name, err := syscall.UTF16PtrFromString(dir)
		if err != nil {
			return nil, err
		}
		kind, _, _ := driveType.Call(uintptr(unsafe.Pointer(name)))
		own := strings.EqualFold(os.Getenv("SystemDrive")+`\`, dir)
		all = append(all, Medium{Dir: dir, Removable: kind == driveRemovable || kind == driveFixed && !own})
	}
	return all, nil
}
