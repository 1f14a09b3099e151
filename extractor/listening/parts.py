"""The sounds of one case -> where each lies on the case's clock, what is missing between them, what two hold twice.

One after another as they were given, unless the files say otherwise:

* Where the same seconds end one file and begin the next, the two are laid over each other, and each second is heard
  once. That is decided by the sound alone, and only where it is sure: a waveform that fits throughout, at one place.
* Where every file tells when it was recorded (in its tags, else in its name) and those times fit the files' lengths,
  they tell the order, and where nothing was recorded. A tag may mean a file's start or its end, which differs from
  recorder to recorder: the start is taken, unless only the end fits or lays the files end to end.

Times that do not fit are not used, and that is told.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from extractor.errors import InputError
from extractor.listening.decode import Sound
from extractor.listening.mixing import RATE
from extractor.listening.track import PER_MS
from extractor.model import Check, Gap

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[np.float32]]

#: Recorders tell whole seconds, and some a moment late: less than this between two files is nothing.
_ROUNDING_S = 2.0
#: What is told to lie further apart is not one case.
_LONGEST_CASE_S = 24 * 3600.0

#: Sought at the end of one and the start of the next, at a quarter of the rate.
_LONGEST_OVERLAP_S, _SHORTEST_OVERLAP_S = 120.0, 1.0
_THINNED = 4
_PER_S = RATE // _THINNED
#: Sure: so much alike on the whole, so much less anywhere else, and alike in a second's worth of quarter seconds. One
#: loud beep in both is no match, nor is hum, which fits in many places.
_ALIKE, _LESS, _PIECES = 0.7, 0.25, 4
#: The band around the best place in which a voice is like itself.
_SAME_PLACE_S = 0.05
#: Softer than this there is nothing to compare.
_SILENT = 1e-4

#: A time in a file's name: 2026-11-25 14.03.07, 20261125_140307, 2026-11-25T14-03-07.
_NAMED = re.compile(r"(?<!\d)(20\d\d)[-_.]?(\d\d)[-_.]?(\d\d)[-_. T]?(\d\d)[-_.:]?(\d\d)[-_.:]?(\d\d)(?!\d)")


@dataclass(frozen=True)
class Laid:
    """The sounds of a case in its order, and how they lie.

    ``offsets_ms``: where each file's start lies on the case's clock. ``sounds``: what is to be heard of each, placed by
    its own ``offset_ms``: less than the file where the next one holds the same. ``checks``: what a person should know
    of how they were laid.
    """

    files: tuple[Sound, ...]
    offsets_ms: tuple[int, ...]
    sounds: tuple[Sound, ...]
    gaps: tuple[Gap, ...]
    checks: tuple[Check, ...]


def lay(sounds: Sequence[Sound]) -> Laid:
    """Whole sounds in the order given -> their places. Raises InputError where the same file is given twice."""
    for i, sound in enumerate(sounds):
        if sound.sha256 in {each.sha256 for each in sounds[:i]}:
            raise InputError(f"{sound.name}: the same recording twice; name it once")
    files, waits_s, checks = _in_order(sounds)
    offsets = [0]
    heard = [(0, len(sound.samples)) for sound in files]
    gaps: list[Gap] = []
    for i, (one, following) in enumerate(pairwise(files)):
        end = offsets[-1] + len(one.samples)
        doubled = overlap(one, following)
        wait = round(waits_s[i] * RATE) if not doubled and waits_s[i] > _ROUNDING_S else 0
        if doubled:
            at = _quietest(one.samples[len(one.samples) - doubled :])
            heard[i] = (heard[i][0], len(one.samples) - doubled + at)
            heard[i + 1] = (at, len(following.samples))
            message = f"The first {doubled / RATE:.1f} s of {following.name} are the last of {one.name}: heard once."
            checks.append(Check(code="parts-overlap", severity="note", message=message))
        elif wait:
            why = f"nothing was recorded between {one.name} and {following.name}, by the times they tell"
            gaps.append(Gap(start_ms=_ms(end), end_ms=_ms(end + wait), why=why, recorded=False))
        offsets.append(end + wait - doubled)
    placed = []
    for sound, offset, (first, past) in zip(files, offsets, heard, strict=True):
        placed.append(replace(sound, samples=sound.between(first, past), offset_ms=_ms(offset + first)))
        gaps += _moved(sound.holes, _ms(offset), _ms(first), _ms(past))
    gaps.sort(key=lambda gap: (gap.start_ms, gap.end_ms))
    return Laid(tuple(files), tuple(map(_ms, offsets)), tuple(placed), tuple(gaps), tuple(checks))


def _ms(samples: int) -> int:
    return round(samples / PER_MS)


def _moved(holes: Sequence[Gap], offset_ms: int, first_ms: int, past_ms: int) -> Iterator[Gap]:
    """Holes of a file onto the case's clock, as far as they lie in what is heard of it."""
    for hole in holes:
        start_ms, end_ms = max(hole.start_ms, first_ms), min(hole.end_ms, past_ms)
        if start_ms <= end_ms:
            yield hole.model_copy(update={"start_ms": offset_ms + start_ms, "end_ms": offset_ms + end_ms})


# --- by the times the files tell


def _in_order(sounds: Sequence[Sound]) -> tuple[list[Sound], list[float], list[Check]]:
    """The sounds in the order of the case, how long nothing was recorded after each, in seconds, and what to tell."""
    as_given = list(sounds), [0.0] * (len(sounds) - 1), list[Check]()
    if len(sounds) < 2:
        return as_given
    clocks = list(_clocks(sounds))
    fitting = [(order, waits_s) for order, waits_s in map(_waits, clocks) if _fit(order, waits_s)]
    if not fitting:
        if clocks:
            times = ", ".join(f"{sound.name} {at:%Y-%m-%d %H:%M:%S}" for at, sound in clocks[0])
            message = f"The files are laid one after another as given: the times they tell do not fit ({times})."
            as_given[2].append(Check(code="parts-times", severity="note", message=message))
        return as_given
    end_to_end = [(order, waits_s) for order, waits_s in fitting if max(waits_s) <= _ROUNDING_S]
    order, waits_s = [*end_to_end, *fitting][0]
    checks = []
    if order != list(sounds):
        names = ", ".join(sound.name for sound in order)
        message = f"The files are laid in the order of the times they tell, not in the order given: {names}."
        checks.append(Check(code="parts-order", severity="review", message=message))
    return order, waits_s, checks


_Clock = list[tuple[datetime, Sound]]  # when each file began


def _clocks(sounds: Sequence[Sound]) -> Iterator[_Clock]:
    """Each way in which every file tells when it began; a tag may be the start or the end."""
    tagged = [sound.recorded for sound in sounds if sound.recorded]
    if len(tagged) == len(sounds) and len({at.tzinfo is None for at in tagged}) == 1:
        yield list(zip(tagged, sounds, strict=True))
        yield [(at - _length(sound), sound) for at, sound in zip(tagged, sounds, strict=True)]
    named = [at for sound in sounds if (at := _named(sound.name))]
    if len(named) == len(sounds):
        yield list(zip(named, sounds, strict=True))


def _length(sound: Sound) -> timedelta:
    return timedelta(milliseconds=sound.duration_ms)


def _named(name: str) -> datetime | None:
    """The time in a file's name, which is a time of day without a zone."""
    match = _NAMED.search(name)
    try:
        return datetime.strptime("".join(match.groups()), "%Y%m%d%H%M%S") if match else None
    except ValueError:  # the 45th of March
        return None


def _waits(clock: _Clock) -> tuple[list[Sound], list[float]]:
    """The sounds by their times, and the seconds from each one's end to the next one's start."""
    clock = sorted(clock, key=lambda each: each[0])
    waits_s = [(following - at - _length(sound)).total_seconds() for (at, sound), (following, _) in pairwise(clock)]
    return [sound for _, sound in clock], waits_s


def _fit(order: Sequence[Sound], waits_s: Sequence[float]) -> bool:
    """Whether no file begins before the one before ends, unless their sounds overlap by as much."""
    if sum(waits_s) + sum(sound.duration_ms for sound in order) / 1000 > _LONGEST_CASE_S:
        return False
    return all(
        wait_s >= -_ROUNDING_S or abs(overlap(one, following) / RATE + wait_s) <= _ROUNDING_S
        for (one, following), wait_s in zip(pairwise(order), waits_s, strict=True)
    )


# --- by the sound


def overlap(one: Sound, following: Sound) -> int:
    """How many samples at the end of one are the first of the next again; 0 where that is not sure."""
    import numpy as np

    longest = min(round(_LONGEST_OVERLAP_S * RATE), len(one.samples), len(following.samples)) // _THINNED * _THINNED
    if longest < _SHORTEST_OVERLAP_S * RATE:
        return 0
    tail, head = _thin(one.samples[len(one.samples) - longest :]), _thin(following.samples[:longest])
    size = 1 << (2 * len(tail)).bit_length()
    products = np.fft.irfft(np.fft.rfft(tail, size) * np.fft.rfft(head, size).conj(), size)[: len(tail)][::-1]
    power = np.cumsum(tail[::-1] ** 2) * np.cumsum(head**2)
    alike = products / np.sqrt(power + 1e-12)  # [n - 1]: the last n of the one with the first n of the next
    alike[: round(_SHORTEST_OVERLAP_S * _PER_S) - 1] = 0.0
    best = int(alike.argmax())
    beside = round(_SAME_PLACE_S * _PER_S)
    elsewhere = max(alike[: max(0, best - beside)].max(initial=0.0), alike[best + beside + 1 :].max(initial=0.0))
    length = best + 1
    itself = np.fft.irfft(np.abs(np.fft.rfft(head[:length], size)) ** 2, size)  # a tone is, again and again
    elsewhere = max(elsewhere, itself[beside:length].max(initial=0.0) / (itself[0] + 1e-12))
    if alike[best] < _ALIKE or elsewhere > alike[best] - _LESS:
        return 0
    piece = _PER_S // 4
    pairs = ((tail[len(tail) - length + at :][:piece], head[at:][:piece]) for at in range(0, length - piece + 1, piece))
    fits = sum(float(a @ b) > _ALIKE * float(a @ a * (b @ b)) ** 0.5 > _SILENT**2 * piece for a, b in pairs)
    return length * _THINNED if fits >= _PIECES else 0


def _thin(sound: "Floats") -> "Floats":
    """A quarter of the rate, without hum: each four samples' mean, less the one before."""
    import numpy as np

    means = sound[: len(sound) // _THINNED * _THINNED].reshape(-1, _THINNED).mean(axis=1)
    thin: Floats = np.diff(means, prepend=means[:1])
    return thin


def _quietest(sound: "Floats") -> int:
    """The middle of the quietest fifth of a second, a quarter second from either end: no word is cut there."""
    import numpy as np

    window, margin = RATE // 5, RATE // 4
    power = np.cumsum(np.square(sound[margin : len(sound) - margin], dtype=np.float64))
    return margin + window // 2 + int((power[window:] - power[:-window]).argmin())
