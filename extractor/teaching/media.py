"""Sound of a case -> Opus in WebM, tones over what is taken out, and clips of it. By PyAV; no program is called.

A fresh container carries none of the old one's metadata. With a picture wished for, its packets are copied as they are,
where WebM can hold them: nothing in it is looked at.
"""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, Sound

if TYPE_CHECKING:
    import numpy as np

    Samples = np.ndarray[Any, np.dtype[np.float32]]

_PER_MS = RATE // 1000
#: Before and after a word: recognisers end words early.
_MARGIN_MS = 120
_TONE_HZ, _TONE_LOUDNESS = 800, 0.1
#: What WebM holds (its container guidelines).
_PICTURES = {"vp8", "vp9", "av1"}


def mixed(sounds: Sequence[tuple[int, Sound]], tones: Iterable[tuple[int, int]]) -> "Samples":
    """Sounds with where each begins (ms), and stretches (ms) -> one sound, a tone in place of each stretch."""
    import numpy as np

    length = max((offset_ms * _PER_MS + len(sound.samples) for offset_ms, sound in sounds), default=0)
    samples = np.zeros(length, np.float32)
    for offset_ms, sound in sounds:
        first = offset_ms * _PER_MS
        samples[first : first + len(sound.samples)] = sound.samples[0 : len(sound.samples)]
    for start_ms, end_ms in tones:
        first = max(0, (start_ms - _MARGIN_MS) * _PER_MS)
        past = min(length, (end_ms + _MARGIN_MS) * _PER_MS)
        if past > first:
            at = np.arange(first, past, dtype=np.float32) / RATE
            samples[first:past] = _TONE_LOUDNESS * np.sin(2 * np.pi * _TONE_HZ * at)
    return samples


def cut(samples: "Samples", start_ms: int, end_ms: int) -> "Samples":
    """A stretch of a sound, clipped to what there is."""
    return samples[max(0, start_ms) * _PER_MS : max(0, end_ms) * _PER_MS]


def write(samples: "Samples", out: Path, picture: Path | None = None) -> None:
    """A sound -> a WebM file of it, the same to the byte at every run; with ``picture`` that file's video beside it.

    InputError where the picture is of a kind that WebM does not hold, OutputError where it cannot be written.
    """
    import av
    import numpy as np

    try:
        with av.open(str(out), "w", format="webm", options={"fflags": "+bitexact"}) as goal:
            film = av.open(str(picture)) if picture else None
            shown = film.streams.video[0] if film and film.streams.video else None
            if shown is not None and shown.codec_context.name.split("-")[0] not in _PICTURES:
                raise InputError(f"{picture}: its picture is {shown.codec_context.name}, which WebM does not hold")
            copied = goal.add_stream_from_template(shown) if shown is not None else None
            voice = goal.add_stream("libopus", rate=RATE, layout="mono")
            voice.codec_context.bit_rate = 32_000
            packets = film.demux(shown) if film and shown is not None else iter(())
            waiting = next(packets, None)
            for first in range(0, len(samples), RATE):
                second = np.ascontiguousarray(samples[first : first + RATE].reshape(1, -1))
                frame = av.AudioFrame.from_ndarray(second, format="flt", layout="mono")
                frame.sample_rate, frame.pts = RATE, first
                goal.mux(voice.encode(frame))
                while waiting is not None and copied is not None:
                    if waiting.dts is not None:
                        if waiting.time_base is None or waiting.dts * waiting.time_base > (first + RATE) / RATE:
                            break
                        waiting.stream = copied
                        goal.mux(waiting)
                    waiting = next(packets, None)
            goal.mux(voice.encode(None))
            if film:
                film.close()
    except (OSError, av.error.FFmpegError) as error:
        raise OutputError(f"{out}: cannot be written ({error})") from error
