"""What a person can do to a timeline, as changes of its fields. Pure: no clock, no disk but for the shipped limits.

An edit says what somebody wants; ``apply`` turns it into changes on the newest state, ``revision`` into the next step
of the trail, ``put`` takes that in (``trail``). Nothing is thrown away: a value set by hand keeps what stood before as
its first alternative, the words stay as they were heard, and every change knows both sides. What a person sets is
believed, and flagged: a figure outside the limits of the trade asks for a look like any other.
"""

from functools import cache
from typing import Any

from extractor.desk.cautions import rechecked
from extractor.desk.edit_kinds import (
    EDIT,
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
from extractor.desk.handwork import FIELDS, alternative_of, changes_of, heard_in, one_line, value_of
from extractor.desk.trail import as_of, conflicting, drafted, marks_lost, place_of, put, undone
from extractor.errors import EditError
from extractor.handover.wording import VALUE_NAMES, clock, event_name, plain, value_text
from extractor.lexicon import Limits, load
from extractor.model import Change, Event, Revision, Status, Timeline, Value
from extractor.site_files import Site
from extractor.units import figure


def apply(timeline: Timeline, edit: Edit, limits: Limits | None = None) -> tuple[Change, ...]:
    """What an edit changes on this state of a timeline. EditError where it makes no sense there, or changes nothing.

    ``limits``: what is plausible, by the case's lexicon; None for the shipped one.
    """
    changes = changes_of(timeline, edit, limits or _shipped_limits())
    if not changes:
        raise EditError("that is so already: nothing would change")
    return (*changes, *marks_lost(timeline, changes))


def proposed(
    timeline: Timeline, base: int, edit: Edit, limits: Limits | None = None
) -> tuple[tuple[Change, ...], tuple[Revision, ...]]:
    """An edit made by somebody who saw the timeline as of its revision ``base`` -> what it changes now, and the later
    revisions it conflicts with (none: it may be put).

    EditError where it made no sense when it was made either. Where it makes none any more, the changes are those of
    ``base``.
    """
    if not 0 <= base <= len(timeline.revisions):
        raise EditError(f"there is no revision {base}")
    since = timeline.revisions[base:]
    try:
        changes = apply(timeline, edit, limits)
    except EditError:
        if not since:
            raise
        changes = apply(as_of(timeline, base), edit, limits)
        if not (theirs := conflicting(changes, since)):
            raise
        return changes, theirs
    return changes, conflicting(changes, since)


def asks_why(timeline: Timeline, edit: Edit) -> bool:
    """Whether an edit needs a reason: an event goes, or what happened becomes what did not, or the other way."""
    if isinstance(edit, Set) and edit.field == "status":
        old = timeline.events[place_of(timeline.events, edit.event)].status
        return Status.DONE in {old, edit.value} and old != edit.value
    return isinstance(edit, Delete | Merge)


def revision(
    timeline: Timeline,
    edit: Edit,
    *,
    at: str,
    by: str,
    why: str = "",
    limits: Limits | None = None,
    site: Site | None = None,
) -> Revision:
    """An edit on the newest state -> the next revision, to be ``put``, with what becomes of the cautions.

    ``at`` is ISO 8601 with its offset; ``site``, the rules and devices the case was drafted with.

    EditError as ``apply``, and where a reason is asked for and not given.
    """
    why = one_line(why) if why else ""
    if not why and asks_why(timeline, edit):
        raise EditError("say why: what becomes of an event that is taken away, or no longer done, is asked for")
    changes = apply(timeline, edit, limits)
    number = len(timeline.revisions) + 1
    step = Revision(number=number, at=at, by=by, what=describe(edit, timeline), why=why, changes=changes)
    if any(change.at.startswith(("events.", "order.")) for change in changes):
        cautions = rechecked(put(timeline, step), site)
        step = step.model_copy(update={"changes": (*changes, *cautions)})
    return step


def describe(edit: Edit, timeline: Timeline) -> str:
    """What an edit does, in plain words, on the state it is made on: ``e0003 pressure 14 atm → 40 atm``."""
    match edit:
        case Set():
            event = timeline.events[place_of(timeline.events, edit.event)]
            return f"{event.id} {_set_text(event, edit)}"
        case Take():
            event = timeline.events[place_of(timeline.events, edit.event)]
            value = value_of(event, edit.key)
            rival = alternative_of(value, edit)
            new = Amount(value=rival.value, unit=rival.unit or value.unit)
            return f"{event.id} {_key_text(edit.key)} {_arrow(value, new)}"
        case Look():
            return f"looked at {', '.join(edit.points)}"
        case Add():
            thing = edit.event.device or edit.event.drug or edit.event.finding or ""
            told = [f"{_key_text(key)} {figure(each.value, each.unit)}" for key, each in edit.event.values.items()]
            what = " ".join(filter(None, (edit.event.kind, plain(thing), edit.event.status)))
            return f"added at {clock(edit.event.start_ms)}: {', '.join((what, *told))}"
        case Delete():
            event = timeline.events[place_of(timeline.events, edit.event)]
            return f"deleted {event.id}: {_event_text(event)}"
        case Merge():
            kept, gone = (timeline.events[place_of(timeline.events, each)] for each in edit.events)
            return f"merged {gone.id}: {_event_text(gone)}, into {kept.id}: {_event_text(kept)}"
        case Split():
            return f"split {edit.event}: {', '.join(map(_key_text, edit.keys))} apart"
        case Move():
            return f"moved {edit.event} {f'behind {edit.after}' if edit.after else 'before all others'}"
        case ReadAs():
            return f"“{plain(heard_in(timeline, edit.words))}” read {plain(edit.read)}"
        case Undo():
            number = edit.revision
            what = timeline.revisions[number - 1].what if 0 < number <= len(timeline.revisions) else ""
            return f"undid revision {number}: {what}"


@cache
def _shipped_limits() -> Limits:
    return Limits(load())


# --- words for people


def _key_text(key: str) -> str:
    return "duration" if key == "duration" else VALUE_NAMES.get(key, key.replace("_", " "))


def _arrow(old: Value | None, new: Amount | None) -> str:
    before, after = (figure(each.value, each.unit) if each else "none" for each in (old, new))
    return f"{before} → {after}"


def _set_text(event: Event, edit: Set) -> str:
    first, _, rest = edit.field.partition(".")
    if first != "values":
        old = getattr(event.site, rest, None) if rest else getattr(event, first, None)
        before, after = (
            clock(int(each)) if first.endswith("_ms") and isinstance(each, int | float) else each
            for each in (old, edit.value)
        )
        return f"{plain(edit.field.replace('_ms', '').replace('.', ' '))} {_said(before)} → {_said(after)}"
    key, _, part = rest.partition(".")
    old_value = event.values.get(key)
    amount = edit.value if isinstance(edit.value, Amount) else None
    if part == "unit" and old_value and isinstance(edit.value, str):
        amount = Amount(value=old_value.value, unit=edit.value)
    if part == "value" and old_value and isinstance(edit.value, float):
        amount = Amount(value=edit.value, unit=old_value.unit)
    return f"{_key_text(key)} {_arrow(old_value, amount)}"


def _said(value: Any) -> str:
    return "none" if value is None else plain(str(value))


def _event_text(event: Event) -> str:
    values = ", ".join(value_text(key, value) for key, value in event.values.items())
    return f"{event_name(event)} {values}".rstrip()


__all__ = [
    "EDIT",
    "FIELDS",
    "Add",
    "Amount",
    "Delete",
    "Edit",
    "EditError",
    "Look",
    "Merge",
    "Move",
    "NewEvent",
    "ReadAs",
    "Set",
    "Split",
    "Take",
    "Undo",
    "apply",
    "as_of",
    "asks_why",
    "conflicting",
    "describe",
    "drafted",
    "proposed",
    "put",
    "rechecked",
    "revision",
    "undone",
]
