"""Decoded sound, piece by piece -> one track on disk, on the recording's own clock, with what is missing in it."""

import tempfile
from collections.abc import Iterator
from typing import IO, TYPE_CHECKING, Any

from extractor.errors import OutputError
from extractor.listening.mixing import RATE, Mixer
from extractor.model import Gap

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[np.float32]]

PER_MS = RATE // 1000

#: Faults with less sound than this between are one.
_NEAR_S = 1.0
#: A clock that leapt ahead may come back within so much sound.
_SOON_S = 5.0
#: A clock that goes faster or slower than the sound: so much is let be, and more is made up by so much of each second.
_DRIFT_S, _STRETCH = 0.02, 0.02

#: What a hole is; where two touch, the later of these is told.
PAUSED = "no sound here: the recorder paused, or that part of the file is lost"
DAMAGED = "no sound here: the file is damaged"
DAMAGED_UNCLOCKED = "the file is damaged here: how much is lost is a guess, for no clock tells"
BLANK = "no sound here: that part of the file is blank, its contents were lost in copying"
LOST = "no sound here: the file is cut short, its end is missing"
BROKEN_OFF = "the file breaks off here: how much is missing, it does not tell"
_WORSE = (PAUSED, BLANK, DAMAGED, DAMAGED_UNCLOCKED, LOST, BROKEN_OFF)
_MOST_LINES = 5
_CURE = "the draft goes on without it; copy the recording again from where it was made"


class _Store:
    """A temporary file without a name. It goes when the last of its users does, or with the process."""

    def __init__(self) -> None:
        self.file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115

    def __del__(self) -> None:
        self.file.close()


class StoredSamples:
    """16 bit samples on disk. In memory is only what is sliced."""

    def __init__(self, store: _Store, first: int, past: int) -> None:
        self._store, self._first, self._past = store, first, past

    def __len__(self) -> int:
        return self._past - self._first

    def __getitem__(self, stretch: slice) -> "Floats":
        import numpy as np

        first, past, step = stretch.indices(len(self))
        if past <= first:
            return np.zeros(0, np.float32)
        # Mapped anew each time: what a mapping has touched counts as memory for as long as it stands.
        stored = np.memmap(self._store.file, np.int16, "r", offset=2 * (self._first + first), shape=(past - first,))
        return np.multiply(stored[::step], np.float32(1 / 32768), dtype=np.float32)

    def between(self, first: int, past: int) -> "StoredSamples":
        """A stretch of it, nothing copied."""
        first, past, _ = slice(first, past).indices(len(self))
        return StoredSamples(self._store, self._first + first, self._first + max(first, past))


class Track:
    """Takes sound and holes as they come; ``length`` and places are in samples of 16 kHz.

    ``ahead_s``: how far the recording's clock is ahead of the sound taken so far. Two clocks in one recorder may differ
    by a few seconds in an hour: then the sound is stretched or pressed by at most 2 %, so that times stay those of the
    recording's clock and no word is cut.
    """

    def __init__(self) -> None:
        self.length = 0
        self.heard = 0
        self.ahead_s = 0.0
        self._pieces: list[Floats] = []
        self._mixer = Mixer()
        self._holes: list[tuple[int, int, str]] = []
        self._leap = (0, 0)  # the silence put in last
        self._store = _Store()

    def add(self, channels: "Floats") -> None:
        """Sound, float32 (channels, samples). Raises OutputError where there is no room for it."""
        if self._pieces and len(self._pieces[0]) != len(channels):
            self._write()
            self._mixer = Mixer()
        self._pieces.append(channels)
        self.length += channels.shape[1]
        self.heard += channels.shape[1]
        if sum(piece.shape[1] for piece in self._pieces) >= RATE:
            self._write()

    def lack(self, why: str, past: int | None = None) -> None:
        """Silence from here until ``past`` for what is missing; without it, an instant."""
        self._write()
        start = self.length
        if past is not None and past > start:
            self._store.file.seek(2 * past)  # no disk is taken by what is skipped
            self.length = past
            self._leap = (start, past)
        if self._holes:
            before_start, before_past, before_why = self._holes[-1]
            near = start - before_past < _NEAR_S * RATE and before_why != PAUSED and why != BROKEN_OFF
            if near or before_past == start:
                self._holes.pop()
                start, why = before_start, max(before_why, why, key=_WORSE.index)
        self._holes.append((start, self.length, why))

    def mark(self, why: str, start: int, past: int) -> None:
        """A hole where the track is silent already."""
        self._holes = sorted([*self._holes, (start, min(past, self.length), why)])

    def take_back(self, at: int) -> bool:
        """Whether the last hole was too long: a damaged clock leapt and comes back, so that this is place ``at``. What
        came after the leap is moved there.
        """
        self._write()
        start, past = self._leap
        after = self.length - past
        if after > _SOON_S * RATE or not start + after <= at < self.length:
            return False
        file = self._store.file
        file.seek(2 * past)
        sound = file.read(2 * after)
        file.truncate(2 * start)
        file.seek(2 * (at - after))
        file.write(sound)
        self._leap = (start, at - after)
        self._holes[-1] = (self._holes[-1][0], at - after, self._holes[-1][2])
        self.length = at
        return True

    def samples(self) -> StoredSamples:
        """All of it. Nothing can be added any more."""
        self._write()
        self._store.file.truncate(2 * self.length)
        self._store.file.flush()
        return StoredSamples(self._store, 0, self.length)

    def gaps(self) -> tuple[Gap, ...]:
        """The holes, as gaps on the track's own clock."""
        return tuple(
            Gap(start_ms=round(start / PER_MS), end_ms=round(past / PER_MS), why=why, recorded=False)
            for start, past, why in self._holes
        )

    def faults(self, name: str) -> Iterator[str]:
        """A line for each hole: file, place, what, and the cure. All of them stand on the timeline, the first here."""
        gaps = self.gaps()
        for gap in gaps[:_MOST_LINES]:
            place = _clock(gap.start_ms) + (f" to {_clock(gap.end_ms)}" if gap.end_ms > gap.start_ms else "")
            yield f"{name}, {place}: {gap.why}; {_CURE}"
        if len(gaps) > _MOST_LINES:
            yield f"{name}: {len(gaps) - _MOST_LINES} more such places, all of them gaps of the draft; {_CURE}"

    def _write(self) -> None:
        import numpy as np

        if not self._pieces:
            return
        sound = self._mixer.mix(np.concatenate(self._pieces, axis=1))
        self._pieces = []
        if abs(self.ahead_s) > _DRIFT_S:
            most = int(_STRETCH * len(sound))
            more = min(max(round(self.ahead_s * RATE), -most), most)
            places = np.linspace(0, len(sound) - 1, len(sound) + more)
            sound = np.interp(places, np.arange(len(sound)), sound).astype(np.float32)
            self.length += more
        self.ahead_s = 0.0
        try:
            self._store.file.write(np.clip(np.rint(sound * 32768), -32768, 32767).astype(np.int16).tobytes())
        except OSError as error:
            raise OutputError(
                f"{tempfile.gettempdir()}: no room for the recording's sound ({error.strerror}), 115 MB an hour; "
                "make room, or name another folder with TMPDIR"
            ) from error


def _clock(ms: int) -> str:
    return f"{ms // 3_600_000}:{ms // 60_000 % 60:02}:{ms // 1000 % 60:02}"
