"""Sizes told of things earlier in a case, and which of them a thing has that nobody sizes again.

Rules carry a size over where they know which thing is meant. Where they do not, what happens stands without its size,
though it was told: "the sheath is out", of the third one. A log-linear model weighs the sizes told before: each clue
(what had it, how long ago, whether that came out since) has a weight, they add up, and against all of them stands that
none is meant. The likeliest is given and marked, the others beside it. The weights are data
(``lexicons/told_before.toml``), fitted by ``tools/told_before.py``.
"""

import math
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from extractor.model import VALUE_KEYS, Alternative, Event, Kind, Status, Value

#: The sizes of what each kind does something with.
_SIZES: Mapping[Kind, tuple[str, ...]] = {
    Kind.INFLATION: ("diameter", "length"),
    Kind.STENT: ("diameter", "length", "gauge"),
    Kind.INSERT: ("gauge", "wire_diameter", "diameter", "length"),
    Kind.REMOVE: ("gauge", "wire_diameter", "diameter", "length"),
    Kind.EMBOLISE: ("diameter", "length"),
    Kind.CLOSURE: ("gauge",),
}
_IN_OR_OUT = {Kind.INSERT, Kind.REMOVE}
#: As many events back as a speaker keeps in mind, and so many sizes. Set by hand, no source.
_LOOK_BACK, _MOST = 60, 8
#: A size likelier than not is given.
_LIKELY = 0.5
#: Borders between how many events ago: small talk in between changes nothing. A count beyond the last tells no more.
_AGO, _MANY = (2, 3, 5, 8, 13, 21, 34), 4


class Told(NamedTuple):
    """A size that was told before: as it was told last, and the clues to its being meant."""

    value: Value
    clues: tuple[str, ...]


class Slot(NamedTuple):
    """A size nobody says of an event: the event's number, the key, the sizes told before, the last first."""

    at: int
    key: str
    told: tuple[Told, ...]


def give_told_before(events: Sequence[Event], weights: Mapping[str, float]) -> tuple[Event, ...]:
    """Events of a case in order, clue -> weight in log odds -> the events, with a size told before where one is likely
    and they have none. Where nothing has a weight nothing is given. Pure; in time linear in the number of events.
    """
    given = list(events)
    for slot in slots(events) if weights else ():
        likely = likelihoods(slot, weights)
        best = max(range(len(likely)), key=likely.__getitem__)
        if likely[best] >= _LIKELY:
            given[slot.at] = _with(given[slot.at], slot, best, likely)
    return tuple(given)


def slots(events: Sequence[Event], *, carried: bool = False) -> Iterator[Slot]:
    """The sizes that events lack, where any such was told before; ``carried``: and those that a rule carries over to
    them, which tell a fit what is meant.
    """
    for at, event in enumerate(events):
        for key in _SIZES.get(event.kind, ()):
            value = event.values.get(key)
            if value is None or (carried and "carried-over" in value.flags):
                told = tuple(_told(events, at, key))
                if told:
                    yield Slot(at, key, told)


def likelihoods(slot: Slot, weights: Mapping[str, float]) -> list[float]:
    """The probability of each size of a slot; what they lack of 1 is that of none. A clue without a weight counts
    nothing.
    """
    odds = [math.exp(sum(weights.get(clue, 0.0) for clue in told.clues)) for told in slot.told]
    whole = 1 + sum(odds)
    return [each / whole for each in odds]


def _with(event: Event, slot: Slot, best: int, likely: Sequence[float]) -> Event:
    told = slot.told[best].value
    confidence = round(min(told.confidence, likely[best]), 3)
    value = told.model_copy(
        update={
            "confidence": confidence,
            "review": True,
            "flags": tuple(sorted({*told.flags, "carried-over", "which-device"})),
            "alternatives": tuple(
                Alternative(
                    value=other.value.value, unit=other.value.unit, log_ratio=round(math.log(each / likely[best]), 2)
                )
                for number, (other, each) in enumerate(zip(slot.told, likely, strict=True))
                if number != best
            ),
        }
    )
    values = {
        key: value if key == slot.key else event.values[key] for key in VALUE_KEYS if key in {*event.values, slot.key}
    }
    return event.model_copy(update={"values": values, "confidence": min(event.confidence, confidence)})


def _told(events: Sequence[Event], at: int, key: str) -> Iterator[Told]:
    """The different sizes told before an event."""
    event, what = events[at], f"{events[at].kind} {key}"
    taken = event.values.get(key)
    last: dict[tuple[float, str], int] = {}  # of each size, the number of the event that told it last
    times: dict[tuple[float, str], int] = {}
    for number in range(at - 1, max(-1, at - 1 - _LOOK_BACK), -1):
        value = events[number].values.get(key) if _can_be_of(event, events[number]) else None
        size = (value.value, value.unit) if value else None
        if size in times:
            times[size] += 1
        elif size and len(last) < _MOST:
            last[size], times[size] = number, 1
    of_alike = sum(_is_alike(event, events[number]) for number in last.values())
    nearer = 0
    for rank, (size, number) in enumerate(last.items()):
        other = events[number]
        alike = _is_alike(event, other)
        clues = (
            *_clues(event, other, key, alike),
            *_clues_since(event, other, key, alike, events[number + 1 : at]),
            f"{what} taken {taken and (taken.value, taken.unit) == size}",
            f"{what} number {rank}",
            f"{what} of {min(len(last), _MANY)}",
            f"{what} alike {alike} number {nearer}",
            f"{what} alike {alike} of {min(of_alike, _MANY)}",
            f"{what} alike {alike} times {min(times[size], _MANY)}",
        )
        yield Told(other.values[key], clues)
        nearer += alike


def _can_be_of(event: Event, other: Event) -> bool:
    """Whether a size of another event can be of this one's thing: no catheter has a wire's thickness."""
    return event.kind not in _IN_OR_OUT or (other.kind in _IN_OR_OUT and _noun(event) == _noun(other))


def _is_alike(event: Event, other: Event) -> bool:
    """Whether two events are of one kind, or in and out, and of one noun."""
    kinds = {event.kind, other.kind}
    return _noun(event) == _noun(other) and (len(kinds) == 1 or kinds == _IN_OR_OUT)


def _noun(event: Event) -> str:
    return (event.device or "").rpartition(" ")[2]


def _clues(event: Event, other: Event, key: str, alike: bool) -> Iterator[str]:
    """What the two events tell of themselves."""
    what = f"{event.kind} {key}"
    yield from (what, f"{what} {event.status}", f"{what} of {event.device}", f"{event.status} of {event.device}")
    yield f"{what} {event.status} from {other.kind} {other.status}"
    yield f"{what} alike {alike} from {other.kind}"
    yield f"{what} of {event.device} from {other.kind} {other.device}"
    yield f"{key} of {_noun(event)} from {_noun(other)}"
    yield f"{event.kind} alike {alike} {other.status}"
    yield f"{event.kind} values {min(len(event.values), _MANY)}"
    yield f"{event.kind} carried {'carried-over' in other.values[key].flags}"
    yield from (f"{event.kind} flag {flag}" for flag in event.flags)
    if event.site and other.site:
        yield f"{event.kind} same site {event.site == other.site}"
    for size in _SIZES[event.kind]:
        mine, its = event.values.get(size), other.values.get(size)
        if size != key and mine and its:
            yield f"{what} {size} same {mine.value == its.value} carried {'carried-over' in mine.flags}"
        elif size != key:
            yield f"{what} {size} {mine is not None} {its is not None}"


def _clues_since(event: Event, other: Event, key: str, alike: bool, since: Sequence[Event]) -> Iterator[str]:
    """What was told between the one that told it last and the event."""
    what, size = f"{event.kind} {key}", other.values[key].value
    ago = bisect_right(_AGO, len(since) + 1)
    out = [each for each in since if each.kind is Kind.REMOVE and each.status is Status.DONE]
    out_again = any(_noun(each) == _noun(other) for each in out)
    size_out = any(key in each.values and each.values[key].value == size for each in out)
    yield from (f"{event.kind} ago {ago}", f"{what} alike {alike} ago {ago}")
    yield f"{event.kind} {event.status} alike {alike} ago {ago}"
    yield from (f"{event.kind} alike {alike} out {out_again}", f"{what} size out {size_out}")
    yield f"{event.kind} alike {alike} since {min(sum(_is_alike(event, each) for each in since), _MANY)}"
