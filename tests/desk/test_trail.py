"""The trail: every state can be had back from the newest, what conflicts is told, nothing is lost without a trace."""

import time
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from extractor.desk import edits, trail
from extractor.errors import EditError
from extractor.model import VALUE_KEYS, Change, Event, Kind, Revision, Status, Timeline
from extractor.units import VALUE_UNITS

AT = "2026-11-26T09:30:00+00:00"
IDS = [f"e{number:04}" for number in range(1, 9)]
#: The timeline is frozen: no example can spoil it for another.
frozen_fixture = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def amounts(key: str) -> st.SearchStrategy[Any]:
    values = st.sampled_from([0.0, 6.0, 14.0, 80.0, 4e5])
    return st.fixed_dictionaries({"value": values, "unit": st.sampled_from(VALUE_UNITS[key])})


event_ids = st.sampled_from(IDS)
keys = st.sampled_from(VALUE_KEYS)
anchors = st.none() | event_ids
words = st.tuples(st.integers(0, 25), st.integers(1, 3)).map(lambda pair: (pair[0], min(26, sum(pair))))
fields = st.one_of(
    keys.flatmap(lambda key: st.tuples(st.just(f"values.{key}"), st.none() | amounts(key))),
    keys.flatmap(lambda key: st.tuples(st.just(f"values.{key}.value"), st.sampled_from([6.0, 14.0, 40.0, 4e5]))),
    keys.flatmap(lambda key: st.tuples(st.just(f"values.{key}.unit"), st.sampled_from(VALUE_UNITS[key]))),
    st.tuples(st.just("status"), st.sampled_from([*Status])),
    st.tuples(st.just("kind"), st.sampled_from([*Kind])),
    st.tuples(st.sampled_from(["device", "drug", "finding", "site.name"]), st.sampled_from(["stent", "x", None])),
    st.tuples(st.just("site.side"), st.sampled_from(["left", "right", "both", None])),
    st.tuples(st.sampled_from(["start_ms", "end_ms"]), st.integers(0, 11_000)),
)
points = st.sampled_from(["e0003.pressure", "e0003", "e0001", "words-22", "check-1", "gap-1", "e0003.diameter"])


def edit(do: str, **parts: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"do": st.just(do), **parts})


new_events = st.fixed_dictionaries({
    "kind": st.sampled_from([*Kind]), "status": st.sampled_from([*Status]), "start_ms": st.integers(0, 5_000),
    "end_ms": st.integers(5_000, 11_000),
    "values": keys.flatmap(lambda key: st.dictionaries(st.just(key), amounts(key))),
})  # fmt: skip
raw_edits = st.one_of(
    st.tuples(event_ids, fields).map(lambda at: {"do": "set", "event": at[0], "field": at[1][0], "value": at[1][1]}),
    edit("take", event=event_ids, key=keys, alternative=st.integers(0, 1)),
    edit("look", points=st.lists(points, min_size=1, max_size=3)),
    edit("add", after=anchors, event=new_events),
    edit("delete", event=event_ids),
    edit("merge", events=st.tuples(event_ids, event_ids)),
    edit("split", event=event_ids, keys=st.lists(keys, min_size=1, max_size=2)),
    edit("move", event=event_ids, after=anchors),
    edit("word", words=words, read=st.sampled_from(["heparin", "stent", "Contrast"])),
    edit("undo", revision=st.integers(1, 8)),
)


def put(timeline: Timeline, raw: dict[str, Any]) -> Timeline:
    """The timeline after an edit; the same where it makes no sense there."""
    try:
        step = edits.revision(timeline, edits.EDIT.validate_python(raw), at=AT, by="A", why="why")
    except EditError:
        return timeline
    return edits.put(timeline, step)


def after(timeline: Timeline, raws: list[dict[str, Any]]) -> Timeline:
    for raw in raws:
        timeline = put(timeline, raw)
    return timeline


def but_the_trail(timeline: Timeline) -> Timeline:
    return timeline.model_copy(update={"revisions": ()})


@frozen_fixture
@given(raws=st.lists(raw_edits, max_size=12))
def test_the_draft_can_be_had_back_from_the_newest_state(small_timeline: Timeline, raws: list[dict[str, Any]]) -> None:
    timeline = after(small_timeline, raws)
    assert edits.drafted(timeline) == small_timeline
    assert edits.drafted(timeline).model_dump_json() == small_timeline.model_dump_json()


@frozen_fixture
@given(raws=st.lists(raw_edits, max_size=8))
def test_every_state_can_be_had_back_and_made_again(small_timeline: Timeline, raws: list[dict[str, Any]]) -> None:
    newest, again = after(small_timeline, raws), small_timeline
    for revision in newest.revisions:
        assert edits.as_of(newest, again_number := len(again.revisions)) == again, again_number
        stored = Revision.model_validate_json(revision.model_dump_json())  # as a store holds it
        again = edits.put(again, stored)
    assert again == newest
    assert Timeline.model_validate_json(newest.model_dump_json()) == newest


@frozen_fixture
@given(raws=st.lists(raw_edits, max_size=6), last=raw_edits)
def test_what_was_put_and_undone_never_was_but_in_the_trail(
    small_timeline: Timeline, raws: list[dict[str, Any]], last: dict[str, Any]
) -> None:
    before = after(small_timeline, raws)
    now = put(before, last)
    if now is before:
        return
    number = len(now.revisions)
    back = after(now, [{"do": "undo", "revision": number}])
    assert len(back.revisions) == number + 1
    assert but_the_trail(back) == but_the_trail(before)
    assert back.looked_at == before.looked_at
    forth = after(back, [{"do": "undo", "revision": number + 1}])  # redo is the undoing of the undoing
    assert but_the_trail(forth) == but_the_trail(now)
    assert forth.looked_at == now.looked_at


def test_a_look_taken_back_twice_does_not_come_back(small_timeline: Timeline) -> None:
    before = after(small_timeline, [{"do": "look", "points": ["words-22"]}, {"do": "undo", "revision": 1}])
    with pytest.raises(EditError):
        edits.revision(before, edits.EDIT.validate_python({"do": "undo", "revision": 1}), at=AT, by="A")
    assert before.looked_at == frozenset()


@frozen_fixture
@given(raws=st.lists(raw_edits, max_size=12))
def test_no_event_is_lost_without_a_trace(small_timeline: Timeline, raws: list[dict[str, Any]]) -> None:
    timeline = after(small_timeline, raws)
    changes = [change for revision in timeline.revisions for change in revision.changes]
    told = {change.at.removeprefix("events.") for change in changes if change.before and change.at.count(".") == 1}
    assert {each.id for each in small_timeline.events} <= {each.id for each in timeline.events} | told
    ids = [each.id for each in timeline.events]
    assert len(ids) == len(set(ids))


@frozen_fixture
@given(raws=st.lists(raw_edits, max_size=4), mine=raw_edits, theirs=raw_edits)
def test_what_does_not_conflict_may_come_in_any_order(
    small_timeline: Timeline, raws: list[dict[str, Any]], mine: dict[str, Any], theirs: dict[str, Any]
) -> None:
    base = after(small_timeline, raws)
    states = [put(base, raw) for raw in (mine, theirs)]
    if base in states:
        return
    number = len(base.revisions) + 1
    one, other = (state.revisions[-1] for state in states)
    assert bool(edits.conflicting(one.changes, [other])) == bool(edits.conflicting(other.changes, [one]))
    if not edits.conflicting(one.changes, [other]):
        orders = [
            edits.put(edits.put(base, first), second.model_copy(update={"number": number + 1}))
            for first, second in ((one, other), (other, one))
        ]
        assert but_the_trail(orders[0]) == but_the_trail(orders[1])
        assert orders[0].looked_at == orders[1].looked_at


@frozen_fixture
@given(raws=st.lists(raw_edits, max_size=4), theirs=st.lists(raw_edits, min_size=1, max_size=3), mine=raw_edits)
def test_an_edit_on_an_older_state_is_put_told_or_refused(
    small_timeline: Timeline, raws: list[dict[str, Any]], theirs: list[dict[str, Any]], mine: dict[str, Any]
) -> None:
    base = after(small_timeline, raws)
    newest = after(base, theirs)
    number = len(base.revisions)
    try:
        changes, in_the_way = edits.proposed(newest, number, edits.EDIT.validate_python(mine))
    except EditError:
        return
    assert all(revision in newest.revisions[number:] for revision in in_the_way)
    if not in_the_way:
        edits.put(newest, Revision(number=len(newest.revisions) + 1, at=AT, by="B", what="", changes=changes))


# --- what conflicts, by example


def set_(field: str, value: Any, event_id: str = "e0003") -> dict[str, Any]:
    return {"do": "set", "event": event_id, "field": field, "value": value}


RUN = {"kind": "run", "status": "done", "start_ms": 0, "end_ms": 400}
CONFLICTS = [
    pytest.param(set_("values.pressure.value", 12), set_("values.pressure.value", 13), True, id="one-value"),
    pytest.param(set_("values.pressure.value", 12), set_("values.pressure", None), True, id="a-value-and-all-of-it"),
    pytest.param(set_("values.pressure.value", 12), {"do": "delete", "event": "e0003"}, True, id="a-value-of-a-gone"),
    pytest.param(set_("values.pressure.value", 12), {"do": "look", "points": ["e0003.pressure"]}, True, id="looked-at"),
    pytest.param(set_("values.pressure.value", 12), {"do": "look", "points": ["gap-1"]}, False, id="looked-elsewhere"),
    pytest.param(set_("values.pressure.value", 12), set_("values.length.value", 60), False, id="two-values"),
    pytest.param(set_("values.pressure.value", 12), {"do": "move", "event": "e0003", "after": None}, False, id="moved"),
    pytest.param({"do": "add", "after": "e0003", "event": RUN}, {"do": "delete", "event": "e0003"}, True, id="anchor"),
    pytest.param(
        {"do": "add", "after": "e0003", "event": RUN}, {"do": "delete", "event": "e0004"}, False, id="its-neighbour"
    ),
    pytest.param(
        {"do": "word", "words": [3, 5], "read": "a"}, {"do": "word", "words": [4, 6], "read": "b"}, True, id="words"
    ),
    pytest.param(
        {"do": "word", "words": [0, 2], "read": "a"}, {"do": "word", "words": [2, 3], "read": "b"}, False, id="next"
    ),
]


@pytest.mark.parametrize(("mine", "theirs", "told"), CONFLICTS)
def test_what_conflicts_is_told(
    small_timeline: Timeline, mine: dict[str, Any], theirs: dict[str, Any], told: bool
) -> None:
    newest = put(small_timeline, theirs)
    _, in_the_way = edits.proposed(newest, 0, edits.EDIT.validate_python(mine))
    assert in_the_way == (newest.revisions if told else ())


def test_two_who_add_at_once_both_add(small_timeline: Timeline) -> None:
    newest = put(small_timeline, {"do": "add", "after": "e0001", "event": RUN})
    mine = edits.EDIT.validate_python({"do": "add", "after": "e0005", "event": RUN})
    (change,), in_the_way = edits.proposed(newest, 0, mine)
    assert (change.at, in_the_way) == ("events.e0008", ())


# --- undo, by example


def test_what_a_later_revision_built_on_is_not_undone(small_timeline: Timeline) -> None:
    timeline = after(small_timeline, [set_("values.pressure.value", 12), set_("values.pressure.value", 13)])
    with pytest.raises(EditError, match="revision 2 built on revision 1: undo that one first"):
        edits.undone(timeline, 1)
    back = after(timeline, [{"do": "undo", "revision": 2}, {"do": "undo", "revision": 1}])
    assert but_the_trail(back) == small_timeline


def test_an_earlier_revision_is_undone_beside_later_ones(small_timeline: Timeline) -> None:
    timeline = after(small_timeline, [set_("values.pressure.value", 12), set_("drug", "x", "e0002")])
    back = after(timeline, [{"do": "undo", "revision": 1}])
    assert back.events[2] == small_timeline.events[2]
    assert back.events[1].drug == "x"


def test_a_look_does_not_slide_by_undoing(small_timeline: Timeline) -> None:
    """Looked at 4,000 atm, then back to 14 atm, which nobody looked at."""
    steps = [set_("values.pressure.value", 4000), {"do": "look", "points": ["e0003.pressure"]}]
    timeline = after(small_timeline, [*steps, {"do": "undo", "revision": 1}])
    assert timeline.events[2] == small_timeline.events[2]
    assert timeline.looked_at == set()


def test_a_look_does_not_come_back_where_more_was_changed(small_timeline: Timeline) -> None:
    """Looked at as it was; then its device and its side become others, and only the device is taken back."""
    steps = [{"do": "look", "points": ["e0003"]}, set_("device", "x"), set_("site.side", "left")]
    doubtful = small_timeline.events[2].model_copy(update={"review": True, "flags": ("conflict",)})
    timeline = small_timeline.model_copy(
        update={"events": (*small_timeline.events[:2], doubtful, *small_timeline.events[3:])}
    )
    assert after(timeline, [*steps[:2], {"do": "undo", "revision": 2}]).looked_at == {"e0003"}
    back = after(timeline, [*steps, {"do": "undo", "revision": 2}])
    assert (back.events[2].device, back.events[2].site and back.events[2].site.side) == (doubtful.device, "left")
    assert back.looked_at == set()


# --- a trail that does not fit


PRESSURE = "events.e0003.values.pressure.value"
REPAIR = {"words": [3, 5], "heard": "Pepper and", "read": "x", "why": "by-hand"}
BROKEN = [
    pytest.param({"number": 3}, "revision 3 does not follow revision 0", id="not-the-next"),
    pytest.param({"at": PRESSURE, "before": 13, "after": 1}, "it is 14", id="another-value"),
    pytest.param({"at": "events.e0009.drug", "after": "x"}, "there is no event e0009", id="no-such-event"),
    pytest.param({"at": PRESSURE, "before": 14, "after": "x"}, "cannot become", id="no-figure"),
    pytest.param({"at": "events.e0003.colour", "after": "x"}, "cannot become", id="no-such-field"),
    pytest.param({"at": "words.3", "after": "x"}, "nothing that is changed at the desk", id="a-heard-word"),
    pytest.param({"at": "events.e0001", "after": {"id": "e0001"}}, "an event e0001 already", id="an-id-twice"),
    pytest.param({"at": "corrections.x", "after": {}}, "cannot become", id="no-number"),
    pytest.param({"at": "events.e0002.site.side", "after": "left"}, "cannot become", id="of-a-place-that-is-none"),
    pytest.param({"at": "checks.9.severity", "before": "note", "after": "x"}, "cannot become", id="no-such-caution"),
    pytest.param({"at": "checks.0.severity", "before": "review", "after": "note"}, "counted from one", id="caution-0"),
    pytest.param({"at": "checks.3", "after": {}}, "it is 1", id="a-caution-left-out"),
    pytest.param({"at": "corrections.9", "after": REPAIR}, "it is 3", id="a-repair-of-other-words"),
    pytest.param({"at": "checks.1.severity", "before": "note", "after": "x"}, "it is 'review'", id="a-caution"),
]  # fmt: skip


@pytest.mark.parametrize(("wrong", "said"), BROKEN)
def test_a_change_that_does_not_fit_is_refused(small_timeline: Timeline, wrong: dict[str, Any], said: str) -> None:
    change = Change(**{"at": "looked.gap-1", "after": True, **{k: v for k, v in wrong.items() if k != "number"}})
    step = Revision(number=wrong.get("number", 1), at=AT, by="A", what="", changes=(change,))
    with pytest.raises(EditError, match=said):
        edits.put(small_timeline, step)


def test_a_revision_left_out_of_the_trail_is_found(small_timeline: Timeline) -> None:
    timeline = after(small_timeline, [set_("values.pressure.value", 12), set_("values.pressure.value", 13)])
    with pytest.raises(EditError, match="not what this change was made on"):
        edits.drafted(timeline.model_copy(update={"revisions": timeline.revisions[:1]}))


# --- how long it takes


def test_a_revision_touches_only_what_it_changes(small_timeline: Timeline) -> None:
    """Every event but the one changed is the very same object: what makes a case of 1,500 events fast."""
    many = tuple(small_timeline.events[2].model_copy(update={"id": f"e{number:04}"}) for number in range(1, 1501))
    timeline = small_timeline.model_copy(update={"events": many})
    start = time.perf_counter()
    new = put(timeline, set_("values.pressure.value", 12, "e0750"))
    took_s = time.perf_counter() - start
    assert [each.id for each in new.events if each is not trail_event(timeline, each)] == ["e0750"]
    assert took_s < 1  # some milliseconds; a whole dump of the case would take longer


def trail_event(timeline: Timeline, event: Event) -> Event:
    return timeline.events[trail.place_of(timeline.events, event.id)]
