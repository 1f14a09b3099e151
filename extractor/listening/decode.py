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
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from extractor.errors import InputError
from extractor.listening.mixing import RATE as RATE
from extractor.listening.track import (
    BLANK,
    BROKEN_OFF,
    DAMAGED,
    DAMAGED_UNCLOCKED,
    LOST,
    PAUSED,
    PER_MS,
    StoredSamples,
    Track,
)
from extractor.model import Gap

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[np.float32]]

#: A container may promise this much more than it holds before it counts as cut short. Of a film it may tell the length
#: of its pictures: then both the seconds and the share must be exceeded.
_SHORT_S, _SHORT_FILM_S, _SHORT_FILM_SHARE = 0.3, 1.0, 0.02
#: A pause in the container's own clock shorter than this is rounding or drift, not a pause.
_PAUSE_S = 0.1
#: Some containers round their clock to a thousandth of a second.
_TICK_S = 0.002
#: FFmpeg guesses these lengths from the bit rate: a guess is no promise.
_DECLARES_NO_LENGTH = {"aac", "ac3", "eac3", "dts", "mpegts", "amr"}
#: A time beyond the declared end by this much may still be.
_CLOCK_TOLERANCE_S = 1.0
#: Bare frames without a clock: FFmpeg counts what it finds, and what is damaged it does not count.
_HAS_NO_CLOCK = {"mp3", "aac", "ac3", "eac3", "dts", "amr"}
#: No recording of one case is longer: a clock or a length beyond is a fault.
_LONGEST_S = 24 * 3600.0
#: A container that is found damaged so often, and gone on with, is given up.
_MOST_FAULTS = 1000
#: A time before is that of a recorder whose clock was never set.
_CLOCK_SET = 2000
_HEAD = 4096
_PIECE = 1 << 20
#: An encrypted sound track of an MP4 (ISO/IEC 14496-12: its sample entry, and the original format's box within, from
#: memory). Looked for before decoding: FFmpeg takes such bytes for sound, and noise would pass for the recording.
_ENCRYPTED = (b"enca" + bytes(6), b"sinf\0\0\0\x0cfrma")
#: What disks and copying programs lose at a time, and how near its edge there must be sound.
_BLOCK, _EDGE = 4096, 8

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


@dataclass(frozen=True, eq=False)
class Sound:
    """One decoded file.

    ``holes``: what the file's own clock has and its sound has not, on that clock: a pause of the recorder, damage, a
    lost end. Silence stands there, so that later words keep their time. ``faults``: what is wrong with the file, a line
    each for the person who can put it right. ``recorded``: when, by the file's tags; whether the start or the end is
    meant, they do not say. ``offset_ms``: where the first sample stands on the case's clock.
    """

    name: str
    sha256: str
    samples: Samples
    holes: tuple[Gap, ...] = ()
    faults: tuple[str, ...] = ()
    recorded: datetime | None = None
    offset_ms: int = 0

    @property
    def duration_ms(self) -> int:
        return round(len(self.samples) / PER_MS)

    def cut(self, start_ms: int, end_ms: int) -> "Floats":
        """The samples from start to end, clipped to what there is."""
        return self.samples[max(0, start_ms) * PER_MS : max(0, end_ms) * PER_MS]

    def between(self, first: int, past: int) -> Samples:
        """A stretch of the samples, nothing copied."""
        if isinstance(self.samples, StoredSamples):
            return self.samples.between(first, past)
        return self.samples[first:past]


def decode(path: Path | str) -> Sound:
    """One audio or video file -> its sound, as much of it as can be read.

    Raises InputError, naming the file, the cause and the cure, where nothing can be heard in it; OutputError where
    there is no room for the sound on disk.
    """
    path = Path(path)
    _refuse_what_is_no_sound(path, read_head(path))
    digest = hash_file(path)
    track, recorded = _decode(path)
    if not track.heard:
        raise InputError(f"{path}: no sound in it (its length is zero); give another copy of the recording")
    return Sound(path.name, digest, track.samples(), track.gaps(), tuple(track.faults(str(path))), recorded)


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
    if head[4:8] == b"ftyp" and all(_holds(path, mark) for mark in _ENCRYPTED):
        raise InputError(f"{path}: its sound is encrypted; give a copy without protection")


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
    """How much a file lacks at its end by its own bytes, which FFmpeg does not tell (WAV, Ogg, MPEG transport stream):
    seconds, 0.0 where it lacks nothing, None where something is missing and nothing tells how much.
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
    if head[:1] == head[188:189] == head[376:377] == b"\x47" and size % 188:
        return None
    if head[:4] == b"OggS":
        with path.open("rb") as file:
            file.seek(max(0, size - 131_072))  # a page is at most 65,307 bytes
            tail = file.read()
        at = tail.rfind(b"OggS")
        segments = tail[at + 27 : at + 27 + tail[at + 26]] if len(tail) > at + 26 else b""
        if not segments or at + 27 + len(segments) + sum(segments) != len(tail):
            return None  # in the middle of a page, or what followed the last one is no page any more
    return 0.0


def _blanks(path: Path) -> Iterator[tuple[float, float]]:
    """Stretches of a WAV file that are blank, in seconds: blocks of 4096 zero bytes, as disks and copying lose them.

    A muted recorder writes zeros too, but they neither begin nor end where a block does. In other files blank blocks
    cannot be decoded, and are found that way.
    """
    import numpy as np

    head = read_head(path)
    data = head.find(b"data") + 8
    if head[:4] != b"RIFF" or head[8:12] != b"WAVE" or data < 36:
        return
    (bytes_a_second,) = struct.unpack_from("<I", head, head.find(b"fmt ") + 16)
    size, at, began = path.stat().st_size, 0, None
    with path.open("rb") as file:
        while piece := file.read(_PIECE):
            blocks = np.frombuffer(piece.ljust(-(-len(piece) // _BLOCK) * _BLOCK, b"\0"), np.uint8).reshape(-1, _BLOCK)
            for i, is_blank in enumerate(np.logical_not(blocks.any(axis=1)).tolist()):
                place = at + i * _BLOCK
                if is_blank and began is None:
                    began = place
                if began is not None and (not is_blank or place + _BLOCK >= size):
                    past = size if is_blank else place
                    file.seek(max(0, began - _EDGE))
                    before = file.read(_EDGE)
                    file.seek(past)
                    if bytes_a_second and any(before) and (past == size or any(file.read(_EDGE))):
                        yield (began - data) / bytes_a_second, (past - data) / bytes_a_second
                    began = None
            at += len(piece)
            file.seek(at)


def _holds(path: Path, needle: bytes, behind: int = 0) -> bool:
    """Whether the file holds these bytes. Read in pieces: a mapped file would count as memory, all of it."""
    with path.open("rb") as file:
        file.seek(behind)
        before = b""
        while piece := file.read(_PIECE):
            if needle in before + piece:
                return True
            before = piece[-len(needle) :]
    return False


def _decode(path: Path) -> tuple[Track, datetime | None]:
    """The whole file, as far as it can be read, and when it was recorded."""
    import av

    track = Track()
    # A file object and no protocols: nothing that the file's contents name is ever opened.
    options = {"protocol_whitelist": ""}
    try:
        with path.open("rb") as file, av.open(file, metadata_errors="ignore", options=options) as box:
            stream = box.streams.best("audio")
            if stream is None:
                raise InputError(f"{path}: pictures without sound; give the recording that has the voice")
            declared_s = _declared_s(path, box, stream)
            recorded = _recorded({**stream.metadata, **box.metadata})
            last = _fill(track, box, stream, declared_s)
            is_film = bool(box.streams.video)
    except av.error.FFmpegError as error:
        raise InputError(f"{path}: {_cause(path)}") from error
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({_reason(error)}); copy the recording again") from error
    if track.length and not track.heard:
        raise InputError(f"{path}: {_cause(path)}")
    for start_s, past_s in _blanks(path):
        track.mark(BLANK, round(max(0.0, start_s) * RATE), round(past_s * RATE))
    _lack_the_end(path, track, declared_s, last, is_film)
    return track, recorded


def _recorded(tags: dict[str, str]) -> datetime | None:
    """The time in a file's tags; None where there is none, or it has only a day, or is a clock that was never set."""
    tags = {name.lower(): text for name, text in tags.items()}
    # Broadcast WAV has day and time of day in two tags, and FFmpeg calls the second one creation_time too.
    told = (tags.get("creation_time", ""), f"{tags.get('date', '')}T{tags.get('creation_time', '')}", tags.get("date"))
    for text in told:
        try:
            at = datetime.fromisoformat(text or "")
        except ValueError:
            continue
        if at.year >= _CLOCK_SET and len(text or "") > len("2026-11-25"):
            return at
    return None


def _fill(track: Track, box: Any, stream: Any, declared_s: float | None) -> int:
    """All that can be decoded onto the track, where the container's clock has it -> the place of its last packet."""
    import av

    has_clock = not _HAS_NO_CLOCK & set(box.format.name.split(","))
    starts_s = box.start_time / av.time_base if box.start_time is not None and box.streams.video else None
    clock = _Clock(starts_s, _LONGEST_S if declared_s is None else declared_s + _CLOCK_TOLERANCE_S)
    decoder, resampler, shape = stream.codec_context, None, None
    taken, last, is_damaged = 0, 0, False
    for packet in _packets(box, stream):
        try:
            frames = decoder.decode(packet) if packet else None
        except av.error.FFmpegError:
            frames, decoder = None, _fresh(decoder)  # one that was fed with damage may write noise ever after
        if frames is None:
            is_damaged = True
            # Without a clock, as much time is taken for lost as the same bytes held before.
            lost = track.heard * packet.size // taken if packet and taken and not has_clock else 0
            track.lack(DAMAGED if has_clock else DAMAGED_UNCLOCKED, track.length + lost)
            continue
        for frame in frames:
            if has_clock and frame.time is not None:
                clock.place(track, frame.time, frame.samples / frame.sample_rate, is_damaged)
            is_damaged = False
            # Chained Ogg files and some phones change rate or channels on the way: each run has its own resampler.
            if (frame.format.name, frame.layout.name, frame.sample_rate) != shape:
                _resample(track, resampler, None)
                shape = (frame.format.name, frame.layout.name, frame.sample_rate)
                resampler = av.AudioResampler(format="flt", layout=frame.layout, rate=RATE)
            frame.pts = None  # the resampler must not mend the clock a second time
            _resample(track, resampler, frame)
        taken += packet.size
        last = int(packet.pos or last)
    _resample(track, resampler, None)
    return last


@dataclass
class _Clock:
    """The container's clock. ``starts_s``: its time where the track begins; ``longest_s``: where it must have ended."""

    starts_s: float | None
    longest_s: float
    _next_s: float | None = None

    def place(self, track: Track, time_s: float, length_s: float, is_damaged: bool) -> None:
        """Tells the track when a frame is to be heard, before it is added: after a hole, or a little off its length."""
        self.starts_s = time_s if self.starts_s is None else self.starts_s
        at = round((time_s - self.starts_s) * RATE)
        late = at - track.length
        # A broken clock may jump by days: what lies beyond the declared end is no pause.
        if late > (0 if is_damaged else _PAUSE_S * RATE) and at / RATE <= self.longest_s:
            track.lack(DAMAGED if is_damaged else PAUSED, at)
        elif abs(late) > _PAUSE_S * RATE and not track.take_back(at):
            self.starts_s = time_s - track.length / RATE  # it was set, or begins anew as in chained files: we go on
        # A clock that goes by leaps is no measure for how fast the sound goes.
        elif self._next_s is not None and abs(time_s - self._next_s) < length_s / 4 + _TICK_S:
            track.ahead_s = (at - track.length) / RATE
        self._next_s = time_s + length_s


def _fresh(used: Any) -> Any:
    """A new decoder like one that was used."""
    import av

    decoder = av.CodecContext.create(used.codec.name, "r")
    decoder.extradata = used.extradata
    for name in ("sample_rate", "layout", "format"):
        if getattr(used, name, None):
            setattr(decoder, name, getattr(used, name))
    return decoder


def _lack_the_end(path: Path, track: Track, declared_s: float | None, last: int, is_film: bool) -> None:
    """Silence for what the file says it holds and does not. ``last``: where its last packet stands, in bytes."""
    missing_s = _missing_s(path)
    if declared_s is not None:
        lacks_s = declared_s - track.length / RATE
        if lacks_s > (max(_SHORT_FILM_S, _SHORT_FILM_SHARE * declared_s) if is_film else _SHORT_S):
            # In fragments each tells its own length, and nobody that of all.
            missing_s = None if _holds(path, b"moof") else max(missing_s or 0.0, lacks_s)
    if not is_film and _holds(path, b"moof", last):  # in a film, more pictures may follow
        missing_s = None
    if missing_s is None or missing_s > _LONGEST_S:
        track.lack(BROKEN_OFF)
    elif missing_s:
        track.lack(LOST, track.length + round(missing_s * RATE))


def _resample(track: Track, resampler: Any, frame: Any) -> None:
    """The frame's sound onto the track; without a frame, what is still held back."""
    for piece in resampler.resample(frame) if resampler else ():
        track.add(piece.to_ndarray().reshape(-1, piece.layout.nb_channels).T)


def _packets(box: Any, stream: Any) -> Iterator[Any]:
    """The stream's packets; None where the container itself is damaged and FFmpeg goes on behind."""
    import av

    for _ in range(_MOST_FAULTS):
        try:
            yield from box.demux(stream)
        except (av.error.FFmpegError, IndexError):  # IndexError: damage that looks like a stream PyAV knows nothing of
            yield None
        else:
            return


def _declared_s(path: Path, box: Any, stream: Any) -> float | None:
    """How long the container says the sound is; None where it says nothing, or FFmpeg guessed from the bit rate."""
    import av

    names = set(box.format.name.split(","))
    if names & _DECLARES_NO_LENGTH:
        return None
    if "mp3" in names and not any(_holds(path, mark) for mark in (b"Xing", b"Info", b"VBRI")):
        return None
    if stream.duration is not None and not box.streams.video:
        return float(stream.duration * stream.time_base)
    return None if box.duration is None else float(box.duration / av.time_base)


def _cause(path: Path) -> str:
    """Why FFmpeg cannot open or decode the file, as far as its bytes tell."""
    if read_head(path)[4:8] == b"ftyp" and not _holds(path, b"moov"):
        return "cut short: the index at its end is missing; copy the recording again from where it was made"
    return "cannot be read as sound: no recording, or a damaged one; play it to check, or give another copy"
