"""A recording of any kind -> its sound: one channel, 16 kHz, on the clock a player shows.

``decode`` reads whatever FFmpeg reads (through PyAV). Two promises: a draft is never silently short (a container that
declares more sound than it holds is refused), and a time here is the time a player shows (a pause in a recording's own
clock becomes silence, it does not pull later words forward).

Limit: containers that declare no length (raw AAC, MPEG transport streams, live WebM, MP3 without a header) cannot be
told from a shorter recording once cut.
"""

import hashlib
import mmap
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor.errors import InputError

if TYPE_CHECKING:
    import numpy as np

RATE = 16_000
_PER_MS = RATE // 1000

#: A container may promise this much more than it holds before it counts as cut short: both must be exceeded.
_SHORT_S, _SHORT_SHARE = 1.0, 0.02
#: A pause in the container's own clock shorter than this is rounding, not a pause.
_PAUSE_S = 0.1
#: FFmpeg guesses these lengths from the bit rate: a guess is no promise.
_DECLARES_NO_LENGTH = {"aac", "ac3", "eac3", "dts", "mpegts", "amr"}
#: Where no length is declared, no pause can end later than this.
_LONGEST_S = 6 * 3600.0
_HEAD = 4096

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


@dataclass(frozen=True, eq=False)
class Sound:
    """One decoded file. ``samples``: float32 in -1..1, one channel, 16 kHz.

    ``holes``: (start_ms, end_ms) of what the file's own clock has and its sound has not: a pause of the recorder, or
    damage. Silence stands there, so that later words keep their time.
    """

    name: str
    sha256: str
    samples: "np.ndarray[Any, np.dtype[np.float32]]"
    holes: tuple[tuple[int, int], ...] = ()

    @property
    def duration_ms(self) -> int:
        return round(len(self.samples) / _PER_MS)

    def cut(self, start_ms: int, end_ms: int) -> "np.ndarray[Any, np.dtype[np.float32]]":
        """The samples from start to end, clipped to what there is (a view, not a copy)."""
        return self.samples[max(0, start_ms) * _PER_MS : max(0, end_ms) * _PER_MS]

    def loudness(self, step_ms: int = 20) -> "np.ndarray[Any, np.dtype[np.float32]]":
        """Root mean square of each step of ``step_ms``, full scale 1.0; a last partial step is left out."""
        step = step_ms * _PER_MS
        whole = self.samples[: len(self.samples) // step * step].reshape(-1, step)
        power: np.ndarray[Any, np.dtype[np.float32]] = (whole * whole).mean(axis=1)
        return power**0.5


def decode(path: Path | str) -> Sound:
    """One audio or video file -> its sound.

    Raises InputError, naming the file, the cause and the cure, for whatever cannot be heard whole.
    """
    path = Path(path)
    _refuse_what_is_no_sound(path, read_head(path))
    digest = hash_file(path)
    samples, holes = _decode(path)
    if not len(samples):
        raise InputError(f"{path}: no sound in it (its length is zero); give another copy of the recording")
    return Sound(path.name, digest, samples, holes)


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
    missing = _bytes_missing(path, head)
    if missing:
        raise InputError(f"{path}: cut short ({missing}); copy the recording again from where it was made")


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


def _bytes_missing(path: Path, head: bytes) -> str | None:
    """How a WAV or Ogg file gives away that its end is gone (FFmpeg just plays what is left); None if it does not."""
    size = path.stat().st_size
    if head[:4] == b"RIFF" and head[8:12] == b"WAVE":
        at = 12
        while at + 8 <= len(head):
            name, length = struct.unpack_from("<4sI", head, at)
            if name == b"data":  # live recorders leave 0 or the largest number here: they promise nothing
                missing = at + 8 + length - size
                return f"{missing:,} bytes of sound are missing" if 0 < missing and length < 0xFFFFFF00 else None
            at += 8 + length + length % 2
    if head[:4] == b"OggS":
        with path.open("rb") as file:
            file.seek(max(0, size - 131_072))  # a page is at most 65,307 bytes
            tail = file.read()
        at = tail.rfind(b"OggS")
        segments = tail[at + 27 : at + 27 + tail[at + 26]] if len(tail) > at + 26 else b""
        if not segments or at + 27 + len(segments) + sum(segments) > len(tail):
            return "the file stops in the middle of a page"
    return None


def _holds(path: Path, needle: bytes) -> bool:
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as view:
        return view.find(needle) >= 0


def _decode(path: Path) -> tuple["np.ndarray[Any, np.dtype[np.float32]]", tuple[tuple[int, int], ...]]:
    """The samples and the holes in them (see ``Sound``)."""
    import av
    import numpy as np

    pcm = bytearray()
    holes: list[tuple[int, int]] = []  # in samples
    damaged = False
    resampler, shape = None, None
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
                here = len(pcm) // 2
                if frame is None:
                    damaged = True
                    _extend(holes, here, here)
                    continue
                if frame.time is not None:
                    first_s = frame.time if first_s is None else first_s
                    at_s = frame.time - first_s
                    # A broken clock may jump by days: what lies beyond the declared end is no pause.
                    if at_s - here / RATE > _PAUSE_S and at_s <= (declared_s or _LONGEST_S) + _SHORT_S:
                        there = round(at_s * RATE)
                        pcm += bytes(2 * (there - here))
                        _extend(holes, here, there)
                # Chained Ogg files and some phones change rate or channels on the way: each run has its own resampler.
                if (frame.format.name, frame.layout.name, frame.sample_rate) != shape:
                    pcm += _resample(resampler, None)
                    shape = (frame.format.name, frame.layout.name, frame.sample_rate)
                    resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
                frame.pts = None  # the resampler must not mend the clock a second time
                pcm += _resample(resampler, frame)
            pcm += _resample(resampler, None)
    except av.error.FFmpegError as error:
        raise InputError(f"{path}: {_cause(path)}") from error
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({_reason(error)}); copy the recording again") from error
    if damaged and not pcm:
        raise InputError(f"{path}: {_cause(path)}")
    # Silence that stands for what could not be decoded is no sound of the recording; a recorder's own pause is.
    missing = sum(past - start for start, past in holes) if damaged else 0
    held_s = (len(pcm) // 2 - missing) / RATE
    if declared_s is not None and declared_s - held_s > max(_SHORT_S, _SHORT_SHARE * declared_s):
        raise InputError(
            f"{path}: cut short or damaged: it declares {declared_s:.0f} s of sound and holds {held_s:.0f} s; "
            "copy the recording again from where it was made"
        )
    samples = np.frombuffer(pcm, dtype=np.int16).astype(np.float32)
    samples /= 32768.0
    return samples, tuple((start // _PER_MS, past // _PER_MS) for start, past in holes)


def _extend(holes: list[tuple[int, int]], start: int, past: int) -> None:
    """Adds a hole, to the one before where they touch."""
    if holes and holes[-1][1] >= start:
        start = holes.pop()[0]
    holes.append((start, past))


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
