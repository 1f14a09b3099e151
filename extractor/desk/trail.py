"""A timeline and the revisions it went through: taking one in, taking them off again, and which cannot stand together.

Pure: no clock, no disk. A change is read forwards (what stood there before, what stands there after) and backwards;
so the newest state and its trail together hold every earlier state, down to the draft. What is not touched is shared
with the timeline that comes in, so a revision of a case of 1,500 events costs a millisecond.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from pydantic import ValidationError

from extractor.errors import EditError
from extractor.model import VALUE_KEYS, Change, Check, Correction, Event, Revision, Timeline


def put(timeline: Timeline, revision: Revision) -> Timeline:
    """A timeline and the next revision -> the timeline after it, with the revision at the end of its trail.

    EditError where the revision is not the next one, or a change does not fit what stands there.
    """
    if revision.number != len(timeline.revisions) + 1:
        raise EditError(f"revision {revision.number} does not follow revision {len(timeline.revisions)}")
    state = _State(timeline)
    for change in revision.changes:
        state.take_in(change)
    return state.timeline((*timeline.revisions, revision))


def as_of(timeline: Timeline, number: int) -> Timeline:
    """The timeline as it was after its revision of this number; 0 is the draft. EditError where the trail is broken."""
    state = _State(timeline)
    for revision in reversed(timeline.revisions[number:]):
        for change in reversed(revision.changes):
            state.take_in(reverse(change))
    return state.timeline(timeline.revisions[:number])


def drafted(timeline: Timeline) -> Timeline:
    """The draft: all revisions taken off again. EditError where the trail is broken."""
    return as_of(timeline, 0)


def undone(timeline: Timeline, number: int) -> tuple[Change, ...]:
    """The changes that take a revision back, on the newest state. EditError where a later revision built on it.

    Cautions are not taken back: ``rechecked`` looks for them in the events as they are then.
    """
    if not 1 <= number <= len(timeline.revisions):
        raise EditError(f"there is no revision {number} to undo")
    back = [reverse(each) for each in reversed(timeline.revisions[number - 1].changes) if not _is_check(each)]
    if not back:
        raise EditError(f"revision {number} changed nothing that can be undone")
    later = timeline.revisions[number:]
    state = _State(timeline)
    taken: list[Change] = []
    for change in back:
        in_the_way = conflicting((change,), later)
        if _is_look(change) and not state.fits(change):
            continue  # it was taken back before: taken back twice, it would come back by undoing the second time
        if _is_look(change) and change.after and in_the_way:
            continue  # what was looked at then is not what stands: the mark does not come back
        if in_the_way and not state.fits(change):
            raise EditError(f"revision {in_the_way[-1].number} built on revision {number}: undo that one first")
        taken.append(state.from_here(change))
        state.take_in(change)
    return tuple(taken)


def conflicting(mine: Sequence[Change], theirs: Sequence[Revision]) -> tuple[Revision, ...]:
    """Those of their revisions that touch what mine touch: the same field, or one inside the other; the same place in
    the order; the same words; a point looked at and what it is a point of. Two that only looked do not conflict.
    """
    return tuple(
        revision for revision in theirs if any(_clash(one, other) for other in revision.changes for one in mine)
    )


def reverse(change: Change) -> Change:
    """The change that takes this one back."""
    return Change(at=change.at, before=change.after, after=change.before)


def next_id(timeline: Timeline) -> str:
    """The id of the next event. One that was ever used in the case is not used again."""
    ids = [event.id for event in timeline.events]
    ids += [change.at.split(".")[1] for each in timeline.revisions for change in each.changes if _is_whole(change)]
    numbers = [int(found[1]) for each in ids if (found := re.fullmatch(r"e(\d+)", each))]
    return f"e{max(numbers, default=0) + 1:04d}"


def place_of(events: Sequence[Event], event_id: str) -> int:
    """Where an event stands among others, from 0. EditError where there is none of that name."""
    for place, event in enumerate(events):
        if event.id == event_id:
            return place
    raise EditError(f"there is no event {event_id}")


def differences(old: Event, new: Event) -> list[Change]:
    """Two states of one event -> a change for each field that differs."""
    return list(_differing(f"events.{old.id}", old.model_dump(mode="json"), new.model_dump(mode="json")))


def marks_lost(timeline: Timeline, changes: Sequence[Change]) -> list[Change]:
    """What was looked at and is no longer what it was, by these changes: those marks are taken away."""
    points = dict.fromkeys(point for change in changes for point in _points(change))
    own = {change.at for change in changes}
    looked = timeline.looked_at
    return [
        Change(at=f"looked.{point}", before=True)
        for point in points
        if point in looked and f"looked.{point}" not in own
    ]


# --- one state after another


class _State:
    """What revisions change of a timeline, while they are taken in."""

    def __init__(self, timeline: Timeline) -> None:
        self._timeline = timeline
        self._events = list(timeline.events)
        self._corrections = {repair.words[0]: repair for repair in timeline.corrections}
        self._checks = list(timeline.checks)

    def timeline(self, revisions: tuple[Revision, ...]) -> Timeline:
        changed = {
            "events": tuple(self._events),
            "corrections": tuple(repair for _, repair in sorted(self._corrections.items())),
            "checks": tuple(self._checks),
            "revisions": revisions,
        }
        return self._timeline.model_copy(update=changed)

    def fits(self, change: Change) -> bool:
        """Whether what stands there now is what stood there before the change, the order of events included."""
        try:
            return bool(self._now(change.at) == change.before)
        except EditError:
            return False

    def from_here(self, change: Change) -> Change:
        """The same change, from where its event stands now: others may have come between."""
        place = next((place for place, event in enumerate(self._events) if change.at.endswith(f".{event.id}")), None)
        if place is None or not change.at.startswith(("events.", "order.")):
            return change
        behind = self._behind(place)
        before = behind if change.at.startswith("order.") else {**change.before, "after": behind}
        return Change(at=change.at, before=before, after=change.after)

    def take_in(self, change: Change) -> None:
        """EditError where the change does not fit. Where an event stood is not asked: others may have moved."""
        kind, _, name = change.at.partition(".")
        try:
            if kind == "events" and "." not in name:
                self._whole(name, change)
            elif kind == "events":
                self._field(*name.split("."), change=change)
            elif kind == "order":
                event = self._events.pop(place_of(self._events, name))
                self._insert(event, change.after)
            elif kind == "corrections":
                self._correction(int(name), change)
            elif kind == "checks":
                self._check(*name.split("."), change=change)
            elif kind != "looked":
                raise EditError(f"{change.at} is nothing that is changed at the desk")
        except (ValidationError, ValueError, LookupError, TypeError, AttributeError) as error:
            raise EditError(f"{change.at} cannot become {change.after!r}") from error

    def _now(self, at: str) -> Any:
        kind, _, name = at.partition(".")
        if kind == "looked":
            return True if name in self._timeline.looked_at else None
        if kind == "corrections":
            repair = self._corrections.get(int(name))
            return repair and repair.model_dump(mode="json")
        event_id, *steps = name.split(".")
        place = next((place for place, event in enumerate(self._events) if event.id == event_id), None)
        if place is None:
            return None
        if kind == "order":
            return self._behind(place)
        raw = self._events[place].model_dump(mode="json")
        return _at(raw, steps) if steps else {**raw, "after": self._behind(place)}

    def _behind(self, place: int) -> str | None:
        return self._events[place - 1].id if place else None

    def _insert(self, event: Event, after: str | None) -> None:
        self._events.insert(0 if after is None else place_of(self._events, after) + 1, event)

    def _whole(self, event_id: str, change: Change) -> None:
        if change.after is None:
            place = place_of(self._events, event_id)
            _must_be(change, self._events[place].model_dump(mode="json"), _without_place(change.before))
            del self._events[place]
            return
        if any(event.id == event_id for event in self._events):
            raise EditError(f"there is an event {event_id} already")
        event = Event.model_validate(_without_place(change.after))
        if event.id != event_id:
            raise EditError(f"{change.at} cannot be the event {event.id}")
        self._insert(event, change.after["after"])

    def _field(self, event_id: str, *steps: str, change: Change) -> None:
        place = place_of(self._events, event_id)
        raw = self._events[place].model_dump(mode="json")
        _must_be(change, _at(raw, steps), change.before)
        *way, last = steps
        inside = _at(raw, way)
        if change.after is None and way == ["values"]:
            del inside[last]
        else:
            inside[last] = change.after
        raw["values"] = {key: raw["values"][key] for key in VALUE_KEYS if key in raw["values"]}
        self._events[place] = Event.model_validate(raw)

    def _correction(self, first: int, change: Change) -> None:
        repair = self._corrections.pop(first, None)
        _must_be(change, repair and repair.model_dump(mode="json"), change.before)
        if change.after is not None:
            self._corrections[first] = Correction.model_validate(change.after)
            _must_be(change, self._corrections[first].words[0], first)

    def _check(self, number: str, *steps: str, change: Change) -> None:
        """A caution is added behind all others, or taken off there; or its severity changes. Never moved: its number
        is its name.
        """
        place = int(number) - 1
        if place < 0:
            raise EditError(f"{change.at}: cautions are counted from one")
        if steps:
            raw = self._checks[place].model_dump(mode="json")
            _must_be(change, raw[steps[0]], change.before)
            self._checks[place] = Check.model_validate({**raw, steps[0]: change.after})
        elif change.after is None:
            _must_be(change, len(self._checks), place + 1)
            self._checks.pop()
        else:
            _must_be(change, len(self._checks), place)
            self._checks.append(Check.model_validate(change.after))


def _must_be(change: Change, now: Any, before: Any) -> None:
    if now != before:
        raise EditError(f"{change.at} is not what this change was made on: it is {now!r}")


def _at(raw: Any, steps: Iterable[str]) -> Any:
    """What stands at the end of a way of names; None where the last is not there."""
    *way, last = [*steps] or [""]
    if not last:
        return raw
    for step in way:
        raw = raw[step]
    return raw.get(last)


def _without_place(whole: dict[str, Any]) -> dict[str, Any]:
    return {name: part for name, part in whole.items() if name != "after"}


def _differing(at: str, old: dict[str, Any], new: dict[str, Any]) -> Iterator[Change]:
    """Fields that differ; those of a value, of the values and of the place are gone into, where both are there."""
    for name in {**old, **new}:
        before, after = old.get(name), new.get(name)
        if isinstance(before, dict) and isinstance(after, dict):
            yield from _differing(f"{at}.{name}", before, after)
        elif before != after:
            yield Change(at=f"{at}.{name}", before=before, after=after)


# --- what a change touches


def _is_whole(change: Change) -> bool:
    return change.at.startswith("events.") and change.at.count(".") == 1


def _is_look(change: Change) -> bool:
    return change.at.startswith("looked.")


def _is_check(change: Change) -> bool:
    return change.at.startswith("checks.")


def _inside(one: str, other: str) -> bool:
    return one == other or one.startswith(f"{other}.") or other.startswith(f"{one}.")


def _clash(one: Change, other: Change) -> bool:
    if _is_look(one) and _is_look(other):
        return one.at == other.at and one.after != other.after
    return any(_inside(mine, theirs) for mine in _touched(one) for theirs in _touched(other))


def _touched(change: Change) -> list[str]:
    """Paths that a change rests on or writes. ``place.e0003`` is what stands behind that event, ``words.22`` a word.

    Cautions follow from the events and are looked for anew on each state: nobody changes them.
    """
    kind, _, name = change.at.partition(".")
    if kind == "checks":
        return []
    if kind == "order":
        return [f"place.{name}", f"place.{change.after}"]
    if kind == "corrections":
        ends = [each["words"] for each in (change.before, change.after) if each]
        return [f"words.{number}" for first, past in ends for number in range(first, past)]
    if kind == "looked":
        subject, _, key = name.partition(".")
        point = f"words.{name.removeprefix('words-')}" if name.startswith("words-") else f"events.{subject}"
        return [change.at, f"{point}.values.{key}" if key else point]
    if not _is_whole(change):
        return [change.at]
    return [change.at, f"place.{name}", *([f"place.{change.after['after']}"] if change.after else [])]


def _points(change: Change) -> list[str]:
    """The names of the points whose subject a change alters. An event taken away keeps its marks: it may come back."""
    kind, _, name = change.at.partition(".")
    if kind == "corrections":
        return [f"words-{name}"]
    if kind != "events" or _is_whole(change):
        return []
    event_id, field, *rest = name.split(".")
    return [f"{event_id}.{rest[0]}" if field == "values" else event_id]
