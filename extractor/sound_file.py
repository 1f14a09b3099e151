"""The sounds of a case on one clock, and its picture -> WebM, and clips of that. By PyAV; no program is called.

Sound becomes Opus; where the sounds lie on disk, hours need no more memory than minutes. A picture is copied as it is
where WebM can hold it; any other (H.264, HEVC) becomes VP9, at most 480 lines and 15 pictures a second: a lesson, not
an archive. A fresh container carries none of the old one's metadata. Nothing in the picture is looked at.
"""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, Samples

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[np.float32]]

PER_MS = RATE // 1000
#: What WebM holds (its container guidelines).
_PICTURES = {"vp8", "vp9", "av1"}
#: What a picture that WebM does not hold becomes; a whole picture every two seconds, so that clips can begin there.
_LINES, _PICTURES_A_SECOND, _WHOLE_EVERY, _BITS_A_SECOND = 480, 15, 30, 800_000
#: A clip may begin so much early, s, before its picture is made anew.
_EARLY_S = 3
#: The quickest of the encoder's settings that gives the same bytes at every run; its row-mt does not.
_QUICKLY = {"deadline": "realtime", "cpu-used": "8"}


class OneClock:
    """Sounds with their starts (ms) -> one, sliced like an array. Where two lie over each other the later counts."""

    def __init__(self, sounds: Sequence[tuple[int, Samples]]) -> None:
        self._sounds = [(offset_ms * PER_MS, samples) for offset_ms, samples in sounds]

    def __len__(self) -> int:
        return max((first + len(samples) for first, samples in self._sounds), default=0)

    def __getitem__(self, stretch: slice, /) -> "Floats":
        """A stretch without steps, float32; silence where no sound lies."""
        import numpy as np

        start, past, _ = stretch.indices(len(self))
        cut = np.zeros(max(0, past - start), np.float32)
        for first, samples in self._sounds:
            begin, end = max(start, first), min(past, first + len(samples))
            if begin < end:
                cut[begin - start : end - start] = samples[begin - first : end - first]
        return cut


def write(samples: Samples, out: Path, picture: Path | None = None) -> None:
    """A sound -> a WebM file of it, the same to the byte at every run; with ``picture`` that file's video beside it.

    InputError where ``picture`` holds none or it cannot be read, OutputError where the file cannot be written.
    """
    import av
    import numpy as np

    try:
        with ExitStack() as open_files:
            goal = open_files.enter_context(av.open(str(out), "w", format="webm", options={"fflags": "+bitexact"}))
            film = open_files.enter_context(_opened(picture)) if picture else None
            shown = _pictures(film, goal, picture) if film and picture else iter(())
            waiting = next(shown, None)  # the picture's track comes first, as players like it
            voice = goal.add_stream("libopus", rate=RATE, layout="mono")
            voice.codec_context.bit_rate = 32_000
            for first in range(0, len(samples), RATE):
                second = np.ascontiguousarray(samples[first : first + RATE].reshape(1, -1))
                frame = av.AudioFrame.from_ndarray(second, format="flt", layout="mono")
                frame.sample_rate, frame.pts = RATE, first
                goal.mux(voice.encode(frame))
                while waiting is not None and waiting.dts * waiting.time_base <= (first + RATE) / RATE:
                    goal.mux(waiting)
                    waiting = next(shown, None)
            goal.mux(voice.encode(None))
            while waiting is not None:
                goal.mux(waiting)
                waiting = next(shown, None)
    except (OSError, av.error.FFmpegError) as error:
        raise OutputError(f"{out}: cannot be written ({error})") from error


def write_clip(film: Path, out: Path, start_ms: int, end_ms: int) -> None:
    """A WebM of ``write``'s -> a stretch of it with its picture.

    Copied as it is from the last whole picture before the stretch, the sound with it; where that is long before, the
    picture is made anew and begins with the stretch. OutputError where it cannot be written.
    """
    import av

    start_s, end_s = Fraction(max(0, start_ms), 1000), Fraction(end_ms, 1000)
    try:
        with av.open(str(film)) as box, av.open(str(out), "w", format="webm", options={"fflags": "+bitexact"}) as goal:
            shown, voice = box.streams.video[0], box.streams.audio[0]
            begin_s = _whole_before(box, shown, start_s)
            if start_s - begin_s > _EARLY_S:
                begin_s = start_s
                pictures = _made_anew(box, shown, goal, begin_s, end_s)
            else:
                pictures = _copied(box, shown, goal, begin_s, end_s)
            first = next(pictures, None)  # the picture's track comes first, as players like it
            copy = goal.add_stream_from_template(voice)
            for packet in (*([first] if first else ()), *pictures):
                goal.mux(packet)
            box.seek(round(begin_s * av.time_base))
            for packet in box.demux(voice):
                if packet.pts is None or packet.time_base is None or packet.pts * packet.time_base < begin_s:
                    continue
                if packet.pts * packet.time_base >= end_s:
                    break
                goal.mux(_shifted(packet, begin_s, copy))
    except (OSError, av.error.FFmpegError) as error:
        raise OutputError(f"{out}: cannot be written ({error})") from error


def _whole_before(box: Any, shown: Any, start_s: Fraction) -> Fraction:
    """When the last whole picture before a time is shown, s; the film is left there."""
    import av

    box.seek(round(start_s * av.time_base))
    packet = next(box.demux(shown))
    return Fraction(packet.pts * packet.time_base) if packet.pts is not None else start_s


def _shifted(packet: Any, starts_s: Fraction, track: Any) -> Any:
    """A packet -> the same on another track that begins at this time of its own."""
    shift = round(starts_s / packet.time_base)
    packet.pts, packet.dts, packet.stream = packet.pts - shift, packet.dts - shift, track
    return packet


def has_picture(path: Path) -> bool:
    """Whether a recording has a moving picture; a still one, such as a cover, is none."""
    import av

    options = {"protocol_whitelist": ""}  # nothing that the file's contents name is ever opened
    try:
        with path.open("rb") as file, av.open(file, metadata_errors="ignore", options=options) as box:
            return any(not stream.disposition & av.stream.Disposition.attached_pic for stream in box.streams.video)
    except (OSError, av.error.FFmpegError):
        return False


def _opened(picture: Path) -> Any:
    import av

    try:  # no protocols: nothing that the file's contents name is ever opened
        return av.open(str(picture), metadata_errors="ignore", options={"protocol_whitelist": "file"})
    except (OSError, av.error.FFmpegError) as error:
        raise InputError(f"{picture}: its picture cannot be read ({error}); leave --picture out") from error


def _pictures(film: Any, goal: Any, path: Path) -> Iterator[Any]:
    """A film -> the packets of its picture for ``goal``, from the film's own beginning on."""
    import av

    if not film.streams.video:
        raise InputError(f"{path}: holds no picture; leave --picture out")
    shown = film.streams.video[0]
    starts_s = Fraction(film.start_time or 0, av.time_base)
    try:
        if shown.codec_context.name.split("-")[0].removeprefix("lib") in _PICTURES:
            yield from _copied(film, shown, goal, starts_s)
        else:
            yield from _made_anew(film, shown, goal, starts_s)
    except av.error.InvalidDataError as error:
        raise InputError(f"{path}: its picture cannot be read ({error}); leave --picture out") from error


def _copied(film: Any, shown: Any, goal: Any, starts_s: Fraction, ends_s: Fraction | None = None) -> Iterator[Any]:
    import av

    track = goal.add_stream_from_template(shown)
    track.metadata.clear()
    if ends_s is not None:
        film.seek(round(starts_s * av.time_base))
    for packet in film.demux(shown):
        if packet.dts is not None and packet.time_base is not None:
            if ends_s is not None and packet.pts * packet.time_base >= ends_s:
                return
            yield _shifted(packet, starts_s, track)


def _made_anew(film: Any, shown: Any, goal: Any, starts_s: Fraction, ends_s: Fraction | None = None) -> Iterator[Any]:
    """On a grid of fifteenths of a second: of several pictures in one, the first."""
    import av

    scale = min(1.0, _LINES / shown.height)
    track = goal.add_stream("libvpx-vp9", rate=_PICTURES_A_SECOND, options=_QUICKLY)
    track.width, track.height = (2 * round(side * scale / 2) for side in (shown.width, shown.height))
    track.pix_fmt, track.bit_rate, track.gop_size = "yuv420p", _BITS_A_SECOND, _WHOLE_EVERY
    shown.thread_type = "AUTO"
    if ends_s is not None:
        film.seek(round(starts_s * av.time_base))
    last = -1
    for frame in film.decode(shown):
        if frame.pts is None:
            continue
        if ends_s is not None and frame.pts * frame.time_base >= ends_s:
            break
        at = round((frame.pts * frame.time_base - starts_s) * _PICTURES_A_SECOND)
        if at <= last:
            continue
        last = at
        small = frame.reformat(width=track.width, height=track.height, format="yuv420p")
        small.pts, small.time_base, small.pict_type = at, Fraction(1, _PICTURES_A_SECOND), 0
        yield from track.encode(small)
    yield from track.encode(None)
