package media

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/adrg/xdg"
	"github.com/google/go-cmp/cmp"
)

// device makes a block device in a sysfs of its own, as Linux lays it out: a link by the
// numbers to the partition's folder, which lies in the disk's.
func device(t *testing.T, sys, numbers, at, removable string) {
	t.Helper()
	part := filepath.Join(sys, "devices", filepath.FromSlash(at))
	for _, dir := range []string{part, filepath.Join(sys, "dev", "block")} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if removable != "" {
		if err := os.WriteFile(filepath.Join(filepath.Dir(part), "removable"), []byte(removable+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(part, filepath.Join(sys, "dev", "block", numbers)); err != nil {
		t.Fatal(err)
	}
}

// The lines are of the form of proc_pid_mountinfo(5), whose example has optional fields.
func TestParseMounts(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Linux alone keeps such a list")
	}
	sys := t.TempDir()
	device(t, sys, "8:17", "pci0000:00/usb2/2-1/block/sdb/sdb1", "0")
	device(t, sys, "179:1", "platform/mmc0/block/mmcblk0/mmcblk0p1", "1")
	device(t, sys, "8:1", "pci0000:00/ata1/block/sda/sda1", "0")
	const text = `21 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
22 21 0:5 / /proc rw,nosuid - proc proc rw
30 21 8:17 / /stick\040one rw,nosuid shared:7 master:2 - vfat /dev/sdb1 rw,iocharset=utf8
31 21 179:1 / /card rw - exfat /dev/mmcblk0p1 rw
32 21 8:1 /data /data rw - ext4 /dev/sda1 rw
33 21 8:1 / /media/dj/GIG\134A rw - ext4 /dev/sda1 rw
34 21 0:40 / /media/net rw - cifs //server/share rw
35 21 9:9 / /mnt/ rw - ext4 /dev/md9 rw
36 21 8:17 / /boot/efi rw - vfat /dev/sdb1 rw
37 21 0:44 / /run/user/1000 rw - tmpfs tmpfs rw
38 21 8:17 / relative rw - vfat /dev/sdb1 rw
39 21 8:17
40 21 8:17 / /short rw - vfat
41 21 8:17 / /bare rw - vfat /dev/sdb1
`
	want := []Medium{{"/", false}, {"/proc", false}, {"/stick one", true}, {"/card", true}, {"/data", false}, {`/media/dj/GIG\A`, true},
		{"/media/net", false}, {"/mnt/", false}, {"/boot/efi", false}, {"/run/user/1000", false}, {"/bare", true}}
	if d := cmp.Diff(want, parseMounts(text, sys)); d != "" {
		t.Errorf("mounts (-want +got):\n%s", d)
	}
}

func FuzzParseMounts(f *testing.F) {
	f.Add("30 21 8:17 / /stick\\040one rw,nosuid shared:7 - vfat /dev/sdb1 rw\n")
	f.Add("- - - - - - - -\n1 2 3:4 / / - -")
	f.Fuzz(func(t *testing.T, text string) {
		for _, m := range parseMounts(text, "/nowhere") {
			if m.Dir == "" || m.Dir[0] != '/' {
				t.Errorf("a medium at %q", m.Dir)
			}
		}
	})
}

// What this machine says of itself can be read, and is read the same twice.
func TestRead(t *testing.T) {
	if runtime.GOOS != "linux" && runtime.GOOS != "windows" && runtime.GOOS != "darwin" {
		t.Skip("no list of media is known on " + runtime.GOOS)
	}
	first, err := Read()
	if err != nil {
		t.Fatal(err)
	}
	if second, err := Read(); err != nil || len(first) == 0 || second[0] != first[0] {
		t.Errorf("%d media, then %v, %v", len(first), second, err)
	}
}

func TestMusicFolder(t *testing.T) {
	defer func(d string) { xdg.UserDirs.Music = d }(xdg.UserDirs.Music)
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for at, want := range map[string]string{dir: dir, file: "", filepath.Join(dir, "none"): "", "": "", ".": ""} {
		if xdg.UserDirs.Music = at; MusicFolder() != want {
			t.Errorf("%q gives %q", at, MusicFolder())
		}
	}
}
