//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// soon is how long a scan may take to end when it is told to.
const soon = 5 * time.Second

// killed kills scans at any moment. What was stored before is there after each; a
// database that is whole before the last is begun anew.
func (t *torture) killed() (string, error) {
	db, middle := t.db("killed"), 0
	for range t.kills {
		cmd, _, err := t.scanning(db, t.music)
		if err != nil {
			return "", err
		}
		time.Sleep(t.moment() / 2)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if cmd.ProcessState.ExitCode() >= 0 {
			forget(db) // it was through
			continue
		}
		middle++
		if _, err := os.Stat(db); err != nil {
			continue // not even opened
		}
		if _, err := t.figures(db); err != nil {
			return "", fmt.Errorf("after kill %d: %w", middle, err)
		}
	}
	if err := t.scan(db, t.music); err != nil {
		return "", err
	}
	return fmt.Sprintf("%d times, %d of them in the middle; figures as they should be", t.kills, middle), t.same(db)
}

func forget(db string) {
	for _, end := range []string{"", "-wal", "-shm"} {
		_ = os.Remove(db + end)
	}
}

// stopped stops scans by signals: they end soon, and leave nothing beside the database.
func (t *torture) stopped() (string, error) {
	db, middle := t.db("stopped"), 0
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP} {
		for range t.signals {
			cmd, said, err := t.scanning(db, t.music)
			if err != nil {
				return "", err
			}
			time.Sleep(50*time.Millisecond + t.moment()/2)
			_ = cmd.Process.Signal(sig)
			ended := make(chan error, 1)
			go func() { ended <- cmd.Wait() }()
			select {
			case err := <-ended:
				if done(err) == nil {
					forget(db) // it was through
					continue
				}
				middle++
			case <-time.After(soon):
				_ = cmd.Process.Kill()
				return "", fmt.Errorf("%v: the scan still ran after %v\n%s", sig, soon, said)
			}
		}
	}
	if left, _ := filepath.Glob(filepath.Join(t.dir, ".dubgauge-*")); len(left) > 0 {
		return "", fmt.Errorf("left behind: %s", strings.Join(left, ", "))
	}
	if err := t.scan(db, t.music); err != nil {
		return "", err
	}
	return fmt.Sprintf("%d times, %d of them in the middle; figures as they should be", 3*t.signals, middle), t.same(db)
}

// fourAtOnce runs four scans on one database.
func (t *torture) fourAtOnce() (string, error) {
	db := t.db("four")
	var scans []*exec.Cmd
	for range 4 {
		cmd, _, err := t.scanning(db, t.music)
		if err != nil {
			return "", err
		}
		scans = append(scans, cmd)
	}
	for i, cmd := range scans {
		if err := done(cmd.Wait()); err != nil {
			return "", fmt.Errorf("scan %d: %w", i+1, err)
		}
	}
	return "all four ended well; figures as they should be", t.same(db)
}

// mounted has a file system of its own in dir, in memory; not without the right to.
func mounted(dir, size string) (unmount func(), err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+size, "tmpfs", dir).CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("no mount: %s", strings.TrimSpace(string(out)))
	}
	return func() { _ = exec.Command("umount", "-l", dir).Run() }, nil
}

// fullDisk has the database on a disk that is full before the scan is through; with
// room again, the scan goes on.
func (t *torture) fullDisk() (string, error) {
	dir := filepath.Join(t.dir, "small")
	unmount, err := mounted(dir, "600k")
	if err != nil {
		return "left out: " + err.Error(), nil
	}
	defer unmount()
	db := filepath.Join(dir, "library.db")
	cmd, said, err := t.scanning(db, t.music)
	if err != nil {
		return "", err
	}
	if err := done(cmd.Wait()); err == nil || !strings.Contains(said.String(), "full") {
		return "", fmt.Errorf("the scan ended with %v and says\n%s", err, said)
	}
	if out, err := exec.Command("mount", "-o", "remount,size=200m", dir).CombinedOutput(); err != nil {
		return "", fmt.Errorf("remount: %w\n%s", err, out)
	}
	if err := t.scan(db, t.music); err != nil {
		return "", err
	}
	return "named, and gone on from; figures as they should be", t.same(db)
}

// pulledStick takes the music away in the middle of the scan, and gives it back.
func (t *torture) pulledStick() (string, error) {
	dir, db := filepath.Join(t.dir, "mount"), t.db("pulled")
	plug := func() (func(), error) {
		unmount, err := mounted(dir, "1g")
		if err != nil {
			return nil, err
		}
		return unmount, exec.Command("cp", "-a", t.music+"/.", dir).Run()
	}
	unmount, err := plug()
	if unmount == nil {
		return "left out: " + err.Error(), nil
	}
	if err != nil {
		return "", err
	}
	cmd, said, err := t.scanning(db, dir)
	if err != nil {
		return "", err
	}
	time.Sleep(t.long / 3)
	unmount()
	if err := done(cmd.Wait()); err == nil {
		return "", fmt.Errorf("the scan ended as if nothing had happened:\n%s", said)
	}
	if unmount, err = plug(); err != nil {
		return "", err
	}
	defer unmount()
	if err := t.scan(db, dir); err != nil {
		return "", err
	}
	return "named, and gone on from; figures as they should be", t.same(db)
}

// copiedIn copies a file into the music while it is scanned, slowly; the next scan at
// the latest has its figures.
func (t *torture) copiedIn() (string, error) {
	const name = "Folder 0/Arriving.wav"
	db, path := t.db("copied"), filepath.Join(t.music, filepath.FromSlash(name))
	data := track(999)
	defer os.Remove(path)
	if err := os.WriteFile(path, data[:len(data)/3], 0o644); err != nil {
		return "", err
	}
	cmd, _, err := t.scanning(db, t.music)
	if err != nil {
		return "", err
	}
	time.Sleep(t.long / 4)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return "", err
	}
	if err := done(cmd.Wait()); err != nil {
		return "", err
	}
	if err := t.scan(db, t.music); err != nil {
		return "", err
	}
	got, err := t.figures(db)
	if err != nil {
		return "", err
	}
	want, err := t.fresh(t.db("copied-clean"))
	if err != nil {
		return "", err
	}
	if len(got) != len(want) {
		return "", fmt.Errorf("%d tracks, not %d", len(got), len(want))
	}
	for p := range want {
		if got[p] != want[p] {
			return "", fmt.Errorf("%s has other figures:\n%s\nwant\n%s", p, got[p], want[p])
		}
	}
	return "measured whole; figures as they should be", nil
}
