"""Several files of one case lie where they belong: end to end, apart, or over each other, each second heard once."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from extractor.errors import InputError
from extractor.listening.decode import RATE, Sound, decode
from extractor.listening.parts import Laid, lay, overlap
from extractor.listening.transcripts import open_inputs
from extractor.model import Gap

NOON = datetime(2026, 11, 25, 12)


@pytest.fixture(scope="module")
def talk(request: pytest.FixtureRequest) -> np.ndarray:
    """A minute of a synthetic voice that tells an invented case, in a room that hisses a little."""
    path = Path(request.config.rootpath) / "fixtures" / "calf-claudication" / "recording.opus"
    voice = decode(path).samples[: 60 * RATE]
    return voice + np.random.default_rng(5).standard_normal(len(voice)).astype(np.float32) * 0.001


def sound(
    name: str, samples: np.ndarray, recorded: datetime | None = None, holes: tuple[tuple[int, int], ...] = ()
) -> Sound:
    gaps = tuple(Gap(start_ms=start_ms, end_ms=end_ms, why="lost", recorded=False) for start_ms, end_ms in holes)
    return Sound(name, f"hash of {name}", samples.astype(np.float32), gaps, recorded=recorded)


def noise(seconds: float, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal(round(seconds * RATE)) * 0.01


def files(*told: tuple[str, float, float | None]) -> list[Sound]:
    """(name, seconds long, seconds after noon of its tag) -> sounds that have nothing in common."""
    return [
        sound(name, noise(length_s, i), None if at_s is None else NOON + timedelta(seconds=at_s))
        for i, (name, length_s, at_s) in enumerate(told)
    ]


def places(laid: Laid) -> list[tuple[str, int]]:
    return [(file.name, ms) for file, ms in zip(laid.files, laid.offsets_ms, strict=True)]


def codes(laid: Laid) -> list[str]:
    return [check.code for check in laid.checks]


# --- by the times the files tell

#: id: (name, seconds long, seconds after noon) of each; where each begins, in seconds; the codes of what is told
TIMES = {
    "no times": ([("a", 10, None), ("b", 5, None)], [("a", 0), ("b", 10)], []),
    "one has none": ([("a", 10, 0), ("b", 5, None)], [("a", 0), ("b", 10)], []),
    "a pause between": ([("a", 10, 0), ("b", 5, 70)], [("a", 0), ("b", 70)], []),
    "rounding is no pause": ([("a", 10, 0), ("b", 5, 12)], [("a", 0), ("b", 10)], []),
    "just a pause": ([("a", 10, 0), ("b", 5, 12.1)], [("a", 0), ("b", 12.1)], []),
    "another order": ([("b", 5, 70), ("a", 10, 0)], [("a", 0), ("b", 70)], ["parts-order"]),
    "ends, end to end": ([("a", 10, 0), ("b", 30, 30)], [("a", 0), ("b", 10)], []),
    "ends, for as starts they cannot be": ([("a", 30, 0), ("b", 10, 15)], [("a", 0), ("b", 35)], []),
    "one over the other": ([("a", 30, 0), ("b", 30, 5)], [("a", 0), ("b", 30)], ["parts-times"]),
    "all the same": ([("a", 10, 0), ("b", 10, 0)], [("a", 0), ("b", 10)], ["parts-times"]),
    "two days apart": ([("a", 10, 0), ("b", 10, 172_800)], [("a", 0), ("b", 10)], ["parts-times"]),
    "names": ([("20261125_120000.m4a", 10, None), ("20261125_120100.m4a", 5, None)],
              [("20261125_120000.m4a", 0), ("20261125_120100.m4a", 60)], []),
    "names with marks": ([("note 2026-11-25 12.00.00.m4a", 10, None), ("note 2026-11-25T12:01:00Z.m4a", 5, None)],
                         [("note 2026-11-25 12.00.00.m4a", 0), ("note 2026-11-25T12:01:00Z.m4a", 60)], []),
    "names where tags do not fit": ([("20261125_120000", 10, 0), ("20261125_120100", 10, 0)],
                                    [("20261125_120000", 0), ("20261125_120100", 60)], []),
    "no day of the calendar": ([("20261345_120000", 10, None), ("20261345_120100", 10, None)],
                               [("20261345_120000", 0), ("20261345_120100", 10)], []),
    "longer numbers are no times": ([("1120261125120000", 10, None), ("1120261125120100", 10, None)],
                                    [("1120261125120000", 0), ("1120261125120100", 10)], []),
}  # fmt: skip


@pytest.mark.parametrize(("told", "laid", "checks"), TIMES.values(), ids=TIMES)
def test_files_lie_by_their_times_where_those_fit(told, laid, checks):
    found = lay(files(*told))
    assert places(found) == [(name, at_s * 1000) for name, at_s in laid]
    assert codes(found) == checks
    assert [each.offset_ms for each in found.sounds] == list(found.offsets_ms)


def test_a_pause_between_files_is_a_gap():
    (gap,) = lay(files(("a.m4a", 10, 0), ("b.m4a", 5, 70))).gaps
    assert (gap.start_ms, gap.end_ms, gap.recorded) == (10_000, 70_000, False)
    assert gap.why == "nothing was recorded between a.m4a and b.m4a, by the times they tell"


def test_times_with_and_without_a_zone_are_not_compared():
    one, other = files(("a", 10, 0), ("b", 5, 70))
    assert other.recorded is not None
    zoned = sound("b", noise(5, 1), other.recorded.astimezone())
    assert places(lay([one, zoned])) == [("a", 0), ("b", 10_000)]


def test_the_same_recording_twice_is_refused():
    one = sound("a.m4a", noise(2, 1))
    with pytest.raises(InputError, match=r"a\.m4a: the same recording twice"):
        lay([one, sound("b.m4a", noise(2, 2)), one])


# --- by the sound


@pytest.mark.parametrize("seconds", [1.5, 4.0, 20.0], ids=lambda each: f"{each} s")
def test_seconds_that_two_files_hold_are_heard_once(talk, seconds):
    both = round(seconds * RATE)
    laid = lay([sound("a.m4a", talk[: 30 * RATE]), sound("b.m4a", 0.5 * talk[30 * RATE - both :])])
    assert places(laid) == [("a.m4a", 0), ("b.m4a", 30_000 - round(seconds * 1000))]
    one, following = laid.sounds
    assert following.offset_ms == one.duration_ms
    assert one.duration_ms + following.duration_ms == 60_000
    np.testing.assert_array_equal(one.samples[:], talk[: len(one.samples)])
    (check,) = laid.checks
    assert (check.code, check.severity) == ("parts-overlap", "note")
    assert f"The first {seconds} s of b.m4a are the last of a.m4a" in check.message


def test_the_seam_lies_where_nobody_speaks(talk):
    laid = lay([sound("a", talk[: 30 * RATE]), sound("b", talk[20 * RATE :])])
    seam = len(laid.sounds[0].samples)
    around = talk[seam - RATE // 10 : seam + RATE // 10]
    assert around.std() < 0.1 * talk[20 * RATE : 30 * RATE].std()


#: id: codec, rate, options: what is the same sound is not the same numbers once encoded
ENCODED = {
    "Opus": ("ogg", "libopus", 48_000, {}),
    "MP3": ("mp3", "libmp3lame", 44_100, {}),
    "AAC": ("m4a", "aac", 48_000, {}),
    "phone": ("amr", "libopencore_amrnb", 8000, {}),
    "8 bit": ("wav", "pcm_mulaw", 8000, {}),
}


@pytest.mark.parametrize(("suffix", "codec", "rate", "options"), ENCODED.values(), ids=ENCODED)
def test_an_overlap_is_found_in_encoded_files(record, talk, suffix, codec, rate, options):
    one = decode(record(f"a.{suffix}", talk[: 30 * RATE], codec, rate=rate, **options))
    following = decode(record(f"b.{suffix}", talk[round(22.7 * RATE) :], codec, rate=rate, **options))
    assert (len(one.samples) - overlap(one, following)) / RATE == pytest.approx(22.7, abs=0.06)


Make = Callable[[str, float], np.ndarray]

#: id: (talk, make) -> one and the next, which share nothing, or nothing that is sure
APART = {
    "talk that goes on": lambda talk, make: (talk[: 30 * RATE], talk[30 * RATE :]),
    "a voice and silence": lambda talk, make: (talk, make("silence", 20)),
    "silence": lambda talk, make: (make("silence", 20), make("silence", 20)),
    "the same hum": lambda talk, make: (make("mains hum", 20), make("mains hum", 20)),
    "the same tone": lambda talk, make: (make("tone", 20), make("tone", 20)),
    "beeps of one monitor": lambda talk, make: (noise(20, 1) + make("monitor beeps", 20)[: 20 * RATE],
                                                noise(20, 2) + make("monitor beeps", 20)),
    "one loud beep in each": lambda talk, make: (noise(20, 1) / 10 + beep(19), noise(20, 2) / 10 + beep(0.3)),
    "a short tone": lambda talk, make: (make("tone", 1), make("tone", 2)),
    "the same chords": lambda talk, make: (make("chords", 20), make("chords", 20)),
    "less than a second": lambda talk, make: (talk[: 30 * RATE], talk[29 * RATE + RATE // 4 :]),
    "the same words, not the same second": lambda talk, make: (talk[: 30 * RATE], talk[10 * RATE : 20 * RATE]),
}  # fmt: skip


def beep(at_s: float) -> np.ndarray:
    at = np.arange(20 * RATE) / RATE
    return 0.3 * np.sin(2 * np.pi * 880 * at) * ((at > at_s) & (at < at_s + 0.15))


@pytest.mark.parametrize("pair", APART.values(), ids=APART)
def test_what_is_not_surely_the_same_stays(talk, make, pair):
    one, following = pair(talk, make)
    assert overlap(sound("a", one), sound("b", following)) == 0


def test_sound_decides_where_times_only_nearly_fit(talk):
    """A recorder that begins the next file five seconds before it ends the last, and tells whole seconds."""
    laid = lay([sound("a", talk[: 30 * RATE], NOON), sound("b", talk[25 * RATE :], NOON + timedelta(seconds=26))])
    assert places(laid) == [("a", 0), ("b", 25_000)]
    assert codes(laid) == ["parts-overlap"]


def test_holes_are_told_once(talk):
    """A hole that lies where the other file is heard is none."""
    one = sound("a", talk[: 30 * RATE], holes=((2000, 3000), (29_800, 30_000)))
    following = sound("b", talk[20 * RATE :], holes=((0, 200), (15_000, 16_000)))
    assert [(gap.start_ms, gap.end_ms) for gap in lay([one, following]).gaps] == [(2000, 3000), (35_000, 36_000)]


# --- files


def test_the_tags_of_files_are_read(record, make):
    def film(name: str, seconds: float, at: str) -> Path:
        return record(name, make("pink noise", seconds), "aac", tags={"creation_time": at})

    sources = open_inputs([film("b.m4a", 3, "2026-11-25T12:01:00Z"), film("a.m4a", 4, "2026-11-25T12:00:00.000000Z")])
    assert [(part.name, part.offset_ms) for part in sources.recording.parts] == [("a.m4a", 0), ("b.m4a", 60_000)]
    assert sources.recording.duration_ms == pytest.approx(63_000, abs=60)
    (gap,) = sources.gaps
    assert (gap.start_ms, gap.end_ms) == (pytest.approx(4000, abs=60), 60_000)
    assert [check.code for check in sources.checks] == ["parts-order"]
    assert sources.faults == tuple(check.message for check in sources.checks)


#: id: tags as FFmpeg gives them, and the time in them
TAGS = {
    "with a zone": ({"creation_time": "2026-11-25T12:00:00.000000Z"}, "2026-11-25T12:00:00+00:00"),
    "broadcast WAV": ({"date": "2026-11-25", "creation_time": "12:00:00"}, "2026-11-25T12:00:00"),
    "a date with its time": ({"DATE": "2026-11-25 12:00:00"}, "2026-11-25T12:00:00"),
    "a day alone": ({"date": "2026-11-25"}, None),
    "a year alone": ({"date": "2026"}, None),
    "a clock never set": ({"creation_time": "1970-01-01T00:00:00.000000Z"}, None),
    "no time": ({"creation_time": "yesterday"}, None),
    "nothing": ({}, None),
}


@pytest.mark.parametrize(("tags", "at"), TAGS.values(), ids=TAGS)
def test_a_time_is_a_day_and_a_time_of_day(tags, at):
    from extractor.listening.decode import _recorded

    assert _recorded(tags) == (datetime.fromisoformat(at) if at else None)
