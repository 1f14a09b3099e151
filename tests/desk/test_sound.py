"""The sound a page plays: on the case's clock to some milliseconds, whole or not there, no memory for its length."""

import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from extractor import sound_file
from extractor.desk import sound
from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, decode
from extractor.listening.transcripts import open_inputs
from extractor.model import MadeBy, SpeechModel, Timeline

CLIP = "short-inflation/recording.opus"
FILM = "fistula-high-pressure/recording.webm"


def drafted(files: list[Path], model: str = "base") -> tuple[Timeline, dict[str, Path]]:
    """Files of a case -> a draft without words, and the files by their SHA-256."""
    recording = open_inputs(files).recording
    made_by = MadeBy(extractor="0.0.0", speech_model=SpeechModel(name=model, sha256="cd" * 32), lexicons={})
    timeline = Timeline(recording=recording, made_by=made_by, words=())
    return timeline, {part.sha256: path for part in recording.parts for path in files if path.name == part.name}


def test_each_file_is_heard_where_the_draft_laid_it(fixtures: Path, tmp_path: Path) -> None:
    files = [fixtures / CLIP, fixtures / FILM]
    timeline, recordings = drafted(files)
    made = sound.make(timeline, recordings, tmp_path)
    assert made is not None
    heard = decode(made.sound)
    assert abs(heard.duration_ms - timeline.recording.duration_ms) <= 20
    for part, path in zip(timeline.recording.parts, files, strict=True):
        stretch = decode(path).cut(2_000, 8_000)
        around = heard.cut(part.offset_ms + 1_900, part.offset_ms + 8_100)
        fits = np.correlate(around, stretch, "valid")
        assert abs(int(fits.argmax()) - RATE // 10) <= RATE * 0.002, "words would be heard beside their times"
    assert [film.number for film in sound.films(timeline, recordings)] == [1]


def test_a_second_later_what_is_kept_is_taken(fixtures: Path, tmp_path: Path) -> None:
    timeline, recordings = drafted([fixtures / CLIP])
    first = sound.make(timeline, recordings, tmp_path)
    assert first is not None
    before = first.sound.stat().st_mtime_ns
    assert sound.make(timeline, {}, tmp_path) == first
    assert first.sound.stat().st_mtime_ns == before
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(path.name for path in first)


PEAKS = [
    pytest.param(np.zeros(0), [], id="nothing"),
    pytest.param(np.zeros(640), [0, 0], id="silence"),
    pytest.param(np.full(320, 1.0), [255], id="as-loud-as-can-be"),
    pytest.param(np.full(321, -0.5), [128, 128], id="below-zero-counts-and-a-rest-too"),
    pytest.param(np.concatenate([np.zeros(319), [0.001], np.zeros(320)]), [1, 0], id="the-softest-shows"),
]


@pytest.mark.parametrize(("samples", "wanted"), PEAKS)
def test_peaks(samples: np.ndarray, wanted: list[int]) -> None:
    assert list(sound.peaks(samples.astype(np.float32))) == wanted


CLOCKS = [
    pytest.param([], slice(None), [], id="none"),
    pytest.param([(0, [1, 2]), (1, [3])], slice(0, 18), [1, 2, *[0] * 14, 3], id="silence-between"),
    pytest.param([(0, [1] * 20), (1, [2] * 2)], slice(15, 20), [1, 2, 2, 1, 1], id="the-later-over-the-earlier"),
    pytest.param([(1, [5])], slice(0, 99), [*[0] * 16, 5], id="clipped-to-what-there-is"),
]


@pytest.mark.parametrize(("sounds", "stretch", "wanted"), CLOCKS)
def test_one_clock(sounds: list[tuple[int, list[float]]], stretch: slice, wanted: list[float]) -> None:
    laid = sound_file.OneClock([(offset, np.array(samples, np.float32)) for offset, samples in sounds])
    assert laid[stretch].tolist() == wanted


def test_a_case_from_a_transcript_has_no_sound(fixtures: Path, tmp_path: Path) -> None:
    timeline, recordings = drafted([fixtures / CLIP], model="transcript")
    assert sound.make(timeline, recordings, tmp_path) is None
    assert sound.films(timeline, recordings) == []


def test_a_recording_that_is_gone_is_named(fixtures: Path, tmp_path: Path) -> None:
    timeline, _ = drafted([fixtures / CLIP])
    with pytest.raises(InputError, match=r"recording\.opus: .*; add it again"):
        sound.make(timeline, {}, tmp_path)


def test_a_full_disk_leaves_nothing(fixtures: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    timeline, recordings = drafted([fixtures / CLIP])

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OutputError, match="No space left"):
        sound.make(timeline, recordings, tmp_path)
    assert list(tmp_path.iterdir()) == []


class Hours:
    """Three hours of a tone, made as it is sliced."""

    def __len__(self) -> int:
        return 3 * 3600 * RATE

    def __getitem__(self, stretch: slice, /) -> np.ndarray:
        start, past, _ = stretch.indices(len(self))
        return np.full(max(0, past - start), 0.25, np.float32)


def test_hours_take_no_more_memory_than_minutes() -> None:
    tracemalloc.start()
    try:
        assert len(sound.peaks(sound_file.OneClock([(0, Hours())]))) == 3 * 3600 * 50
        assert tracemalloc.get_traced_memory()[1] < 40_000_000
    finally:
        tracemalloc.stop()
