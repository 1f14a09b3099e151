"""A case's recordings -> its sound as a browser plays it, on the case's clock, and how loud it is; kept as files.

What is kept can be made again from the recordings at any time: it is a cache, named for what it holds.
"""

import hashlib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, Samples, decode
from extractor.model import Part, Timeline
from extractor.sound_file import OneClock, has_picture, write

#: One byte of loudness for so many milliseconds.
PEAK_MS = 20
_PER_PEAK = PEAK_MS * RATE // 1000
_AT_ONCE = 60 * RATE


class CaseSound(NamedTuple):
    """Where a case's sound lies (WebM, Opus), and its loudness (a byte for each 20 ms, 255 the most there can be)."""

    sound: Path
    peaks: Path


class Film(NamedTuple):
    """A recording with a picture: its place among the case's parts, from 0, and where it lies on the case's clock."""

    number: int
    part: Part
    path: Path


def is_heard(timeline: Timeline) -> bool:
    """Whether the case was drafted from sound, not from a transcript."""
    model = timeline.made_by.speech_model
    return bool(timeline.recording.parts) and model is not None and model.name != "transcript"


def place(timeline: Timeline, folder: Path) -> CaseSound:
    """Where the sound of a case belongs in the folder, made or not."""
    laid = "\n".join(f"{part.sha256} {part.offset_ms}" for part in timeline.recording.parts)
    name = hashlib.sha256(laid.encode()).hexdigest()
    return CaseSound(folder / f"{name}.webm", folder / f"{name}.peaks")


def make(timeline: Timeline, recordings: Mapping[str, Path], folder: Path) -> CaseSound | None:
    """A draft and its recordings by SHA-256 -> its sound and peaks, made where they are not there yet.

    None where it was drafted from a transcript. Words' times fit: each file lies where the draft laid it. InputError
    where a recording is not there, OutputError where there is no room; neither leaves anything half-written.
    """
    if not is_heard(timeline):
        return None
    kept = place(timeline, folder)
    if kept.sound.is_file() and kept.peaks.is_file():
        return kept
    sounds = []
    for part in timeline.recording.parts:
        if part.sha256 not in recordings:
            raise InputError(f"{part.name}: this recording of the case is not in the store; add it again")
        sounds.append((part.offset_ms, decode(recordings[part.sha256]).samples))
    whole = OneClock(sounds)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(prefix=".part-", dir=folder) as made:
            write(whole, Path(made) / "sound")
            (Path(made) / "peaks").write_bytes(peaks(whole))
            (Path(made) / "peaks").replace(kept.peaks)
            (Path(made) / "sound").replace(kept.sound)
    except OSError as error:
        raise OutputError(f"{folder}: the sound cannot be kept ({error.strerror or error}); make room there") from error
    return kept


def peaks(samples: Samples) -> bytes:
    """A sound -> its loudest sample in each 20 ms, 0 to 255; the last one may be of less."""
    import numpy as np

    found = bytearray()
    for first in range(0, len(samples), _AT_ONCE):
        piece = np.abs(samples[first : first + _AT_ONCE])
        piece = np.pad(piece, (0, -len(piece) % _PER_PEAK)).reshape(-1, _PER_PEAK).max(axis=1)
        found += np.minimum(np.ceil(piece * 255), 255).astype(np.uint8).tobytes()
    return bytes(found)


def films(timeline: Timeline, recordings: Mapping[str, Path]) -> Sequence[Film]:
    """The recordings of a draft that have a picture."""
    parts = enumerate(timeline.recording.parts) if is_heard(timeline) else ()
    found = (Film(number, part, recordings[part.sha256]) for number, part in parts if part.sha256 in recordings)
    return [film for film in found if _has_picture(film.path)]


@lru_cache(1000)
def _has_picture(path: Path) -> bool:
    """What lies under its hash never changes: it is looked into once."""
    return has_picture(path)
