"""Any recording decodes to its sound, on the clock a player shows; of what is damaged the rest is read and told."""

import hashlib
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import av
import numpy as np
import pytest

from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, Sound, decode
from extractor.listening.track import PAUSED

#: name, codec: one row for each container people record into
CONTAINERS = [
    ("note.wav", "pcm_s16le"),
    ("note.flac", "flac"),
    ("note.mp3", "libmp3lame"),
    ("note.m4a", "aac"),
    ("note.aac", "aac"),
    ("note.ogg", "libopus"),
    ("note.opus", "libopus"),
    ("note.webm", "libopus"),
    ("note.mkv", "libopus"),
    ("note.caf", "pcm_s16le"),
    ("note.aiff", "pcm_s16be"),
    ("note.ts", "aac"),
]
PLACES = dict(CONTAINERS)


@pytest.mark.parametrize(("name", "codec"), CONTAINERS, ids=lambda value: value)
def test_decodes_every_common_container(record, make, name, codec):
    path = record(name, make("tone", 3), codec)
    sound = decode(path)
    assert sound.name == name
    assert sound.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert sound.samples[:].dtype == np.float32
    assert sound.samples[:].ndim == 1
    assert sound.duration_ms == pytest.approx(3000, abs=60)
    assert 0.15 < np.abs(sound.samples[:]).max() < 0.3
    assert sound.holes == ()
    assert sound.faults == ()


def test_decodes_the_sound_of_a_video(record, make):
    assert decode(record("film.mp4", make("tone", 2), "aac", picture=True)).duration_ms == pytest.approx(2000, abs=60)


def test_is_told_by_content_not_by_name(record, make):
    path = record("note.wav", make("tone", 1))
    assert decode(path.rename(path.with_name("note.txt"))).duration_ms == 1000


def test_a_change_of_rate_on_the_way_is_followed(record, make):
    first = record("1.mp3", make("tone", 2), "libmp3lame", rate=48_000, write_xing="0")
    second = record("2.mp3", make("tone", 2), "libmp3lame", rate=32_000, write_xing="0")
    both = first.with_name("both.mp3")
    both.write_bytes(first.read_bytes() + second.read_bytes())
    assert decode(both).duration_ms == pytest.approx(4000, abs=200)


def test_a_pause_of_the_recorder_becomes_silence(record, make):
    sound = decode(record("note.mkv", make("tone", 4), "libopus", jumps=((2.0, 3.0),)))
    assert sound.duration_ms == pytest.approx(7000, abs=100)
    (hole,) = sound.holes
    assert (hole.start_ms, hole.end_ms) == (pytest.approx(2000, abs=100), pytest.approx(5000, abs=100))
    assert (hole.why, hole.recorded) == ("no sound here: the recorder paused, or that part of the file is lost", False)
    assert not sound.cut(hole.start_ms + 100, hole.end_ms - 100).any()
    (fault,) = sound.faults
    assert f"note.mkv, 0:00:0{hole.start_ms // 1000} to 0:00:0{hole.end_ms // 1000}: no sound here" in fault


def told_time(at_s: float = 0.5, steps: int = 80) -> np.ndarray:
    """A sound that tells its time: each half second has its own pitch."""
    at = np.arange(int(steps * at_s * RATE)) / RATE
    return 0.3 * np.sin(2 * np.pi * np.cumsum(400 + 25 * (at // at_s)) / RATE)


def late_ms(sound: Sound, at_ms: int) -> int | None:
    """How much later than told what is heard at a time is, in half seconds; None where nothing is heard."""
    heard = sound.cut(at_ms + 150, at_ms + 350)
    if np.abs(heard).max(initial=0) < 0.02:
        return None
    pitch = np.abs(np.fft.rfft(heard * np.hanning(len(heard)), RATE)).argmax()
    return at_ms - 500 * round((pitch - 400) / 25)


#: name, what the middle tenth becomes, and whether what comes after keeps its time
DAMAGE = [
    *((name, how, True) for name in ("note.flac", "note.ogg", "note.mkv", "note.ts") for how in ("noise", "gone")),
    *((name, how, True) for name in ("note.mp3", "note.m4a") for how in ("noise", "zeros")),
    ("note.mp3", "gone", False),
    ("note.aac", "zeros", False),
]


@pytest.mark.parametrize(("name", "how", "keeps_time"), DAMAGE, ids=[f"{name} {how}" for name, how, _ in DAMAGE])
def test_what_is_damaged_is_a_hole_and_the_rest_keeps_its_time(record, name, how, keeps_time):
    path = record(name, told_time(), PLACES[name])
    whole = path.read_bytes()
    first, past = len(whole) * 45 // 100, len(whole) * 55 // 100
    middle = {"noise": np.random.default_rng(3).bytes(past - first), "zeros": bytes(past - first), "gone": b""}[how]
    path.write_bytes(whole[:first] + middle + whole[past:])
    sound = decode(path)
    told = {late_ms(sound, at_ms) for at_ms in (*range(0, 17_000, 500), *range(25_500, 34_000, 500))}
    assert (told <= {0, None}) is keeps_time
    assert late_ms(sound, 15_000) == 0
    assert any(15_000 < hole.start_ms < 22_000 for hole in sound.holes)
    if not keeps_time:  # then it says so
        assert "how much is lost is a guess" in sound.faults[0]
    elif name != "note.mp3":
        assert late_ms(sound, 38_000) == 0


#: id: the bytes that are zeros, and whether they count as lost
BLANK = {
    "a block": (4096 * 100, 4096 * 101, True),
    "many blocks": (4096 * 100, 4096 * 300, True),
    "to the end": (4096 * 300, None, True),
    "a muted recorder": (4096 * 100 + 1000, 4096 * 300 + 500, False),
    "mute until a block's end": (4096 * 100 + 1000, 4096 * 300, False),
    "less than a block": (4096 * 100, 4096 * 100 + 4000, False),
}


@pytest.mark.parametrize(("first", "past", "is_lost"), BLANK.values(), ids=BLANK)
def test_blocks_of_a_wav_file_that_were_lost_in_copying_are_told(record, make, first, past, is_lost):
    path = record("note.wav", make("pink noise", 60), rate=16_000)
    spoilt = bytearray(path.read_bytes())
    past = past or len(spoilt)
    data = spoilt.index(b"data") + 8
    spoilt[first:past] = bytes(past - first)
    path.write_bytes(spoilt)
    expected = [(round((first - data) / 32), round((past - data) / 32))] if is_lost else []
    assert [(hole.start_ms, hole.end_ms) for hole in decode(path).holes] == expected


def test_of_many_faults_the_first_are_told_one_by_one(record):
    path = record("note.mkv", told_time(), "libopus", jumps=tuple((2.0 * i, 1.0) for i in range(1, 12)))
    sound = decode(path)
    assert len(sound.holes) == 11
    assert len(sound.faults) == 6
    assert sound.faults[-1].startswith(f"{path}: 6 more such places")


@pytest.mark.parametrize("drift", [0.005, -0.005], ids=["faster clock", "slower clock"])
def test_a_clock_that_runs_away_from_the_sound_is_followed(record, drift):
    """Half a second in forty: the sound is stretched, nothing is cut and there is no hole."""
    leaps = tuple((0.4 * i, drift) for i in range(1, 100))
    sound = decode(record("note.mkv", told_time(), "libopus", jumps=leaps))
    assert sound.holes == ()
    assert sound.duration_ms == pytest.approx(40_000 + 99_000 * drift, abs=120)
    assert {late_ms(sound, round(at_ms * (1 + 2.5 * drift))) is not None for at_ms in range(0, 39_500, 500)} == {True}


def test_a_clock_that_begins_anew_is_gone_on_with(record):
    """Ogg files one behind the other in one, as some recorders write them."""
    first = record("1.ogg", told_time(), "libopus")
    both = first.with_name("both.ogg")
    both.write_bytes(first.read_bytes() + record("2.ogg", told_time(), "libopus").read_bytes())
    sound = decode(both)
    assert sound.holes == ()
    assert sound.duration_ms == pytest.approx(80_000, abs=100)
    assert {late_ms(sound, at_ms) for at_ms in range(0, 39_500, 500)} == {0}


#: name, codec, rate: what phones and old dictation machines write
NARROW = [
    ("call.amr", "libopencore_amrnb", 8000),
    ("call.wav", "pcm_mulaw", 8000),
    ("call.wav", "pcm_u8", 8000),
    ("call.wav", "adpcm_ima_wav", 8000),
    ("call.ogg", "libopus", 8000),
    ("call.wav", "g722", 16_000),
    ("call.wav", "pcm_s24le", 44_100),
    ("call.wav", "pcm_f32le", 96_000),
]


@pytest.mark.parametrize(("name", "codec", "rate"), NARROW, ids=lambda value: str(value))
def test_phone_codecs_and_odd_formats_keep_their_time(record, name, codec, rate):
    if codec not in av.codecs_available:
        pytest.skip(f"this FFmpeg has no {codec}")
    sound = decode(record(name, told_time(), codec, rate=rate))
    assert {late_ms(sound, at_ms) for at_ms in range(0, 39_500, 500)} == {0}
    assert sound.holes == ()


def test_a_video_of_changing_rate_keeps_the_time_of_its_sound(record):
    """Its pictures come when they come; its sound begins later than they do."""
    sound = decode(record("film.mkv", told_time(), "aac", picture=True, jumps=((0.0, 2.0),)))
    assert {late_ms(sound, at_ms) for at_ms in range(2500, 41_000, 500)} == {2000}
    assert [(hole.start_ms, hole.why) for hole in sound.holes] == [(0, PAUSED)]


def test_an_overdriven_recording_is_read_as_it_is(record, make):
    sound = decode(record("note.wav", np.clip(make("tone", 2) * 20, -1, 1), rate=16_000))
    assert np.abs(sound.samples[:]).max() == pytest.approx(1.0, abs=0.001)
    assert sound.faults == ()


#: layout -> the channel with the voice
LAYOUTS = {"mono": 0, "stereo": 1, "3.0": 2, "5.1": 4, "7.1": 6}


@pytest.mark.parametrize(("layout", "place"), LAYOUTS.items(), ids=LAYOUTS)
def test_a_voice_in_one_of_many_channels_keeps_its_loudness(tmp_path, make, layout, place):
    path = tmp_path / "many.wav"
    tone = make("tone", 3) * (np.arange(3 * RATE) % RATE < RATE // 2)  # with pauses, as a voice has
    with av.open(path, "w") as box:
        stream = box.add_stream("pcm_s16le", rate=RATE, layout=layout)
        pcm = np.zeros((len(tone), stream.layout.nb_channels), np.int16)
        pcm[:, place] = tone * 32767
        frame = av.AudioFrame.from_ndarray(pcm.reshape(1, -1), format="s16", layout=layout)
        frame.sample_rate = RATE
        box.mux(stream.encode(frame))
        box.mux(stream.encode(None))
    np.testing.assert_allclose(decode(path).samples[RATE : 2 * RATE], tone[RATE : 2 * RATE], atol=0.01)


def test_sound_is_sliced_like_an_array(record, make):
    whole = make("pink noise", 2)
    sound = decode(record("note.wav", whole, rate=16_000))
    assert len(sound.samples) == len(whole)
    for first, past in [(0, 32_000), (100, 101), (31_990, 50_000), (5, 5), (9, 3), (-10, None), (None, 7)]:
        np.testing.assert_allclose(sound.samples[first:past], whole[first:past], atol=2 / 32768)
    part = sound.samples.between(1000, 2000)
    assert len(part) == 1000
    np.testing.assert_array_equal(part[10:20], sound.samples[1010:1020])
    np.testing.assert_array_equal(part.between(900, 5000)[:], sound.samples[1900:2000])
    assert len(sound.cut(500, 1500)) == 16_000
    assert len(sound.cut(-100, 99_999)) == 32_000


def test_no_room_on_disk_is_told(record, make, monkeypatch):
    class Full:
        def write(self, _):
            raise OSError(28, "No space left on device")

        def close(self):
            pass

    path = record("note.wav", make("tone", 1))
    monkeypatch.setattr("tempfile.TemporaryFile", Full)
    with pytest.raises(OutputError, match=r"no room for the recording's sound .No space left on device.*TMPDIR"):
        decode(path)


# --- however long it is, memory stays as it was


_MEASURE = """
import resource, sys
from extractor.listening.decode import decode
def memory(): return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
minute = decode(sys.argv[1])
before = memory()
sound = decode(sys.argv[2])
decoded = memory()
assert sum(float(abs(sound.samples[at : at + 960_000]).sum()) for at in range(0, len(sound.samples), 960_000)) > 0
print(decoded - before, memory() - before)
"""
#: minutes, file, codec
LONG = [
    pytest.param(10, "note.wav", "pcm_s16le"),
    pytest.param(60, "note.wav", "pcm_s16le", marks=pytest.mark.slow),
    pytest.param(60, "note.opus", "libopus", marks=pytest.mark.slow),
    pytest.param(60, "note.m4a", "aac", marks=pytest.mark.slow),
    pytest.param(60, "note.mp3", "libmp3lame", marks=pytest.mark.slow),
]


@pytest.mark.skipif(sys.platform != "linux", reason="reads memory in kilobytes, as Linux tells it")
@pytest.mark.parametrize(("minutes", "name", "codec"), LONG)
def test_memory_does_not_grow_with_length(record, make, minutes, name, codec):
    """What decoding takes beyond a minute's, and reading it minute by minute. As float32 an hour would be 230 MB."""
    minute = make("pink noise", 60)
    short = record(f"minute-{name}", minute, codec, rate=16_000)
    long = record(name, np.tile(minute, minutes), codec, rate=16_000)
    out = subprocess.run([sys.executable, "-c", _MEASURE, short, long], check=True, capture_output=True, text=True)
    decoded, read = map(int, out.stdout.split())
    assert decoded < 8
    assert read < 24


# --- what is cut short: the sound it holds is read, and what is missing is a hole


#: name, and whether the file tells how long it was
CUT = {
    "note.wav": True,
    "note.flac": True,
    "note.mp3": True,
    "note.mkv": True,
    "note.aiff": True,
    "note.ogg": False,
}


@pytest.mark.parametrize("name", CUT)
def test_of_a_recording_cut_short_the_rest_is_read(record, make, name):
    path = record(name, make("tone", 20), PLACES[name])
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 6 // 10])
    sound = decode(path)
    (hole,) = sound.holes
    assert hole.start_ms == pytest.approx(12_000, abs=1500)
    assert np.abs(sound.cut(hole.start_ms - 500, hole.start_ms - 100)).max() > 0.15
    assert hole.end_ms == (pytest.approx(20_000, abs=60) if CUT[name] else hole.start_ms)
    assert hole.end_ms == sound.duration_ms
    (fault,) = sound.faults
    assert fault.startswith(f"{path}, 0:00:1")
    assert "cut short" in fault or "breaks off" in fault
    assert "copy the recording again" in fault


def test_of_a_recording_cut_short_behind_its_index_the_rest_is_read(record, make):
    path = record("note.m4a", make("tone", 20), "aac", movflags="faststart")
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 6 // 10])
    sound = decode(path)
    assert sound.duration_ms == pytest.approx(20_000, abs=60)
    assert [hole.why for hole in sound.holes] == ["no sound here: the file is cut short, its end is missing"]


def test_a_recording_without_the_index_at_its_end_is_refused(record, make):
    path = record("note.m4a", make("tone", 20), "aac")
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 6 // 10])
    refuse(path, "the index at its end is missing")


@pytest.mark.parametrize(("missing_s", "is_told"), [(0.2, False), (0.4, True)], ids=["rounding", "missing"])
def test_a_length_that_is_a_little_off_is_rounding(record, make, missing_s, is_told):
    path = record("note.aiff", make("tone", 20), "pcm_s16be", rate=16_000)
    path.write_bytes(path.read_bytes()[: path.stat().st_size - round(missing_s * 32_000)])
    assert bool(decode(path).holes) is is_told


@pytest.mark.parametrize("length", [0, 0xFFFFFFFF], ids=["no length", "largest length"])
def test_a_live_recording_that_declares_no_length_is_kept(record, make, length):
    path = record("note.wav", make("tone", 2))
    whole = bytearray(path.read_bytes())
    at = whole.index(b"data") + 4
    whole[at : at + 4] = length.to_bytes(4, "little")
    path.write_bytes(whole)
    assert decode(path).duration_ms == 2000


@pytest.mark.parametrize("codec", ["aac", "libopus"])
def test_encrypted_sound_is_refused(record, make, codec):
    """Opus decodes any bytes and AAC some: noise that would pass for the recording."""
    key = {"encryption_scheme": "cenc-aes-ctr", "encryption_key": "0" * 31 + "1", "encryption_kid": "0" * 31 + "2"}
    refuse(record("locked.mp4", make("tone", 3), codec, **key), "encrypted")


def test_a_video_without_sound_is_refused(tmp_path):
    import av

    path = tmp_path / "film.mp4"
    with av.open(path, "w") as box:
        stream = box.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 64
        stream.pix_fmt = "yuv420p"
        for i in range(5):
            frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
            frame.pts = i
            box.mux(stream.encode(frame))
        box.mux(stream.encode(None))
    refuse(path, "without sound")


#: id: the bytes, and what the message must say
NO_SOUND = {
    "empty": (b"", "empty"),
    "text": (b"The sheath is in.\n" * 9, "text"),
    "text with accents": ("Größe sechs. ".encode() * 400, "text"),
    "text in UTF-16": ("The sheath is in.".encode("utf-16"), "text"),
    "playlist": (b"#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\nhttp://example.invalid/a.ts\n", "text"),
    "web page": (b"<!doctype html><title>x</title>", "text"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(100), "picture"),
    "photo": (b"\xff\xd8\xff\xe0" + bytes(100), "picture"),
    "PDF": (b"%PDF-1.7\n" + bytes(100), "PDF document, not"),
    "locked PDF": (b"%PDF-1.7\n" + bytes(100) + b"/Encrypt 5 0 R", "with a password"),
    "locked archive": (b"PK\x03\x04\x14\0\x01\0" + bytes(60), "password-protected archive"),
    "locked office document": (b"\xd0\xcf\x11\xe0" + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "password"),
    "zero bytes": (bytes(10_000), "cannot be read as sound"),
    "noise of bytes": (np.random.default_rng(1).bytes(50_000), "cannot be read as sound"),
    "WAV without sound": (
        b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0\1\0\1\0\x80\x3e\0\0\0\x7d\0\0\2\0\x10\0data\0\0\0\0",
        "sound",
    ),
}


@pytest.mark.parametrize(("content", "cause"), NO_SOUND.values(), ids=NO_SOUND)
def test_what_is_no_sound_is_refused(tmp_path, content, cause):
    path = tmp_path / "note.m4a"
    path.write_bytes(content)
    refuse(path, cause)


def test_an_archive_is_refused(tmp_path):
    path = tmp_path / "notes.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("note.wav", bytes(100))
    refuse(path, "archive")


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    refuse(tmp_path / "nowhere.wav", "no such file")
    refuse(tmp_path, "folder")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_is_refused_without_waiting(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    refuse(tmp_path / "pipe", "not an ordinary file")


@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() == 0, reason="root reads everything")
def test_a_locked_file_is_refused(record, make):
    path = record("note.wav", make("tone", 1))
    path.chmod(0)
    refuse(path, "permissions")


def refuse(path: Path, cause: str) -> None:
    with pytest.raises(InputError) as caught:
        decode(path)
    message = str(caught.value)
    assert message.startswith(str(path))
    assert cause in message
    assert ";" in message  # the cure stands behind it
    assert "\n" not in message
