#!/bin/sh
# Makes the files of this folder's files/ again. Wants ffmpeg, lame, flac, metaflac,
# mid3v2 and mutagen (Debian: python3-mutagen, for its own python3), sox and id3v2. The audio is 50 ms of
# silence or a tone; what counts is the tags. All names are invented.
set -eu
cd "$(dirname "$0")/files"
rm -f ./*
sox -q -n -r 8000 -b 16 -c 1 plain.wav synth 0.05 sine 400 vol 0.1
ffmeta() { # ffmpeg with the common metadata; a tilde stands for a space
	set -- "$@"
	out=$1; shift
	ffmpeg -hide_banner -loglevel error -y -i plain.wav -fflags +bitexact \
		-metadata title="Night Ferry" -metadata artist="Dorn Pell" -metadata album="Slipway" \
		-metadata date=2024-05-01 -metadata genre="Dub Techno" -metadata comment="Côte à quai" "$@" "$out"
}
ffmeta ffmpeg-id3v23.mp3 -id3v2_version 3 -metadata publisher="Quay Ltd" -metadata TBPM=126 -metadata TKEY=Am -metadata TSRC=QZ-ABC-24-00017
ffmeta ffmpeg-id3v24.mp3 -id3v2_version 4 -metadata publisher="Quay Ltd" -metadata CATALOGNUMBER="QUAY 017"
ffmeta ffmpeg-id3v1.mp3 -id3v2_version 0 -write_id3v2 0 -write_id3v1 1 # fills in the comment only, in UTF-8
ffmeta ffmpeg.flac -metadata LABEL="Quay Ltd" -metadata BPM=126,5 -metadata INITIALKEY="F#m"
ffmeta ffmpeg-vorbis.ogg -c:a libvorbis -ar 44100 -metadata ISRC=QZABC2400017
ffmeta ffmpeg-opus.opus -c:a libopus -ar 48000 -metadata ORGANIZATION="Quay Ltd"
ffmeta ffmpeg-flac.ogg -c:a flac -f ogg -metadata BPM=126
ffmeta ffmpeg-aac.m4a -c:a aac -ar 44100
ffmeta ffmpeg-alac.m4a -c:a alac
ffmeta ffmpeg-quicktime.mov -c:a aac -ar 44100 -f mov
ffmeta ffmpeg-info.wav
ffmeta ffmpeg-bext.wav -write_bext 1 -metadata description="Night Ferry, flat transfer" -metadata origination_date=2023-11-30
ffmeta ffmpeg.wma -c:a wmav2 -ar 44100
ffmeta ffmpeg.aiff -write_id3v2 1
ffmeta ffmpeg-text.aiff -metadata author="Dorn Pell"
ffmeta ffmpeg-rf64.wav -rf64 always
lame --quiet -b 32 --add-id3v2 --id3v2-only --tt "Night Ferry" --ta "Dorn Pell" --tl Slipway --ty 2024 --tc "Cote a quai" --tg 18 --tv TBPM=126 plain.wav lame-id3v2.mp3
lame --quiet -b 32 --id3v2-utf16 --id3v2-only --tt "Ночной паром" --ta "Dorn Pell" --tl Slipway --ty 2024 --tg Dub plain.wav lame-utf16.mp3
lame --quiet -b 32 --id3v1-only --tt "Night Ferry" --ta "Dorn Pell" --tl Slipway --ty 2024 --tc "Cote a quai" --tn 3 --tg 18 plain.wav lame-id3v1.mp3
lame --quiet -b 32 plain.wav bare.mp3
flac --silent --totally-silent -f -o metaflac.flac plain.wav
metaflac --set-tag="TITLE=Night Ferry" --set-tag="ARTIST=Dorn Pell" --set-tag="ARTIST=Ida Roke" --set-tag="ALBUM=Slipway" \
	--set-tag="DATE=2024" --set-tag="GENRE=Dub Techno" --set-tag="GENRE=House" --set-tag="LABEL=Quay Ltd" \
	--set-tag="CATALOGNUMBER=QUAY 017" --set-tag="ISRC=QZABC2400017" --set-tag="BPM=126.50" --set-tag="KEY=F# minor" metaflac.flac
cp metaflac.flac id3-in-front.flac
id3v2 -t "Wrong" -a "Wrong" id3-in-front.flac
cp bare.mp3 mid3v2.mp3
mid3v2 -t "Night Ferry" -a "Dorn Pell" -A Slipway -y 2024-05-01 -g "Dub Techno" -c "Côte à quai" --TBPM 126 --TKEY Am --TPUB "Quay Ltd" \
	--TSRC QZABC2400017 --TXXX "CATALOGNUMBER:QUAY 017" mid3v2.mp3
cp bare.mp3 id3v2-tool.mp3
id3v2 -2 -t "Night Ferry" -a "Dorn Pell" -A Slipway -y 2024 -c "Cote a quai" -g 18 id3v2-tool.mp3
cp bare.mp3 id3v1-tool.mp3
id3v2 -1 -t "Night Ferry" -a "Dorn Pell" -A Slipway -y 2024 -g 18 id3v1-tool.mp3
cp bare.mp3 mutagen-multi.mp3; cp bare.mp3 mutagen-v23.mp3; cp bare.mp3 mutagen-ape.mp3; cp bare.mp3 mutagen-picture.mp3
cp ffmpeg-aac.m4a mutagen.m4a; cp ffmpeg.wma mutagen.wma; cp metaflac.flac mutagen-picture.flac
cp plain.wav mutagen.wav; sox -q plain.wav mutagen.aiff; sox -q plain.wav --comment "On the quay" sox.aiff
cp ffmpeg-vorbis.ogg mutagen-picture.ogg
/usr/bin/python3 - <<'PY'
from mutagen.id3 import ID3, TIT2, TPE1, TALB, TCON, TBPM, TKEY, TPUB, TSRC, COMM, TXXX, TDRC, APIC
from mutagen.apev2 import APEv2
from mutagen.mp4 import MP4, MP4FreeForm
from mutagen.wave import WAVE
from mutagen.aiff import AIFF
from mutagen.asf import ASF
from mutagen.flac import FLAC, Picture
from mutagen.oggvorbis import OggVorbis
import base64
def common(t, enc):
    t.add(TIT2(encoding=enc, text=["Night Ferry"])); t.add(TPE1(encoding=enc, text=["Dorn Pell", "Ida Roke"]))
    t.add(TALB(encoding=enc, text=["Slipway"])); t.add(TCON(encoding=enc, text=["18", "Dub"]))
    t.add(TBPM(encoding=enc, text=["126"])); t.add(TKEY(encoding=enc, text=["Am"]))
    t.add(TPUB(encoding=enc, text=["Quay Ltd"])); t.add(TSRC(encoding=enc, text=["QZABC2400017"]))
    t.add(COMM(encoding=enc, lang="eng", desc="", text=["On the quay"]))
    t.add(COMM(encoding=enc, lang="eng", desc="gain", text=["0000 1111"]))
    t.add(TXXX(encoding=enc, desc="CATALOGNUMBER", text=["QUAY 017"]))
t = ID3(); common(t, 1); t.add(TDRC(encoding=1, text=["2024-05-01"])); t.save("mutagen-multi.mp3", v2_version=4)
t = ID3(); common(t, 1); t.add(TDRC(encoding=1, text=["2024-05-01"])); t.update_to_v23(); t.save("mutagen-v23.mp3", v2_version=3, v1=2)
t = ID3(); common(t, 3); t.add(APIC(encoding=3, mime="image/png", type=3, desc="front", data=b"\x89PNG" + b"\xff\x00" * 3000)); t.save("mutagen-picture.mp3", v2_version=4)
a = APEv2(); a["Title"] = "Night Ferry"; a["Artist"] = ["Dorn Pell", "Ida Roke"]; a["Album"] = "Slipway"; a["Year"] = "2024"; a["Genre"] = "Dub Techno"
a["Label"] = "Quay Ltd"; a["CatalogNumber"] = "QUAY 017"; a["ISRC"] = "QZABC2400017"; a["BPM"] = "126"; a["Comment"] = "Côte à quai"; a.save("mutagen-ape.mp3")
m = MP4("mutagen.m4a"); m["tmpo"] = [126]; m["\xa9gen"] = ["Dub Techno"]
for k, v in (("LABEL", "Quay Ltd"), ("CATALOGNUMBER", "QUAY 017"), ("ISRC", "QZABC2400017"), ("initialkey", "Am")):
    m["----:com.apple.iTunes:" + k] = [MP4FreeForm(v.encode())]
m["\xa9ART"] = ["Dorn Pell", "Ida Roke"]; m.save()
for cls, p in ((WAVE, "mutagen.wav"), (AIFF, "mutagen.aiff")):
    f = cls(p); f.add_tags(); common(f.tags, 3); f.tags.add(TDRC(encoding=3, text=["2024"])); f.save()
w = ASF("mutagen.wma"); w["WM/Publisher"] = "Quay Ltd"; w["WM/BeatsPerMinute"] = "126"; w["WM/InitialKey"] = "Am"; w["WM/ISRC"] = "QZABC2400017"; w.save()
p = Picture(); p.data = b"\x89PNG" + b"\0\xff" * 50000; p.mime = "image/png"; p.type = 3
f = FLAC("mutagen-picture.flac"); f.add_picture(p); f.save()
o = OggVorbis("mutagen-picture.ogg"); o["metadata_block_picture"] = [base64.b64encode(p.write()).decode()]; o["bpm"] = "126"; o["key"] = "Am"; o.save()
PY
rm -f plain.wav
