"""Each edit on a timeline -> the changes of its fields. ``edits`` is what the desk calls; this is how each is made.

What a person sets is believed, and flagged: confidence 1, ``set-by-hand``, what stood before as the first alternative,
the words as heard. A figure outside the limits of the trade is kept, and asks for a look like any other.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from pydantic import ValidationError

from extractor.desk.edit_kinds import (
    LONGEST_TEXT,
    Add,
    Amount,
    Delete,
    Edit,
    Look,
    Merge,
    Move,
    NewEvent,
    ReadAs,
    Set,
    Split,
    Take,
    Undo,
)
from extractor.desk.trail import differences, next_id, place_of, undone
from extractor.errors import EditError
from extractor.handover.wording import clock
from extractor.lexicon import Limits
from extractor.model import VALUE_KEYS, Alternative, Change, Correction, Event, Site, Timeline, Value, WordRange
from extractor.units import VALUE_UNITS, convert

#: Fields of an event that are set as a whole; beside them those of ``values``.
FIELDS = (
    "status", "kind", "device", "drug", "finding", "site.name", "site.side", "site.part", "start_ms", "end_ms",
)  # fmt: skip
_NAMES = ("device", "drug", "finding")
BY_HAND = "set-by-hand"
#: Reasons to look at an event that are gone when somebody sets this field.
_SETTLED = {
    "device": {"which-device", "repaired-word"},
    "drug": {"repaired-word"},
    "finding": {"repaired-word"},
    "status": {"asked", "no-procedure", "doubtful"},
}


def changes_of(timeline: Timeline, edit: Edit, limits: Limits) -> list[Change]:
    """What an edit changes on this state of a timeline; empty where it is so already. EditError as ``edits.apply``."""
    events = timeline.events
    match edit:
        case Set():
            event = events[place_of(events, edit.event)]
            return differences(event, _set(event, edit, limits))
        case Take():
            event = events[place_of(events, edit.event)]
            value = value_of(event, edit.key)
            rival = alternative_of(value, edit)
            new = _by_hand(event, edit.key, Amount(value=rival.value, unit=rival.unit or value.unit), limits)
            return differences(event, _with_value(event, edit.key, new))
        case Look():
            if strange := [point for point in edit.points if point not in timeline.open_points]:
                raise EditError(f"{', '.join(strange)}: nothing is open there")
            looked = timeline.looked_at
            return [
                Change(at=f"looked.{point}", after=True) for point in dict.fromkeys(edit.points) if point not in looked
            ]
        case Add():
            return [_added(_new(timeline, edit.event, limits), _known(timeline, edit.after))]
        case Delete():
            return [_deleted(events, edit.event)]
        case Merge():
            return _merge(timeline, edit)
        case Split():
            return _split(timeline, edit)
        case Move():
            return _move(timeline, edit)
        case ReadAs():
            return _read_as(timeline, edit)
        case Undo():
            return list(undone(timeline, edit.revision))


def _set(event: Event, edit: Set, limits: Limits) -> Event:
    first, _, rest = edit.field.partition(".")
    if first == "values":
        return _set_value(event, edit, limits)
    if edit.field not in FIELDS:
        raise EditError(f"{edit.field} cannot be set; what can: {', '.join(FIELDS)}, values.KEY, .value, .unit")
    value: Any = edit.value
    if isinstance(value, str):
        value = one_line(value)
    if isinstance(value, float):
        if first not in ("start_ms", "end_ms") or not value.is_integer():
            raise EditError(f"{edit.field} cannot be {value}")
        value = int(value)
    raw = event.model_dump(mode="json")
    if rest:
        place = {**(raw["site"] or {}), rest: value}
        raw["site"] = place if any(place.values()) else None
    else:
        raw[first] = value
    new = _valid(raw, edit.field)
    if new.start_ms > new.end_ms:
        raise EditError(f"{event.id} cannot end at {clock(new.end_ms)} and begin at {clock(new.start_ms)}")
    if new == event:
        return event
    settled = _SETTLED.get(first, set())
    flags = tuple(sorted({*(flag for flag in event.flags if flag not in settled), BY_HAND}))
    review = event.review and not (settled & set(event.flags) and set(flags) == {BY_HAND})
    new = new.model_copy(update={"flags": flags, "review": review})
    return _weighed(new, limits) if first in ("kind", *_NAMES) else new


def _set_value(event: Event, edit: Set, limits: Limits) -> Event:
    _, key, *part = edit.field.split(".")
    if key not in VALUE_KEYS or part not in ([], ["value"], ["unit"]):
        raise EditError(f"{edit.field} cannot be set; a value is one of {', '.join(VALUE_KEYS)}")
    if not part:
        if edit.value is None:
            value_of(event, key)
            return _with_value(event, key, None)
        if not isinstance(edit.value, Amount):
            raise EditError(f"{edit.field} needs a value and its unit")
        return _with_value(event, key, _by_hand(event, key, edit.value, limits))
    old = value_of(event, key)
    if part == ["value"] and isinstance(edit.value, float):
        return _with_value(event, key, _by_hand(event, key, Amount(value=edit.value, unit=old.unit), limits))
    if part == ["unit"] and isinstance(edit.value, str):
        return _with_value(event, key, _by_hand(event, key, Amount(value=old.value, unit=edit.value), limits))
    raise EditError(f"{edit.field} cannot be {edit.value!r}")


def _by_hand(event: Event, key: str, amount: Amount, limits: Limits) -> Value:
    """The value a person set: what stood before is the first of its alternatives, its words stay as heard."""
    if amount.unit not in VALUE_UNITS[key]:
        raise EditError(f"{key} cannot be in {amount.unit}; it can be in {', '.join(VALUE_UNITS[key])}")
    old = event.values.get(key)
    if old is not None and (old.value, old.unit) == (amount.value, amount.unit):
        return old
    outside = limits.forbid(event.kind, key, event.device or event.drug, amount.value, amount.unit)
    return Value(
        value=amount.value,
        unit=amount.unit,
        confidence=1.0,
        review=outside,
        flags=("implausible", BY_HAND) if outside else (BY_HAND,),
        heard=old.heard if old else "",
        words=old.words if old else (event.words[0], event.words[0]),
        alternatives=_rivals(old, amount) if old else (),
    )


def _rivals(old: Value, new: Amount) -> tuple[Alternative, ...]:
    """What a value might have been, when it becomes another: what it was, then the other rivals, in a unit that is
    said. How likely each is, is told beside the new value: known only where that was a rival itself.
    """
    others = [(rival.value, rival.unit or old.unit, rival.log_ratio) for rival in old.alternatives]
    shift = next((ratio for value, unit, ratio in others if (value, unit) == (new.value, new.unit)), None)
    told = [(old.value, old.unit, 0.0), *(each for each in others if each[:2] != (new.value, new.unit))]
    return tuple(
        Alternative(
            value=value,
            unit=unit if unit != new.unit else None,
            log_ratio=None if shift is None or ratio is None else ratio - shift,
        )
        for value, unit, ratio in told
    )


def _weighed(event: Event, limits: Limits) -> Event:
    """An event that became something else: values that are implausible for it ask for a look. None stops asking."""
    thing = event.device or event.drug
    values = {
        key: value.model_copy(update={"review": True, "flags": tuple(sorted({*value.flags, "implausible"}))})
        if limits.forbid(event.kind, key, thing, value.value, value.unit)
        else value
        for key, value in event.values.items()
    }
    return event.model_copy(update={"values": values})


def _new(timeline: Timeline, wanted: NewEvent, limits: Limits) -> Event:
    if wanted.start_ms > wanted.end_ms:
        raise EditError(f"an event cannot end at {clock(wanted.end_ms)} and begin at {clock(wanted.start_ms)}")
    if unknown := [key for key in wanted.values if key not in VALUE_KEYS]:
        raise EditError(f"{', '.join(unknown)}: a value is one of {', '.join(VALUE_KEYS)}")
    first = bisect_left(timeline.words, wanted.start_ms, key=lambda word: word.start_ms)
    words = wanted.words or (first, max(first, bisect_right(timeline.words, wanted.end_ms, key=lambda w: w.end_ms)))
    if not 0 <= words[0] <= words[1] <= len(timeline.words):
        raise EditError(f"there are no words {words[0]} to {words[1]}")
    names = {name: text and one_line(text) for name in _NAMES if (text := getattr(wanted, name)) is not None}
    site = wanted.site and Site(**{name: text and one_line(text) for name, text in wanted.site})
    event = Event(
        id=next_id(timeline),
        kind=wanted.kind,
        status=wanted.status,
        start_ms=wanted.start_ms,
        end_ms=wanted.end_ms,
        site=site,
        confidence=1.0,
        flags=(BY_HAND,),
        words=words,
        rule="by-hand",
        **names,
    )
    values = {key: _by_hand(event, key, wanted.values[key], limits) for key in VALUE_KEYS if key in wanted.values}
    return event.model_copy(update={"values": values})


def _merge(timeline: Timeline, edit: Merge) -> list[Change]:
    kept, gone = (timeline.events[place_of(timeline.events, name)] for name in edit.events)
    if kept.id == gone.id:
        raise EditError(f"{kept.id} cannot be merged with itself")
    names = {name: getattr(kept, name) or getattr(gone, name) for name in (*_NAMES, "site")}
    said = [getattr(gone, name) for name in names]
    differs = kept.kind != gone.kind or kept.status != gone.status
    differs = differs or any(text is not None and text != names[name] for name, text in zip(names, said, strict=True))
    flags = {*kept.flags, *gone.flags, BY_HAND, *(["conflict"] if differs else [])}
    values = {
        key: _one_of(kept.values.get(key), gone.values.get(key))
        for key in VALUE_KEYS
        if key in kept.values or key in gone.values
    }
    merged = kept.model_copy(
        update={
            **names,
            "values": values,
            "start_ms": min(kept.start_ms, gone.start_ms),
            "end_ms": max(kept.end_ms, gone.end_ms),
            "words": (min(kept.words[0], gone.words[0]), max(kept.words[1], gone.words[1])),
            "review": kept.review or gone.review or differs,
            "flags": tuple(sorted(flags)),
        }
    )
    return [*differences(kept, merged), _deleted(timeline.events, gone.id)]


def _one_of(kept: Value | None, other: Value | None) -> Value:
    """Two values said of one thing: the first, and the other beside it as what it might have been."""
    if kept is None or other is None:
        found = kept or other
        assert found is not None
        return found
    if _same(kept, other):
        # What was doubtful in either still is.
        flags = tuple(sorted({*kept.flags, *other.flags}))
        rivals = kept.alternatives or (other.alternatives if kept.unit == other.unit else ())
        return kept.model_copy(update={"review": kept.review or other.review, "flags": flags, "alternatives": rivals})
    rival = Alternative(value=other.value, unit=other.unit if other.unit != kept.unit else None)
    return kept.model_copy(
        update={
            "alternatives": (
                rival,
                *(each for each in kept.alternatives if (each.value, each.unit) != (rival.value, rival.unit)),
            ),
            "flags": tuple(sorted({*kept.flags, "conflict"})),
            "review": True,
        }
    )


def _split(timeline: Timeline, edit: Split) -> list[Change]:
    event = timeline.events[place_of(timeline.events, edit.event)]
    for key in edit.keys:
        value_of(event, key)
    flags = tuple(sorted({*event.flags, BY_HAND}))
    apart = {key: value for key, value in event.values.items() if key in edit.keys}
    rest = {key: value for key, value in event.values.items() if key not in edit.keys}
    new = event.model_copy(update={"id": next_id(timeline), "values": apart, "flags": flags, "rule": "by-hand"})
    return [*differences(event, event.model_copy(update={"values": rest, "flags": flags})), _added(new, event.id)]


def _move(timeline: Timeline, edit: Move) -> list[Change]:
    place = place_of(timeline.events, edit.event)
    before = _behind(timeline.events, place)
    if _known(timeline, edit.after) == edit.event:
        raise EditError(f"{edit.event} cannot stand behind itself")
    return [Change(at=f"order.{edit.event}", before=before, after=edit.after)] if before != edit.after else []


def _read_as(timeline: Timeline, edit: ReadAs) -> list[Change]:
    first, past = edit.words
    heard, read = heard_in(timeline, edit.words), one_line(edit.read)
    old = {repair.words[0]: repair for repair in timeline.corrections if _overlap(repair.words, edit.words)}
    new = {} if read == heard else {first: Correction(words=(first, past), heard=heard, read=read, why="by-hand")}
    states = [(number, old.get(number), new.get(number)) for number in sorted({*old, *new})]
    return [
        Change(
            at=f"corrections.{number}",
            before=before and before.model_dump(mode="json"),
            after=after and after.model_dump(mode="json"),
        )
        for number, before, after in states
        if before is None or after is None or (before.words, before.read) != (after.words, after.read)
    ]


# --- parts


def _valid(raw: Mapping[str, Any], field: str) -> Event:
    try:
        return Event.model_validate(raw)
    except ValidationError as error:
        raise EditError(f"{field} cannot be so: {error.errors()[0]['msg']}") from error


def one_line(text: str) -> str:
    """One line that says something. EditError for anything else."""
    line = " ".join(text.split())
    if not line or not line.isprintable() or len(line) > LONGEST_TEXT:
        raise EditError(f"a name or reason must be one line of 1 to {LONGEST_TEXT} characters")
    return line


def _known(timeline: Timeline, after: str | None) -> str | None:
    if after is not None:
        place_of(timeline.events, after)
    return after


def _behind(events: Sequence[Event], place: int) -> str | None:
    return events[place - 1].id if place else None


def _added(event: Event, after: str | None) -> Change:
    return Change(at=f"events.{event.id}", after={**event.model_dump(mode="json"), "after": after})


def _deleted(events: Sequence[Event], event_id: str) -> Change:
    place = place_of(events, event_id)
    whole = {**events[place].model_dump(mode="json"), "after": _behind(events, place)}
    return Change(at=f"events.{event_id}", before=whole)


def value_of(event: Event, key: str) -> Value:
    """A value of an event by its key. EditError where it has none."""
    if key not in event.values:
        raise EditError(f"{event.id} has no {key}; it has {', '.join(event.values) or 'no values'}")
    return event.values[key]


def alternative_of(value: Value, edit: Take) -> Alternative:
    """The alternative that is to be taken. EditError where there is none."""
    if edit.alternative >= len(value.alternatives):
        raise EditError(f"{edit.event}.{edit.key} has {len(value.alternatives)} alternatives")
    return value.alternatives[edit.alternative]


def _with_value(event: Event, key: str, value: Value | None) -> Event:
    values = {**event.values, key: value}
    return event.model_copy(update={"values": {each: values[each] for each in VALUE_KEYS if values.get(each)}})


def _same(one: Value, other: Value) -> bool:
    try:
        return isfinite(one.value) and convert(other.value, other.unit, one.unit) == one.value
    except ValueError:
        return False


def _overlap(one: WordRange, other: WordRange) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def heard_in(timeline: Timeline, words: WordRange) -> str:
    """Words as they were heard. EditError where the range is empty or lies outside."""
    first, past = words
    if not 0 <= first < past <= len(timeline.words):
        raise EditError(f"there are no words {first} to {past}")
    return " ".join(word.text for word in timeline.words[first:past])
