"""A recording of any kind -> its sound: one channel, 16 kHz, on the clock a player shows.

``decode`` reads whatever FFmpeg reads (through PyAV). Three promises:

* What can be read is. A file that is damaged or cut short gives the sound it still holds; what is lost becomes a hole
  that says so, and only a file of which nothing can be read is refused.
* A time here is the time a player shows: a pause in a recording's own clock, a damaged stretch or a lost end becomes
  silence, it does not pull later words forward.
* Five hours need no more memory than five minutes: the sound lies in a temporary file without a name (115 MB an hour),
  and only what is sliced from it is in memory.

Limit: containers that declare no length (raw AAC, MPEG transport streams, live WebM, MP3 without a header) cannot be
told from a shorter recording once cut.
"""

import hashlib
import mmap
import struct
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Protocol

from extractor.errors import InputError, OutputError
from extractor.model import Gap

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[np.float32]]

RATE = 16_000
_PER_MS = RATE // 1000

#: A container may promise this much more than it holds before it counts as cut short: both must be exceeded.
_SHORT_S, _SHORT_SHARE = 1.0, 0.02
#: A pause in the container's own clock shorter than this is rounding, not a pause.
_PAUSE_S = 0.1
#: Damage with less sound than this between is one damage.
_NEAR_S = 1.0
#: FFmpeg guesses these lengths from the bit rate: a guess is no promise.
_DECLARES_NO_LENGTH = {"aac", "ac3", "eac3", "dts", "mpegts", "amr"}
#: No recording of one case is longer: a clock or a length beyond is a fault.
_LONGEST_S = 24 * 3600.0
_HEAD = 4096

_PAUSED = "no sound here: the recorder paused"
_DAMAGED = "no sound here: the file is damaged"
_LOST = "no sound here: the file is cut short, its end is missing"
_BROKEN_OFF = "the file is cut short here: how much is missing, it does not tell"
_WORSE = (_PAUSED, _DAMAGED, _LOST, _BROKEN_OFF)
_CURE = "copy the recording again from where it was made, the draft goes on without that stretch"

#: First bytes of what people drop in by mistake, and what it is.
_NOT_SOUND = (
    (b"%PDF", "a PDF document"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"BM", "a picture"),
    (b"II*\0", "a picture"),
    (b"MM\0*", "a picture"),
)


class Samples(Protocol):
    """Sound that is sliced like an array: ``samples[first:past]`` is float32 in -1..1, one channel, 16 kHz."""

    def __len__(self) -> int: ...

    def __getitem__(self, stretch: slice, /) -> "Floats": ...


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


@dataclass(frozen=True, eq=False)
class Sound:
    """One decoded file.

    ``holes``: what the file's own clock has and its sound has not, on that clock: a pause of the recorder, damage, a
    lost end. Silence stands there, so that later words keep their time. ``faults``: what is wrong with the file, a line
    each for the person who can put it right. ``offset_ms``: where the first sample stands on the case's clock.
    """

    name: str
    sha256: str
    samples: Samples
    holes: tuple[Gap, ...] = ()
    faults: tuple[str, ...] = ()
    offset_ms: int = 0

    @property
    def duration_ms(self) -> int:
        return round(len(self.samples) / _PER_MS)

    def cut(self, start_ms: int, end_ms: int) -> "Floats":
        """The samples from start to end, clipped to what there is."""
        return self.samples[max(0, start_ms) * _PER_MS : max(0, end_ms) * _PER_MS]


def decode(path: Path | str) -> Sound:
    """One audio or video file -> its sound, as much of it as can be read.

    Raises InputError, naming the file, the cause and the cure, where nothing can be heard in it; OutputError where
    there is no room for the sound on disk.
    """
    path = Path(path)
    _refuse_what_is_no_sound(path, read_head(path))
    digest = hash_file(path)
    track = _decode(path)
    if not track.length:
        raise InputError(f"{path}: no sound in it (its length is zero); give another copy of the recording")
    return Sound(path.name, digest, track.samples(), track.gaps(), tuple(track.faults(path)))


def read_head(path: Path) -> bytes:
    """The file's first 4096 bytes: enough to tell what it is. Raises InputError if there is nothing to read."""
    try:
        if not path.exists():
            raise InputError(f"{path}: there is no such file; check the name")
        if path.is_dir():
            raise InputError(f"{path}: a folder, not a recording; name the files in it, in order")
        if not path.is_file():
            raise InputError(f"{path}: not an ordinary file; save the recording to a file first")
        with path.open("rb") as file:
            head = file.read(_HEAD)
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        raise InputError(f"{path}: cannot be read ({_reason(error)}); check its name and permissions") from error
    if not head:
        raise InputError(f"{path}: the file is empty; copy the recording again")
    return head


def hash_file(path: Path) -> str:
    """SHA-256 of the file's bytes, read in pieces. Raises InputError if it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({_reason(error)}); copy the recording again") from error


def _reason(error: Exception) -> str:
    return (isinstance(error, OSError) and error.strerror) or str(error)


def _refuse_what_is_no_sound(path: Path, head: bytes) -> None:
    """FFmpeg opens pictures as video and follows the addresses in playlists: neither is a recording."""
    if head.startswith(b"PK\x03\x04"):
        kind = "a password-protected archive" if head[6] & 1 else "an archive or an office document"
        raise InputError(f"{path}: {kind}, not a recording; unpack it and give the recording itself")
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        locked = _holds(path, "EncryptedPackage".encode("utf-16-le"))
        kind = "a password-protected office document" if locked else "an office document"
        raise InputError(f"{path}: {kind}, not a recording; give the recording itself")
    for magic, kind in _NOT_SOUND:
        if head.startswith(magic):
            locked = magic == b"%PDF" and _holds(path, b"/Encrypt")
            raise InputError(
                f"{path}: {kind}{' with a password' if locked else ''}, not a recording; give a sound file"
            )
    if is_text(head):
        raise InputError(
            f"{path}: text, not a recording; give a sound file, or a transcript as WebVTT, SRT or JSON with words"
        )


def is_text(head: bytes) -> bool:
    """Whether a file's first bytes are people's text: UTF-8 or UTF-16 by its mark, and hardly a control character."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return True
    try:
        head.decode()
    except UnicodeDecodeError as error:
        if len(head) - error.start > 3 or len(head) < _HEAD:  # a letter cut at the end of the head is no fault
            return False
    return sum(byte < 32 and byte not in b"\t\n\r\f" for byte in head) * 50 <= len(head)


def _missing_s(path: Path) -> float | None:
    """How much a WAV or Ogg file lacks at its end, which FFmpeg does not tell: seconds, 0.0 where it lacks nothing,
    None where something is missing and nothing tells how much.
    """
    head, size = read_head(path), path.stat().st_size
    if head[:4] == b"RIFF" and head[8:12] == b"WAVE":
        at, bytes_a_second = 12, 0
        while at + 8 <= len(head):
            name, length = struct.unpack_from("<4sI", head, at)
            if name == b"fmt " and at + 20 <= len(head):
                (bytes_a_second,) = struct.unpack_from("<I", head, at + 16)
            if name == b"data":  # live recorders leave 0 or the largest number here: they promise nothing
                missing = at + 8 + length - size if length < 0xFFFFFF00 else 0
                return max(0, missing) / bytes_a_second if bytes_a_second else 0.0
            at += 8 + length + length % 2
    if head[:4] == b"OggS":
        with path.open("rb") as file:
            file.seek(max(0, size - 131_072))  # a page is at most 65,307 bytes
            tail = file.read()
        at = tail.rfind(b"OggS")
        segments = tail[at + 27 : at + 27 + tail[at + 26]] if len(tail) > at + 26 else b""
        if not segments or at + 27 + len(segments) + sum(segments) > len(tail):
            return None
    return 0.0


def _holds(path: Path, needle: bytes) -> bool:
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as view:
        return view.find(needle) >= 0


class _Track:
    """Takes the sound as it is decoded, and keeps it on disk with what is missing in it. Places are in samples."""

    def __init__(self) -> None:
        self.length = 0
        self._holes: list[tuple[int, int, str]] = []
        self._store = _Store()

    def add(self, pcm: bytes) -> None:
        try:
            self._store.file.write(pcm)
        except OSError as error:
            raise OutputError(
                f"{tempfile.gettempdir()}: no room for the recording's sound ({_reason(error)}), 115 MB an hour; "
                "make room, or name another folder with TMPDIR"
            ) from error
        self.length += len(pcm) // 2

    def lack(self, why: str, past: int | None = None) -> None:
        """Silence from here until ``past`` for what is missing; without it, an instant."""
        start = self.length
        if past is not None and past > start:
            self._store.file.seek(2 * past)  # no disk is taken by what is skipped
            self.length = past
        if self._holes:
            before_start, before_past, before_why = self._holes[-1]
            near = start - before_past < _NEAR_S * RATE and _PAUSED not in (before_why, why)
            if near or before_past == start:
                self._holes.pop()
                start, why = before_start, max(before_why, why, key=_WORSE.index)
        self._holes.append((start, self.length, why))

    def samples(self) -> StoredSamples:
        self._store.file.truncate(2 * self.length)
        self._store.file.flush()
        return StoredSamples(self._store, 0, self.length)

    def gaps(self) -> tuple[Gap, ...]:
        return tuple(
            Gap(start_ms=round(start / _PER_MS), end_ms=round(past / _PER_MS), why=why, recorded=False)
            for start, past, why in self._holes
        )

    def faults(self, path: Path) -> Iterator[str]:
        """A line for each fault of the file; a recorder's own pause is none."""
        for gap in self.gaps():
            if gap.why != _PAUSED:
                place = _clock(gap.start_ms) + (f" to {_clock(gap.end_ms)}" if gap.end_ms > gap.start_ms else "")
                yield f"{path}, {place}: {gap.why}; {_CURE}"


def _clock(ms: int) -> str:
    return f"{ms // 3_600_000}:{ms // 60_000 % 60:02}:{ms // 1000 % 60:02}"


def _decode(path: Path) -> _Track:
    """The whole file, as far as it can be read."""
    import av

    track = _Track()
    resampler, shape, damaged = None, None, False
    try:
        # A file object and no protocols: nothing that the file's contents name is ever opened.
        with (
            path.open("rb") as file,
            av.open(file, metadata_errors="ignore", options={"protocol_whitelist": ""}) as box,
        ):
            stream = box.streams.best("audio")
            if stream is None:
                raise InputError(f"{path}: pictures without sound; give the recording that has the voice")
            declared_s = _declared_s(path, box)
            first_s = box.start_time / av.time_base if box.start_time is not None and box.streams.video else None
            for frame in _frames(box, stream):
                if frame is None:
                    track.lack(_DAMAGED)
                    damaged = True
                    continue
                if frame.time is not None:
                    first_s = frame.time if first_s is None else first_s
                    at_s = frame.time - first_s
                    # A broken clock may jump by days: what lies beyond the declared end is no pause.
                    least_s = 0.0 if damaged else _PAUSE_S
                    if at_s - track.length / RATE > least_s and at_s <= (declared_s or _LONGEST_S) + _SHORT_S:
                        track.lack(_DAMAGED if damaged else _PAUSED, round(at_s * RATE))
                damaged = False
                # Chained Ogg files and some phones change rate or channels on the way: each run has its own resampler.
                if (frame.format.name, frame.layout.name, frame.sample_rate) != shape:
                    track.add(_resample(resampler, None))
                    shape = (frame.format.name, frame.layout.name, frame.sample_rate)
                    resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
                frame.pts = None  # the resampler must not mend the clock a second time
                track.add(_resample(resampler, frame))
            track.add(_resample(resampler, None))
    except av.error.FFmpegError as error:
        if not track.length:
            raise InputError(f"{path}: {_cause(path)}") from error
        track.lack(_BROKEN_OFF)
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({_reason(error)}); copy the recording again") from error
    if damaged and not track.length:
        raise InputError(f"{path}: {_cause(path)}")
    _lack_the_end(path, track, declared_s)
    return track


def _lack_the_end(path: Path, track: _Track, declared_s: float | None) -> None:
    """Silence for what the file says it holds and does not."""
    missing_s = _missing_s(path)
    held_s = track.length / RATE
    if declared_s is not None and declared_s - held_s > max(_SHORT_S, _SHORT_SHARE * declared_s):
        missing_s = max(missing_s or 0.0, declared_s - held_s)
    if missing_s is None or missing_s > _LONGEST_S:
        track.lack(_BROKEN_OFF)
    elif missing_s:
        track.lack(_LOST, track.length + round(missing_s * RATE))


def _resample(resampler: Any, frame: Any) -> bytes:
    """The next samples as 16 bit numbers; without a frame, those still held back."""
    return b"".join(piece.to_ndarray().tobytes() for piece in resampler.resample(frame)) if resampler else b""


def _frames(box: Any, stream: Any) -> Iterator[Any]:
    """The stream's frames; None for a packet that cannot be decoded (the packets after it still are)."""
    import av

    for packet in box.demux(stream):
        try:
            yield from packet.decode()
        except av.error.InvalidDataError:
            yield None


def _declared_s(path: Path, box: Any) -> float | None:
    """How long the container says it is; None where it says nothing, or FFmpeg only guessed from the bit rate."""
    import av

    names = set(box.format.name.split(","))
    if box.duration is None or names & _DECLARES_NO_LENGTH:
        return None
    if "mp3" in names and not any(_holds(path, mark) for mark in (b"Xing", b"Info", b"VBRI")):
        return None
    return float(box.duration / av.time_base)


def _cause(path: Path) -> str:
    """Why FFmpeg cannot open or decode the file, as far as its bytes tell."""
    if read_head(path)[4:8] == b"ftyp":
        if _holds(path, b"schm") and _holds(path, b"sinf"):
            return "its sound is encrypted; give a copy without protection"
        if not _holds(path, b"moov"):
            return "cut short: the index at its end is missing; copy the recording again from where it was made"
    return "cannot be read as sound: no recording, or a damaged one; play it to check, or give another copy"
