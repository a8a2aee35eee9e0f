package decode

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode/need"
)

// TestHealthy makes files with every writer at hand, with odd but legal options, and
// counts those that are called damaged or truncated: none may be.
func TestHealthy(t *testing.T) {
	_, full := tableSeeds(t)
	sound := music16(44100)
	tally := healthTally{}
	for i, args := range healthyFiles() {
		if !full && i%17 != 0 {
			continue
		}
		tally.judge(t, args, made(t, sound, args))
	}
	t.Logf("%d false alarms and %d remarks on %d healthy files", tally.alarms, tally.odd, tally.files)
}

// TestHealthyTags does the same for files whose tags mutagen has written: behind, in
// front of and between the chunks, boxes, pages and blocks of the sound. The samples
// must be those of the file without them.
func TestHealthyTags(t *testing.T) {
	_, full := tableSeeds(t)
	python := pythonWithMutagen(t)
	sound := music16(44100)
	tally := healthTally{}
	for i, c := range taggedFiles {
		path := made(t, sound, c.args)
		_, want, _ := readWhole(t, path)
		for k, way := range strings.Fields(c.ways) {
			if !full && (i+k)%5 != 0 {
				continue
			}
			tagged := filepath.Join(t.TempDir(), way+filepath.Ext(path))
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			write(t, tagged, b)
			run(t, nil, python, "-c", mutagenWays, way, tagged)
			if got := tally.judge(t, c.args+", "+way, tagged); !sameSamples(got, want) {
				t.Errorf("%s, %s: other samples than without the tags", c.args, way)
			}
		}
	}
	t.Logf("%d false alarms and %d remarks on %d files with tags by mutagen", tally.alarms, tally.odd, tally.files)
}

// healthTally counts files and what was wrongly said of them.
type healthTally struct{ alarms, odd, files int }

// judge reads a healthy file of a second of sound.
func (y *healthTally) judge(t *testing.T, what, path string) [][]float32 {
	t.Helper()
	info, got, faults := readWhole(t, path)
	y.files++
	if len(got[0]) < info.SampleRate*9/10 {
		t.Errorf("%s: %d samples", what, len(got[0]))
	}
	if len(faults) > 0 {
		t.Errorf("%s: %v", what, faults)
		if slices.ContainsFunc(faults, func(f Error) bool { return f.Kind != Unsupported }) {
			y.alarms++
		} else {
			y.odd++
		}
	}
	return got
}

// made runs a command of healthyFiles on the sound and gives the path of the file.
func made(t *testing.T, sound []byte, args string) string {
	t.Helper()
	fields := strings.Fields(args)
	need.Program(t, fields[0])
	path := filepath.Join(t.TempDir(), "t"+fields[len(fields)-1])
	fields[len(fields)-1] = path
	run(t, sound, fields[0], fields[1:]...)
	return path
}

// pythonWithMutagen gives a Python that has mutagen. A distribution's package is for
// its own Python, which may not be the first on the PATH.
func pythonWithMutagen(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import mutagen").Run() == nil {
			return name
		}
	}
	need.Absent(t, "no python3 with mutagen is installed")
	return ""
}

// taggedFiles are files by the commands of healthyFiles, and ways of mutagenWays to
// write tags into them.
var taggedFiles = []struct{ args, ways string }{
	{"lame --quiet -r -s 44.1 --bitwidth 16 -b 128 - .mp3", id3Ways + " ape ape+v1 ape+id3 lots+ape"},
	{"lame --quiet -r -s 44.1 --bitwidth 16 -b 128 -t -p - .mp3", id3Ways + " ape ape+v1 ape+id3 lots+ape"},
	{"lame --quiet -r -s 44.1 --bitwidth 16 -V 2 - .mp3", id3Ways + " ape ape+v1 ape+id3"},
	{"lame --quiet -r -s 44.1 --bitwidth 16 --freeformat -b 400 - .mp3", "v24 v23 picture ape+v1"},
	{"lame --quiet -r -s 44.1 --bitwidth 16 --resample 22.05 -m m -b 32 - .mp3", "v24 v23 picture ape+v1"},
	{"flac --silent --force-raw-format --endian=little --sign=signed --sample-rate=44100 --bps=16 --channels=2 - -o .flac", "comments picture nopad bigpad twice deleted v24 v23"},
	{ffmpegRaw + " -c:a pcm_s16le .wav", "chunk bigchunk oddchunk twicechunk deletedchunk"},
	{ffmpegRaw + " -c:a pcm_s24le -rf64 never .wav", "chunk oddchunk"},
	{ffmpegRaw + " -c:a pcm_s16be .aiff", "chunk bigchunk oddchunk twicechunk deletedchunk"},
	{ffmpegRaw + " -c:a aac .m4a", "items picture nopad bigpad twice deleted"},
	{ffmpegRaw + " -c:a aac -movflags +faststart .m4a", "items picture nopad bigpad twice deleted"},
	{ffmpegRaw + " -c:a alac .m4a", "items picture nopad"},
	{ffmpegRaw + " -c:a libvorbis .ogg", "comments picture nopad bigpad twice deleted"},
	{ffmpegRaw + " -c:a libopus .opus", "comments picture nopad bigpad"},
	{ffmpegRaw + " -c:a flac .ogg", "comments picture"},
	{ffmpegRaw + " -c:a wmav2 .wma", "comments nopad bigpad twice"},
	{ffmpegRaw + " -c:a wavpack .wv", "ape ape+v1"},
	{ffmpegRaw + " -c:a tta .tta", "v24"},
	{ffmpegRaw + " -c:a aac .aac", "v24 v23 picture"},
}

const id3Ways = "v24 v24nopad v24bigpad v23 v23+v1 utf16 picture twice shrunk deleted"

// mutagenWays is the program that writes the tags: the way, then the file.
const mutagenWays = `
import sys
import mutagen
from mutagen.id3 import ID3, TIT2, TPE1, COMM, TXXX, APIC, PRIV
from mutagen.apev2 import APEv2
from mutagen.flac import FLAC, Picture
way, path = sys.argv[1:]
jpeg = b"\xff\xd8\xff\xe0" + bytes((i * i * 7 + i) % 256 for i in range(90001)) + b"\xff\xfb\x90\x64" * 50
def pad(n): return lambda info: n
def id3(e=3):
    t = ID3()
    t.add(TIT2(encoding=e, text=["Night Ferry"])); t.add(TPE1(encoding=e, text=["Dorn Pell", "Ida Röke"]))
    t.add(COMM(encoding=e, lang="eng", desc="", text=["Côte à quai"])); t.add(TXXX(encoding=e, desc="QUAY", text=["\u00ff\u00fb"]))
    t.add(PRIV(owner="quay", data=b"\xff\xfb\x90\x64" * 20))
    return t
def ape():
    a = APEv2(); a["Title"] = "Night Ferry"; a["Artist"] = ["Dorn Pell", "Ida Röke"]; a.save(path)
if way == "v24": id3().save(path)
elif way == "v24nopad": id3().save(path, padding=pad(0))
elif way == "v24bigpad": id3().save(path, padding=pad(200000))
elif way == "v23": t = id3(1); t.update_to_v23(); t.save(path, v2_version=3)
elif way == "v23+v1": t = id3(1); t.update_to_v23(); t.save(path, v2_version=3, v1=2)
elif way == "utf16": id3(1).save(path)
elif way in ("twice", "shrunk", "deleted") and path.endswith("mp3"):
    t = id3(); t.add(APIC(encoding=3, mime="image/jpeg", type=3, desc="", data=jpeg)); t.save(path)
    if way == "twice": id3().save(path, padding=pad(7))
    if way == "shrunk": t = ID3(path); t.delall("APIC"); t.save(path)
    if way == "deleted": ID3(path).delete(path)
elif way == "ape": ape()
elif way == "ape+v1": id3(0).save(path, v1=2); ID3(path).delete(path, delete_v1=False); ape()
elif way == "ape+id3": id3().save(path, v1=2); ape()
elif way == "lots+ape":
    t = id3(); t.add(APIC(encoding=3, mime="image/jpeg", type=3, desc="", data=jpeg * 8)); t.save(path, v1=2); ape()
elif way == "picture" and path.endswith(("mp3", "aac")):
    t = id3(); t.add(APIC(encoding=3, mime="image/jpeg", type=3, desc="", data=jpeg)); t.save(path)
elif way.endswith("chunk"):
    f = mutagen.File(path); f.add_tags()
    for fr in id3().values(): f.tags.add(fr)
    if way != "chunk": f.tags.add(APIC(encoding=3, mime="image/jpeg", type=3, desc="", data=jpeg * 8 if way == "bigchunk" else jpeg[:90000]))
    f.save(padding=pad(1 if way == "oddchunk" else 0))
    if way == "twicechunk": f = mutagen.File(path); f.tags.delall("APIC"); f.save()
    if way == "deletedchunk": mutagen.File(path).delete()
else:
    f = mutagen.File(path)
    if f.tags is None: f.add_tags()
    if path.endswith("m4a"): f["\xa9nam"] = ["Night Ferry"]; f["tmpo"] = [126]; f["----:com.apple.iTunes:LABEL"] = [b"Quay"]
    elif path.endswith("wma"): f["Title"] = ["Night Ferry"]; f["WM/Publisher"] = ["Quay"]
    else: f["title"] = ["Night Ferry"]; f["artist"] = ["Dorn Pell", "Ida Röke"]
    if way in ("picture", "twice", "deleted"):
        if path.endswith("m4a"): f["covr"] = [mutagen.mp4.MP4Cover(jpeg)]
        elif path.endswith("wma"): f["Own"] = ["x" * 60000]
        else:
            p = Picture(); p.type = 3; p.mime = "image/jpeg"; p.data = jpeg
            if path.endswith("flac"): f.add_picture(p)
            else:
                import base64; f["metadata_block_picture"] = [base64.b64encode(p.write()).decode()]
    f.save(padding=pad({"nopad": 0, "bigpad": 100000}.get(way, 500)))
    if way == "twice":
        f = mutagen.File(path)
        for k in ("covr", "metadata_block_picture", "Own"):
            if k in f: del f[k]
        f.save()
    if way == "deleted": mutagen.File(path).delete()
`

const ffmpegRaw = "ffmpeg -loglevel error -f s16le -ar 44100 -ac 2 -i pipe:0"

// healthyFiles are commands that make a file of the sound that they are fed, the name
// of the file, of which only the ending counts, last.
func healthyFiles() (all []string) {
	add := func(format string, list ...string) {
		for _, v := range list {
			all = append(all, fmt.Sprintf(format, v))
		}
	}
	lame := "lame --quiet -r -s 44.1 --bitwidth 16 %s - .mp3"
	for _, kbps := range []int{32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320} {
		for _, o := range []string{"", "-t", "-p", "-m s --nores"} {
			add(lame, fmt.Sprintf("-b %d %s", kbps, o))
		}
	}
	for v := range 10 {
		add(lame, fmt.Sprintf("-V %d", v), fmt.Sprintf("-V %d -t -p", v), fmt.Sprintf("-V %d -m m", v))
	}
	for _, abr := range []int{60, 99, 140, 201, 310} {
		add(lame, fmt.Sprintf("--abr %d", abr), fmt.Sprintf("--abr %d -p", abr))
	}
	for _, rate := range []string{"48", "32", "24", "22.05", "16", "12", "11.025", "8"} {
		add(lame, "--resample "+rate, "--resample "+rate+" -m m", "--resample "+rate+" -V 4 -p")
	}
	add(lame, "--freeformat -b 400", "--freeformat -b 150", "--freeformat -b 640 -p", "-m d -b 192", "-m f -b 128", "--allshort -b 128",
		"--noshort -b 128", "--strictly-enforce-ISO -b 320", "--id3v1-only --tt x", "--id3v2-only --tt x", "--add-id3v2 --pad-id3v2 --tt x", "--id3v2-utf16 --tt x",
		"-e n", "-e 5", "-e c", "-c -o", "--scale 3 -b 320", "--scale 0.001", "--preset insane", "--replaygain-accurate")
	ffmpeg := ffmpegRaw + " %s"
	for _, codec := range []string{"pcm_u8", "pcm_s16le", "pcm_s24le", "pcm_s32le", "pcm_f32le", "pcm_f64le", "pcm_alaw", "pcm_mulaw"} {
		for _, o := range []string{"", "-ar 96000", "-ac 1", "-rf64 always", "-write_bext 1 -metadata title=x"} {
			add(ffmpeg, "-c:a "+codec+" "+o+" .wav")
		}
		add(ffmpeg, "-c:a "+codec+" .w64")
	}
	for _, codec := range []string{"pcm_s8", "pcm_s16be", "pcm_s16le", "pcm_s24be", "pcm_s32be", "pcm_f32be", "pcm_f64be"} {
		add(ffmpeg, "-c:a "+codec+" .aiff", "-c:a "+codec+" -ac 1 -ar 48000 -write_id3v2 1 -metadata title=x .aiff")
	}
	for level := range 13 {
		add(ffmpeg, fmt.Sprintf("-compression_level %d .flac", level))
	}
	add(ffmpeg, "-b:a 128k -write_xing 0 .mp3", "-q:a 3 -id3v2_version 3 -metadata title=x .mp3", "-write_id3v1 1 -b:a 96k -reservoir 0 .mp3", "-abr 1 -b:a 190k .mp3",
		"-c:a libshine -b:a 128k .mp3", "-c:a libshine -b:a 64k -ac 1 .mp3", "-c:a aac .m4a", "-c:a aac -movflags +faststart .m4a", "-c:a aac -movflags +frag_keyframe .m4a",
		"-c:a aac -b:a 64k -ac 1 .aac", "-c:a aac .aac", "-c:a alac .m4a", "-c:a libvorbis .ogg", "-c:a libvorbis -q:a 9 -page_duration 10000 .ogg", "-c:a libopus .opus", "-c:a libopus -b:a 24k -ac 1 .ogg",
		"-c:a flac .ogg", "-c:a mp2 .mp2", "-c:a wmav2 .wma", "-c:a tta .tta", "-c:a wavpack .wv", "-c:a pcm_s16be .caf", "-c:a adpcm_ms .wav")
	flac := "flac --silent --force-raw-format --endian=little --sign=signed --sample-rate=44100 --bps=16 --channels=2 %s - -o .flac"
	for level := range 9 {
		add(flac, fmt.Sprintf("-%d", level))
	}
	add(flac, "--lax -b 100", "-b 4608", "--padding=0 --no-padding", "--padding=70000", "--lax -l 32 -b 16384", "-T TITLE=x", "--no-seektable", "-S 10x", "-e -p -8")
	sox := "sox -D -t raw -r 44100 -e signed -b 16 -c 2 - %s"
	add(sox, "-b 8 .wav", "-b 16 .wav", "-b 24 .wav", "-b 32 .wav", "-e float -b 32 .wav", "-e float -b 64 .wav", "-b 16 -B .wav", "-b 24 -B .wav", "-b 16 -c 1 .wav", "-b 16 -r 8000 .wav", "-e a-law .wav", "-e mu-law .wav",
		"-b 8 .aiff", "-b 16 .aiff", "-b 24 .aiff", "-b 32 .aiff", "-b 16 .aiffc", "-b 16 .flac", "-b 24 .flac", "-b 24 .w64", ".ogg", ".au")
	return all
}
